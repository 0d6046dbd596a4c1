"""The command `propose`: the best that a design may become within wishes, and how that is proven."""

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

OPTIONS = joined(
    [click.Argument(["design"], metavar="[DESIGN]...", nargs=-1, type=DesignName())],
    [
        set_option("OPTION=VALUE", "An option that keeps the value given. May be repeated."),
        named_option("--open", "OPTION=VALUES", "An option left open: values with commas between, a range such as "
                     "'8 in to 12 in by 1 in', near or any. Unset: the main sections and bolts, near.", WHAT),
        Option(["--quantity"], metavar="N", heading=WHAT, help="How many to build. Unset: 1."),
        file_option("--request", "A proposal as JSON, as the service takes it; other options add to it.", WHAT),
        several_prices_option(),
    ],
    options("lumber"),
    [
        named_option("--least", "MEASURE=NUMBER", "A wish: at least so much, such as clear_height='10 in'.", TOLD),
        named_option("--most", "MEASURE=NUMBER", "A wish: at most so much, such as heaviest_piece='12 kg'.", TOLD),
        Option(["--tool", "tools"], metavar="TOOL", multiple=True, heading=TOLD,
               help="A tool that you have: proposals then need no other. May be repeated."),
        Option(["--make-least"], metavar="MEASURE", heading=TOLD, help="What to make least. Unset: total."),
        Option(["--proposals"], metavar="N", heading=TOLD, help="How many to make. Unset: 3."),
        units_option(),
    ],
    output_options("the best"),
    options("shop"),
    have_options(),
    options("site"),
    [rate_option()],
)  # fmt: skip


@click.command("propose", cls=Command, params=OPTIONS)
def propose_designs(**words: Any) -> None:
    """Find the best values for the open options of each DESIGN, within your wishes, and prove it.

    The answer has the best few, what each wish costs or which one is in the way, and what came of every combination.

    \b
      sawbill propose slatted-bed --set mattress=queen --open rail=2x6,2x8 --open doubled_middle=any
      sawbill propose slatted-bed --set mattress=twin --most heaviest_piece='10 kg' --format json
    """
    from sawbill.answer.proposed import proposal_json
    from sawbill.cli.output.ending import NO, misused
    from sawbill.cli.output.written import write_proposal
    from sawbill.cli.requests.proposing import made, proposed

    output = output_of(words)
    if output.form == "html":
        misused(["--format html: a page's links lead to the service; a proposal is written as text, csv, xlsx or json"])
    asked = proposed(_asked(words))
    answer = proposal_json(found := made(asked), asked.books)
    write_proposal(output, answer, asked.raw.get("units") or asked.books[0].units)
    if not found.rows:
        raise SystemExit(NO)


def _asked(words: Words) -> Asking:
    """Put the request of a proposal together."""
    from sawbill.cli.requests.asking import of_several
    from sawbill.quoting.proposing.asked import PROPOSAL

    asking = of_several(words)
    asking.written(words, (PROPOSAL.members[name] for name in ("quantity", "proposals", "make_least")))
    for tool in words["tools"]:
        asking.add("tools", tool, "--tool")
    for key, option, given in (("options", "--set", words["settings"]), ("open", "--open", words["open"])):
        for name, value in asking.pairs(option, given).items():
            asking.put((key, name), value, f"{option} {name}")
    asking.bounds("wishes", words)
    return asking
