"""Tables that fit a terminal: titles and texts wrapped, and what still does not fit told under its row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from textwrap import wrap
from typing import Final

from sawbill.answer.columns import Column
from sawbill.answer.forms.text import Layout, aligned

GAP: Final = "  "
NARROW: Final = 16
"""How narrow a column of texts is set at the least, unless its own are shorter [characters]."""
LONG: Final = 24
"""From how long texts on their column is the first to be told under its rows [characters]."""
INDENT: Final = "      "
"""What stands before that which is told under a row."""

Cells = Sequence[str]


def layout_of(width: int | None) -> Layout:
    """Give the layout for a width [characters]; None: as wide as the cells are."""
    return aligned if width is None else partial(fitted, width=width)


def fitted(columns: Sequence[Column], rows: Sequence[Cells], width: int) -> Iterator[str]:
    """Set cells in lines of a width, the titles of the columns first.

    Where they do not fit, titles are wrapped, then texts; then columns are told under the rows, those of long texts
    before the last ones, the first never.
    """
    if len(GAP) + sum(max(map(len, column)) + len(GAP) for column in zip(*rows, strict=True)) - len(GAP) <= width:
        yield from aligned(columns, rows)
        return
    kept = [*range(len(columns))]
    while (widths := _widths([[row[i] for row in rows] for i in kept], [columns[i] for i in kept], width)) is None:
        longest = {i: max(len(row[i]) for row in rows) for i in kept[1:]}
        widest = max(longest, key=lambda i: longest[i])
        kept.remove(widest if longest[widest] >= LONG else kept[-1])
    under = [i for i in range(len(columns)) if i not in kept]
    for number, row in enumerate(rows):
        yield from _lines([row[i] for i in kept], [columns[i] for i in kept], widths)
        if number and (told := [f"{rows[0][i]}: {row[i]}" for i in under if row[i]]):
            yield from folded("; ".join(told), width, INDENT, INDENT)


def within(text: str, width: int | None) -> str:
    """Fold the lines of a text that are too wide; None: none is."""
    lines = text.splitlines()
    return (
        text
        if width is None
        else "\n".join(
            part for line in lines for part in ([line] if len(line) <= width else folded(line, width, "", GAP))
        )
    )


def folded(text: str, width: int, first: str = "", others: str = "") -> list[str]:
    """Fold a text into lines of a width, words kept whole; first, others: what stands before the lines."""
    return wrap(text, width, initial_indent=first, subsequent_indent=others, break_on_hyphens=False)


def _widths(cells: Sequence[Cells], columns: Sequence[Column], width: int) -> list[int] | None:
    """Give each column its width; None: they do not fit, however titles and texts are wrapped."""
    room = width - len(GAP) * len(columns)
    words = [max(map(len, title.split())) for title, *_ in cells]
    widest = [max([word, *map(len, texts)]) for word, (_, *texts) in zip(words, cells, strict=True)]
    least = [
        wide if column.is_number else min(wide, max(word, NARROW))
        for column, word, wide in zip(columns, words, widest, strict=True)
    ]
    if len(columns) > 1 and sum(least) > room:
        return None
    while sum(widest) > room:
        longest = max(range(len(columns)), key=lambda i: widest[i] - least[i])
        if widest[longest] <= least[longest]:
            return [max(1, room)]  # one column alone, in next to no room
        widest[longest] -= 1
    return widest


def _lines(cells: Cells, columns: Sequence[Column], widths: Sequence[int]) -> Iterator[str]:
    """Set a row in as many lines as its longest cell takes."""
    wrapped = [folded(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for line in range(max(map(len, wrapped))):
        texts = [each[line] if line < len(each) else "" for each in wrapped]
        set_ = (
            text.rjust(width) if column.is_number else text.ljust(width)
            for column, text, width in zip(columns, texts, widths, strict=True)
        )
        yield f"{GAP}{GAP.join(set_)}".rstrip()
