"""The command `quote`: furniture, pieces and hardware, all of it bought together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from sawbill.cli.options.books import prices_option
from sawbill.cli.options.declared import options
from sawbill.cli.options.groups import Command, Option, joined
from sawbill.cli.options.words import (
    DesignName,
    file_option,
    have_options,
    rate_option,
    set_option,
    table_option,
    units_option,
)
from sawbill.cli.output.forms import output_of, output_options
from sawbill.trade.declaring.headings import TOLD, WHAT

if TYPE_CHECKING:
    from sawbill.cli.requests.asking import Asking, Words

REQUEST = joined(
    [click.Argument(["design"], required=False, type=DesignName())],
    [
        set_option("OPTION=VALUE", "An option of the design, as `sawbill options DESIGN` lists them. May be repeated."),
        Option(["--quantity"], metavar="N", heading=WHAT, help="How many. Unset: 1."),
        Option(["--label"], metavar="TEXT", heading=WHAT, help="What it is called. Unset: by the design."),
        Option(
            ["--also"], multiple=True, metavar="'DESIGN OPTION=VALUE...'", heading=WHAT,
            help="One more design, bought together with the rest; it may set label and quantity too. May be repeated.",
        ),
        file_option("--lines", "More designs, a row each: CSV with the columns design, label, quantity and any option.",
                    WHAT),
        file_option("--parts", "Parts of your own: CSV with the columns name, section, length, quantity, shortest, "
                    "species, grades.", WHAT),
        file_option("--hardware", "Hardware of your own: CSV with the columns item, size, length, quantity.", WHAT),
        file_option("--request", "A request as JSON, as the service takes it; other options add to it.", WHAT),
        prices_option(),
    ],
    options("lumber"),
    options("shop"),
    have_options(),
    options("site"),
    [rate_option()],
    options("pricing"),
    [units_option()],
)  # fmt: skip
"""The options of a request: what is made, of what, with what."""
ANSWER = [
    Option(["--ways-out"], is_flag=True, heading=TOLD,
           help="Look for changes that make checks pass that fail or warn."),
    Option(["--trace"], metavar="RULE,...", heading=TOLD,
           help="Write out the calculation of these rules of strength, such as bolts,bending; all: of every one."),
    Option(["--placed"], is_flag=True, heading=TOLD, help="List every part of the frame with its place (in JSON)."),
    table_option("all that have rows; csv: the costs"),
    Option(["--value"], metavar="VALUE", heading=TOLD,
           help="One value alone, such as total or boards; or its path in the JSON, as frame.size.height.text."),
    Option(["--unit"], metavar="UNIT", heading=TOLD, help="What a --value is told in: mm, cm, m, in, ft, kg, lb."),
]  # fmt: skip
"""The options of what is told."""


@click.command(cls=Command, params=joined(REQUEST, ANSWER, output_options("one table")))
def quote(**words: Any) -> None:
    """Quote a DESIGN: what to buy, how to cut it, the hardware, the checks and the total.

    All that is named is bought together, as cheaply as can be. A length carries its unit, such as '8 in' or '200 mm'.
    Files may be CSV, as a spreadsheet saves it, or JSON; - is standard input.

    \b
      sawbill quote slatted-bed --set mattress=queen --set clear_height='10 in'
      sawbill quote bench --also 'shelf-unit quantity=2' --on-hand shed.csv
      sawbill quote bunk-bed --set market=US --ceiling '8 ft' -o bunk.xlsx
      sawbill quote --request order.json --value total
    """
    from sawbill.asked.request import TRACE
    from sawbill.cli.output.written import check_value, write_quote, write_value
    from sawbill.cli.requests.reckoned import page_of, reckoned
    from sawbill.web.reckoning import quotes

    output = output_of(words)
    if words["value"]:
        check_value(words["value"], words["unit"])
    asking = asked(words)
    for name in ("placed", "ways_out"):
        if words[name]:
            asking.put((name,), True, f"--{name.replace('_', '-')}")
    asking.written(words, [TRACE])
    made = reckoned(asking, quotes.quote)
    if words["value"]:
        write_value(output, made.data, words["value"], words["unit"])
    else:
        shown = output.form in ("html", "xlsx") and words["table"] is None
        page = page_of(asking, made, output.form) if shown else None
        write_quote(output, made.data, words["table"], page)


def asked(words: Words) -> Asking:
    """Put the request of a quote together."""
    from sawbill.cli.requests.asking import Asking
    from sawbill.cli.requests.lines import add_lines

    asking = Asking(words["request"])
    asking.prices(words["prices"])
    add_lines(asking, words)
    asking.fields(words, "shop", "lumber", "site", "pricing")
    asking.beside(words)
    return asking
