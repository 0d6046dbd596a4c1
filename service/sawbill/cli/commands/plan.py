"""The command `plan`: pieces of one's own, bought and cut together."""

from __future__ import annotations

from typing import Any

import click

from sawbill.cli.options.books import prices_option
from sawbill.cli.options.declared import fields, options
from sawbill.cli.options.groups import Command, joined
from sawbill.cli.options.words import file_option, table_option, units_option
from sawbill.cli.output.forms import output_of, output_options
from sawbill.trade.declaring.headings import HAVE

OPTIONS = joined(
    [click.Argument(["pieces"], metavar="PIECES", type=click.Path(allow_dash=True))],
    [prices_option(help="A price book, as for a quote.")],
    options("wood"),
    options("shop"),
    [
        file_option("--on-hand", "Boards: CSV with the columns section, length, quantity, species, grade; or an "
                    "earlier answer as JSON, of which the leftovers are taken.", HAVE),
        units_option(),
        table_option("all that have rows; csv and html: the costs"),
    ],
    output_options("one table"),
)  # fmt: skip


@click.command(cls=Command, params=OPTIONS)
def plan(**words: Any) -> None:
    """Plan which boards to buy for PIECES of your own, and how to cut them.

    PIECES is a CSV file with the columns name, section, length and quantity, and if you like shortest, species and
    grades, with a bar between several; or JSON: a list of such pieces, or a whole request. - is standard input.

    \b
      sawbill plan pieces.csv --kerf '1/8 in' --on-hand shed.csv
      sawbill plan - --table shopping-list --format csv < pieces.csv
    """
    from sawbill.cli.output.written import write_plan
    from sawbill.cli.requests.asking import Asking
    from sawbill.cli.requests.inputs import Input
    from sawbill.cli.requests.reckoned import reckoned
    from sawbill.web.reckoning import quotes

    output, asking, pieces = output_of(words), Asking(), Input(words["pieces"])
    if pieces.holds_object:
        asking.begin(pieces)
    else:
        asking.take("pieces", pieces.table(fields("parts")))
    asking.prices(words["prices"])
    asking.fields(words, "shop", "lumber")
    asking.rows("on_hand", words["on_hand"], fields("on_hand"), "leftovers")
    if words["units"]:
        asking.put(("units",), words["units"], "--units")
    write_plan(output, reckoned(asking, quotes.quote, form="pieces").data, words["table"])
