"""What may be said beside a design and its options, as it is declared: one table to look things up in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import pandas as pd

from sawbill.asked.request import QUOTE
from sawbill.notebook.faults import no_choice
from sawbill.trade.declaring.members import Group, Member, Rows

COLUMNS: Final = {
    "argument": "The argument of `quote`, or of `line`.", "setting": "What of it; empty where it has no parts.",
    "example": "How it is written.", "meaning": "What it says, and what it is where it is left out.",
}  # fmt: skip
ELSEWHERE: Final = ("price_book", "lines", "label")
"""What is an argument by itself."""


def settings(argument: str | None = None) -> pd.DataFrame:
    """List what may be said of a quote beside its designs: a row for each setting of each argument.

    argument: shop, site, lumber, on_hand and so on: those of one alone
    Raises FaultsError: there is no such argument.

    >>> settings("shop").loc["kerf", "example"]
    '1/8 in'
    >>> settings().loc[("pricing", "markup"), "meaning"]
    'Sell for the cost and so much of the cost more, 0 % to 500 %.'
    """
    members = [each for name, each in QUOTE.members.items() if name not in ELSEWHERE]
    rows = [row for member in [*members, *_of_a_line()] for row in _rows(member)]
    found = pd.DataFrame(rows, columns=list(COLUMNS)).set_index(["argument", "setting"])
    found.attrs = {"table": "settings", "title": "Settings", "meanings": COLUMNS}
    if argument is None:
        return found
    if argument not in {each for each, *_ in rows}:
        raise no_choice("argument", argument, dict.fromkeys(each for each, *_ in rows))
    return found.loc[[argument]].droplevel("argument")


def _of_a_line() -> list[Member]:
    """The tables of a line of own parts."""
    lines = QUOTE.members["lines"].kind
    assert isinstance(lines, Rows) and isinstance(lines.inner, Group)
    return [lines.inner.members[name] for name in ("parts", "hardware")]


def _rows(member: Member) -> Iterator[tuple[str, str, object, str]]:
    kind = member.kind.inner if isinstance(member.kind, Rows) else member.kind
    if isinstance(kind, Group):
        yield from ((member.name, each.name, each.example, each.help) for each in kind.members.values())
    else:
        yield member.name, "", member.example, member.help
