"""Tables on a sheet: columns as wide as their texts, long cells in several lines, what has no room left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from sawbill.drawings.paper import lettering
from sawbill.drawings.paper.sheet import Area
from sawbill.drawings.paper.svg import THIN, Canvas

LINE: Final = 3.9
"""From line to line [mm]."""
PAD: Final = 1.4
"""Between a text and the edges of its cell [mm]."""
AFTER: Final = 3.0
"""Below a table [mm]."""
WIDEST: Final = 75.0
"""No column counts for more than this when they share too little room [mm]."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings, or a remark alone; name: what stands above them, and before the remark."""

    name: str
    remark: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def without(self, rows: int) -> Table:
        """What follows the first rows."""
        return Table(f"{self.name} (continued)" if rows else self.name, self.remark, self.headings, self.rows[rows:])


def draw_tables(canvas: Canvas, tables: Sequence[Table], area: Area) -> list[Table]:
    """Draw tables one below the other; the rows that have no room are returned, as tables."""
    top = area.top
    left: list[Table] = []
    for table in tables:
        if not (table.rows or table.remark) or (table.headings and not table.rows):
            continue
        if left:
            left.append(table)
            continue
        rows, top = _draw(canvas, table, Area(area.left, top, area.right, area.bottom))
        if rows is not None and (rows < len(table.rows)):
            left.append(table.without(rows))
        elif rows is None:
            left.append(table)
    return left


def height(tables: Sequence[Table], width: float) -> float:
    """How much room tables take below each other; infinite where a column's longest word has none [mm]."""
    total = 0.0
    for table in tables:
        if table.rows:
            wide = _widths(table, width)
            if sum(wide) > width + 1e-6:
                return inf
            total += sum(_height(row, wide) for row in (table.headings, *table.rows))
        if table.rows or (table.remark and not table.headings):
            total += len(_remark(table, width)) * LINE + PAD + AFTER
    return max(total - AFTER, 0.0)


def _draw(canvas: Canvas, table: Table, area: Area) -> tuple[int | None, float]:
    """How many rows had room, none at all if not even the first had, and where the next table may begin."""
    widths = _widths(table, area.width) if table.rows else []
    remark = _remark(table, area.width)
    least = len(remark) * LINE + PAD + sum(_height(row, widths) for row in (table.headings, *table.rows[:1]) if widths)
    if area.top + least > area.bottom:
        return None, area.bottom
    y, drawn = area.top, 0
    with canvas.group("table"):
        canvas.text(area.left, y + LINE, table.name, lettering.SMALL, bold=True, kind="name")
        indent = _indent(table)
        for i, line in enumerate(remark):
            y += LINE
            canvas.text(area.left + (0 if i else indent), y, line, lettering.SMALL, kind="remark")
        y += PAD
        rules = []
        if table.rows:
            rules.append(y)
            y += _row(canvas, table.headings, widths, area.left, y, "heading")
            rules.append(y)
        for row in table.rows:
            if y + _height(row, widths) > area.bottom:
                break
            y += _row(canvas, row, widths, area.left, y, "row")
            rules.append(y)
            drawn += 1
        canvas.strokes(((area.left, at, area.left + sum(widths), at) for at in rules), THIN, kind="rule")
    return drawn, y + AFTER


def _indent(table: Table) -> float:
    return lettering.width(table.name, lettering.SMALL, bold=True) + 3


def _remark(table: Table, room: float) -> list[str]:
    """The lines of the remark, the first of which stands after the name."""
    first, *rest = lettering.wrapped(table.remark, lettering.SMALL, room - _indent(table))
    return [first, *(lettering.wrapped(" ".join(rest), lettering.SMALL, room) if rest else ())]


def _row(canvas: Canvas, row: Sequence[str], widths: Sequence[float], x: float, y: float, kind: str) -> float:
    with canvas.group(kind):
        for text, wide in zip(row, widths, strict=True):
            with canvas.group("cell"):
                for i, line in enumerate(lettering.wrapped(text, lettering.SMALL, wide - PAD)):
                    canvas.text(x, y + (i + 1) * LINE - 0.6, line, lettering.SMALL)
            x += wide
    return _height(row, widths)


def _height(row: Sequence[str], widths: Sequence[float]) -> float:
    lines = max(
        len(lettering.wrapped(text, lettering.SMALL, wide - PAD)) for text, wide in zip(row, widths, strict=True)
    )
    return lines * LINE + PAD / 2


def _widths(table: Table, room: float) -> list[float]:
    """As wide as the longest text of each column; all give way alike where that is too much."""
    columns = list(zip(table.headings, *table.rows, strict=True))
    whole = [max(lettering.width(text, lettering.SMALL) for text in column) + 2 * PAD for column in columns]
    least = [
        max(lettering.width(word, lettering.SMALL) for text in column for word in text.split(" ")) + 2 * PAD
        for column in columns
    ]
    if sum(whole) <= room:
        return whole
    capped = [max(low, min(high, WIDEST)) for low, high in zip(least, whole, strict=True)]
    if sum(capped) <= room:
        return _stretched(capped, whole, room)
    return _stretched(least, capped, room)


def _stretched(least: Sequence[float], most: Sequence[float], room: float) -> list[float]:
    """Widths between two bounds that fill the room, as far as they can: each as far on its way as the others."""
    share = (room - sum(least)) / max(sum(most) - sum(least), 1e-9)
    return [low + (high - low) * min(1.0, max(0.0, share)) for low, high in zip(least, most, strict=True)]
