"""How price books are named on the command line: by their folder, their file or the name of a sample."""

from __future__ import annotations

from typing import Any, Final

import click
from click.shell_completion import CompletionItem

from sawbill.cli.options.groups import Option, TextType
from sawbill.trade.declaring.headings import PRICES

SAMPLE: Final = "sample-inch"
"""The price book that is taken where none is named."""
NAMED: Final = "A price book: its folder, its .xlsx or .zip file, or the name of a sample."


class BookName(TextType):
    """A price book as it is named; Tab completes samples, folders and files."""

    name = "book"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Complete the name of a sample, or a path."""
        from sawbill.prices.shelf import Shelf, sample_folder

        samples = [name for name in Shelf(sample_folder()).names() if name.startswith(incomplete)]
        return [
            CompletionItem(incomplete, type="file"),
            *map(CompletionItem, samples),
        ]  # in bash, a file forgets others


def several_prices_option() -> Option:
    """The option that names price books, where there may be several."""
    help = "A price book, as for a quote. May be repeated."
    return Option(["--prices"], metavar="BOOK", type=BookName(), multiple=True, heading=PRICES, help=help)


def prices_option(**more: Any) -> Option:
    """The option that names a price book."""
    words = {"help": f"{NAMED} Unset: the one that --request names, or {SAMPLE}.", **more}
    return Option(["--prices"], metavar="BOOK", type=BookName(), heading=PRICES, **words)
