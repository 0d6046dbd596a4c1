"""The command `draw`: pictures, sheets and models of a design, without prices where none are needed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

import click

from sawbill.cli.options.books import prices_option
from sawbill.cli.options.declared import options
from sawbill.cli.options.groups import Command, Option, joined
from sawbill.cli.options.words import DesignName, file_option, set_option, units_option
from sawbill.trade.declaring.headings import TOLD, WHAT

KINDS: Final[Mapping[str, str]] = MappingProxyType({
    ".svg": "one view", ".png": "the same in pixels", ".glb": "the model",
    ".zip": "all sheets, the cutting diagrams among them",
    ".html": "the shop's sheet, to build from", ".pdf": "the same, for the printer",
})  # fmt: skip
"""What is written, by the suffix of the file."""
OPTIONS: Final = joined(
    [click.Argument(["design"], required=False, type=DesignName())],
    [
        set_option("OPTION=VALUE", "An option of the design, as `sawbill options DESIGN` lists them. May be repeated."),
        Option(["--quantity"], metavar="N", heading=WHAT, help="How many. Unset: 1."),
        file_option("--request", "A request for a quote as JSON, as the service takes it.", WHAT),
        Option(
            ["--of", "number"], type=click.IntRange(0), default=0, metavar="LINE", heading=WHAT,
            help="Which line of a --request is drawn, from 0. Unset: 0.",
        ),
        prices_option(),
    ],
    options("lumber"),
    options("shop"),
    options("pricing"),
    [
        units_option(),
        Option(
            ["--view"], default="isometric", show_default=True, metavar="VIEW", heading=TOLD,
            help="What to draw: isometric, exploded, sides, front, left, right, top, behind, below; step-1 and on; "
            "apart-1 and on; cutting.",
        ),
        Option(["--paper"], type=click.Choice(["letter", "A4"]), heading=TOLD,
               help="Of a sheet. Unset: letter for inches, or A4."),
        Option(["--customer"], is_flag=True, heading=TOLD,
               help="The customer's sheet, with no costs, and not the shop's."),
        Option(["--terms"], metavar="TEXT", default="", heading=TOLD,
               help="What the customer's sheet says of terms. Unset: lines to fill in."),
        Option(["--price-by"], metavar="METHOD", default="", heading=TOLD,
               help="Which selling price the customer's sheet has, such as cost-plus-markup. Unset: the first."),
        Option(
            ["-o", "--output"], metavar="FILE", type=click.Path(dir_okay=False), heading=TOLD,
            help=f"The file to write: {'; '.join(f'{suffix}: {words}' for suffix, words in KINDS.items())}. "
            "Unset: a view is printed.",
        ),
    ],
)  # fmt: skip


@click.command(cls=Command, params=OPTIONS)
def draw(**words: Any) -> None:
    """Draw a DESIGN: one view of it, its model, every sheet to build it from, or one document of all it takes.

    \b
      sawbill draw slatted-bed --set mattress=queen --view exploded -o bed.svg
      sawbill draw slatted-bed --set mattress=queen -o bed.zip
      sawbill draw slatted-bed --set mattress=queen --markup '30 %' --customer -o offer.html
    """
    from sawbill.cli.output.ending import misused
    from sawbill.cli.output.forms import write_file
    from sawbill.cli.requests.drawing import drawn

    file = words["output"]
    suffix = Path(file).suffix.lower() if file else ".svg"
    if suffix not in KINDS:
        told = ", ".join(f"{each} for {does}" for each, does in KINDS.items())
        misused([f"--output {file}: end its name with {told}"])
    data = drawn(words, suffix)
    if file is None:
        click.echo(data, nl=False)
    else:
        write_file(file, data)
