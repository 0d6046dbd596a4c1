"""Tables on a sheet: columns as wide as their texts, long cells in several lines, what has no room left over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.drawings.paper import lettering
from sawbill.drawings.paper.sheet import Area
from sawbill.drawings.paper.svg import THIN, Canvas

LINE: Final = 3.9
"""From line to line [mm]."""
PAD: Final = 1.4
"""Between a text and the edges of its cell [mm]."""
AFTER: Final = 5.0
"""Below a table [mm]."""
NARROWEST: Final = 12.0


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings; name: what stands above them, and after it a remark."""

    name: str
    remark: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def without(self, rows: int) -> Table:
        """What follows the first rows."""
        return Table(f"{self.name} (continued)" if rows else self.name, self.remark, self.headings, self.rows[rows:])


def draw_tables(canvas: Canvas, tables: Sequence[Table], area: Area) -> list[Table]:
    """Draw tables one below the other; the rows that have no room are returned, as tables."""
    top, left = area.top, []
    for table in tables:
        if not table.rows:
            continue
        if left:
            left.append(table)
            continue
        drawn, top = _draw(canvas, table, Area(area.left, top, area.right, area.bottom))
        if drawn < len(table.rows):
            left.append(table.without(drawn))
    return left


def height(tables: Sequence[Table], width: float) -> float:
    """How much room tables take below each other [mm]."""
    total = 0.0
    for table in tables:
        if table.rows:
            wide = _widths(table, width)
            total += 2 * LINE + 3 * PAD + sum(_height(row, wide) for row in table.rows) + AFTER
    return max(total - AFTER, 0.0)


def _draw(canvas: Canvas, table: Table, area: Area) -> tuple[int, float]:
    """How many rows had room, and where the next table may begin."""
    widths = _widths(table, area.width)
    least = 2 * LINE + 3 * PAD + _height(table.rows[0], widths)
    if area.top + least > area.bottom:
        return 0, area.bottom
    y = area.top + LINE
    with canvas.group("table"):
        canvas.text(area.left, y, table.name, lettering.SMALL, bold=True, kind="name")
        after = area.left + lettering.width(table.name, lettering.SMALL, bold=True) + 3
        canvas.text(after, y, table.remark, lettering.SMALL, kind="remark")
        right = area.left + sum(widths)
        y += PAD
        rules = [(area.left, y, right, y)]
        y += _row(canvas, table.headings, widths, area.left, y, "heading")
        rules.append((area.left, y, right, y))
        drawn = 0
        for row in table.rows:
            if y + _height(row, widths) > area.bottom:
                break
            y += _row(canvas, row, widths, area.left, y, "row")
            rules.append((area.left, y, right, y))
            drawn += 1
        canvas.strokes(rules, THIN, kind="rule")
    return drawn, y + AFTER


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
    """As wide as the longest text of each column; the widest give way where that is too much."""
    columns = list(zip(table.headings, *table.rows, strict=True))
    wide = [max(lettering.width(text, lettering.SMALL) for text in column) + 2 * PAD for column in columns]
    least = [max(lettering.width(word, lettering.SMALL) for text in column for word in text.split(" ")) + 2 * PAD
             for column in columns]  # fmt: skip
    while sum(wide) > room + 1e-6:
        order = sorted(range(len(wide)), key=lambda i: least[i] - wide[i])
        first = max((i for i in order if wide[i] > least[i] + 1e-6), key=lambda i: wide[i], default=None)
        if first is None:
            break
        others = [wide[i] for i in range(len(wide)) if i != first and wide[i] < wide[first] - 0.01]
        to = max([*others, least[first], wide[first] - (sum(wide) - room)])
        wide[first] = max(to, least[first]) if to < wide[first] - 0.01 else max(least[first], wide[first] - 5)
    return wide
