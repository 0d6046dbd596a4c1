"""The command `compare`: a row for every design, value of an option, price book and quantity."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sawbill.cli.options.books import several_prices_option
from sawbill.cli.options.declared import options
from sawbill.cli.options.groups import Command, Option, joined
from sawbill.cli.options.words import (
    DesignName,
    file_option,
    have_options,
    named_option,
    rate_option,
    set_option,
    units_option,
)
from sawbill.cli.output.forms import output_of, output_options
from sawbill.trade.declaring.headings import TOLD, WHAT

if TYPE_CHECKING:
    from sawbill.cli.requests.asking import Asking, Words

CRITERIA = (
    "total, each, lumber, hardware, supplies, boards, waste, mass, longest_piece, failed_checks, worst_utilisation, "
    "hands_on, unreckoned"
)
"""What rows can be compared by, for the help; a test holds it to those there are."""
OPTIONS = joined(
    [click.Argument(["design"], metavar="[DESIGN]...", nargs=-1, type=DesignName())],
    [
        set_option("OPTION=VALUE,...", "The values that an option is to take, with commas between. May be repeated."),
        Option(["--quantity"], metavar="N,...", heading=WHAT, help="How many to build, with commas between. Unset: 1."),
        file_option("--request", "A comparison as JSON, as the service takes it; other options add to it.", WHAT),
        several_prices_option(),
    ],
    options("lumber"),
    [
        Option(["--sort"], metavar="[-]CRITERION", heading=TOLD,
               help=f"By what rows are sorted, the most first with -: {CRITERIA}."),
        Option(["--judge-by"], metavar="CRITERION,...", heading=TOLD, help="What to judge rows by."),
        Option(["--baseline"], metavar="ROW", heading=TOLD,
               help="The number, from 0, of the row that the others are compared with."),
        named_option("--least", "CRITERION=NUMBER", "Only rows that have so much, or more.", TOLD),
        named_option("--most", "CRITERION=NUMBER", "Only rows that have no more, such as failed_checks=0.", TOLD),
        units_option(),
    ],
    output_options("a row each"),
    options("shop"),
    have_options(", for each row by itself"),
    options("site"),
    [rate_option()],
    options("pricing"),
)  # fmt: skip


@click.command("compare", cls=Command, params=OPTIONS)
def compare_designs(**words: Any) -> None:
    """Set each DESIGN side by side: a row for every value of an option, price book and quantity.

    A row says in what it is the best of its kind, and which row, if any, is better in something and worse in
    nothing. A row that cannot be quoted says why.

    \b
      sawbill compare slatted-bed low-platform --set mattress=twin,queen --sort total
      sawbill compare bench --prices my-shop --prices sample-inch --most failed_checks=0 -o benches.xlsx
    """
    from sawbill.answer.compared import comparison_json
    from sawbill.cli.output.ending import NO
    from sawbill.cli.output.written import write_comparison
    from sawbill.cli.requests.rows import compared, made

    output, comparing = output_of(words), compared(_asked(words))
    rows = made(comparing)
    answer = comparison_json(comparing.compared, comparing.books, rows)
    units = comparing.compared.common.get("units") or comparing.books[0].units
    write_comparison(output, answer, units)
    if not any(row.figures for row in rows):
        raise SystemExit(NO)


def _asked(words: Words) -> Asking:
    """Put the request of a comparison together."""
    from sawbill.cli.requests.asking import of_several
    from sawbill.quoting.comparing.asked import COMPARISON, VALUES

    asking = of_several(words)
    for name, value in asking.pairs("--set", words["settings"]).items():
        asking.put(("options", name), VALUES.from_text(value), f"--set {name}")
    members = (COMPARISON.members[name] for name in ("quantities", "sort", "judge_by", "baseline"))
    asking.written(words, members, quantities="quantity")
    asking.bounds("filter", words)
    return asking
