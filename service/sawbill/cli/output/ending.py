"""How a command ends: its exit codes, and every fault on a line of its own on the error stream."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final, NoReturn

import click

INPUT: Final = 1
"""What a command was given to read is at fault: a price book, a request, a table, a store."""
USAGE: Final = 2
"""The command itself is at fault: a word that is not known, or a value that cannot be."""
NO: Final = 3
"""The answer is no: what is asked for cannot be bought at these prices, or no row of a comparison can."""
CODES: Final = "\b\n" + "\n".join(
    (
        "Exit codes:",
        "  0  all went well",
        "  1  what was read has mistakes in it: a price book, a request, a table, a store",
        "  2  the command has mistakes in it: an unknown word, or a value that cannot be",
        "  3  there is no quote: it cannot be bought at these prices",
    )
)
"""The exit codes, for the help."""


def refuse(messages: Iterable[str], code: int = INPUT) -> NoReturn:
    """Print each message on a line of its own to the error stream, and end."""
    for message in messages:
        click.echo(message, err=True)
    raise SystemExit(code)


def misused(messages: Iterable[str]) -> NoReturn:
    """Tell what is wrong with the words of the command, each fault on a line, after how the command is written."""
    raise click.UsageError("\n".join(messages), click.get_current_context(silent=True))
