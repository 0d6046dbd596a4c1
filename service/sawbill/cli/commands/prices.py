"""The command `check-prices`."""

from __future__ import annotations

import click

from sawbill.cli.options.books import BookName
from sawbill.cli.options.groups import HELP


@click.command("check-prices", context_settings=HELP)
@click.argument("book", type=BookName())
def check_prices(book: str) -> None:
    """Read a price BOOK and list every mistake in it, with its file, line, column and what would be right.

    BOOK is its folder, its workbook (.xlsx), a .zip of its files, or the name of a sample.
    """
    from sawbill.cli.requests.books import read_book

    read = read_book(book, "BOOK")
    click.echo(
        f"{read.title}: revision {read.revision}, {len(read.lumber)} lumber prices, "
        f"{len(read.hardware)} of hardware, {len(read.supplies)} of supplies; no mistakes"
    )
