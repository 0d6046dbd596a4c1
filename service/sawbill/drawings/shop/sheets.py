"""The sheets of pieces and parts: two views to scale, and the tables that say all that a drawing cannot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Final

from sawbill.drawings.paper.scale import DENOMINATORS
from sawbill.drawings.paper.sheet import NOT_TO_SCALE, Area, Page, blank
from sawbill.drawings.paper.table import Table, draw_tables, height
from sawbill.drawings.shop.places import place_tables, standing_table
from sawbill.drawings.shop.views import Layout, draw_views, laid_out
from sawbill.drawings.shop.work import Work, part_works, piece_works
from sawbill.drawings.subject import Subject

INSET: Final = 3.0
TALLEST: Final = 0.62
"""What part of a sheet's height the views of a long piece take at most, for the tables to have the rest."""
WIDEST: Final = 0.5
"""What part of its width those of a tall piece take at most."""
LARGER: Final = 1.4
"""How much larger the views have to be on a sheet of their own to get one where the tables do not fit beside them."""
NOTE: Final = "Circle: a hole; dash-dotted: a hole seen from its side; dashed: hidden edges."
SMALLER: Final = 1.5
"""How much smaller the views may be for the tables to fit on the same sheet."""


def piece_sheets(subject: Subject) -> list[Page]:
    """A sheet for each carried piece of several parts, those alike on one."""
    found = []
    for i, (name, works) in enumerate(piece_works(subject), 1):
        found += list(_pages(f"piece-{i}", name, works))
    return found


def part_sheets(subject: Subject) -> list[Page]:
    """A sheet for each part that has holes of its own or is ripped."""
    groups = part_works(subject)
    found = []
    for i, (letter, works) in enumerate(groups, 1):
        kinds = [each for each, _ in groups].count(letter)
        number = [each for each, _ in groups[:i]].count(letter)
        name = subject.frame.by_key[works[0].keys[0]].name
        title = f"{letter}, {name}" + (f" ({number} of {kinds} kinds)" if kinds > 1 else "")
        found += list(_pages(f"part-{letter}-{number}" if kinds > 1 else f"part-{letter}", title, works))
    return found


def place_sheets(subject: Subject) -> list[Page]:
    """Where every carried piece stands, from the left, from the front and above the floor."""
    found: list[Page] = []
    left = place_tables(subject)
    while left:
        number = len(found) + 1
        name = "places" if number == 1 else f"places-{number}"
        page = subject.sheet(name, "where each piece stands", "A table: where each carried piece begins and ends.")
        left = draw_tables(page.canvas, left, page.area.inset(INSET))
        found.append(Page(name, "where each piece stands", page.canvas.svg()))
    return found


def _pages(name: str, title: str, works: Sequence[Work]) -> Iterator[Page]:
    """The sheet of pieces alike, and as many more as its tables take."""
    work, subject = works[0], works[0].subject
    area = blank(subject.paper).inset(INSET)
    tables = [*work.tables, standing_table(subject, [each.keys for each in works])]
    layout, beside = _layout(work, area, tables)
    count = f" ({len(works)} alike)" if len(works) > 1 else ""
    number = 1
    while True:
        drawing = title + count + (f", sheet {number}" if number > 1 else "")
        page = subject.sheet(
            name if number == 1 else f"{name}-{number}", drawing,
            f"{title}: seen {work.seen}, with where each part is and each hole.",
            f"1:{layout.denominator}" if number == 1 else NOT_TO_SCALE,
            projected=number == 1, note=NOTE if number == 1 else "",
        )  # fmt: skip
        if number == 1:
            draw_views(page.canvas, work, layout)
        tables = draw_tables(page.canvas, tables, beside if number == 1 else area)
        yield Page(page.name, drawing, page.canvas.svg())
        if not tables:
            return
        number += 1


def _alone(work: Work, area: Area) -> Layout:
    """The views as large as a sheet holds them without tables."""
    for denominator in DENOMINATORS[work.subject.system]:
        layout = laid_out(work, area, denominator)
        if layout.right <= area.right and layout.bottom <= area.bottom:
            break
    return layout


def _layout(work: Work, area: Area, tables: Sequence[Table]) -> tuple[Layout, Area]:
    """The largest scale at which the views leave room for the tables: below long pieces, right of tall ones."""
    found: list[tuple[Layout, Area, float]] = []
    for denominator in DENOMINATORS[work.subject.system]:
        layout = laid_out(work, area, denominator)
        under = Area(area.left, layout.bottom, area.right, area.bottom)
        if layout.right <= area.right and layout.bottom - area.top <= TALLEST * area.height:
            found.append((layout, under, height(tables, under.width)))
        beside = Area(layout.right + 4, area.top, area.right, area.bottom)
        if layout.right - area.left <= WIDEST * area.width and layout.bottom <= area.bottom:
            found.append((layout, beside, height(tables, beside.width)))
    most = found[0][0].denominator * SMALLER
    fitting = [each for each in found if each[2] <= each[1].height and each[0].denominator <= most]
    layout, place, _ = (fitting or [each for each in found if each[2] < inf] or found)[0]
    largest = _alone(work, area)
    if not fitting and largest.denominator * LARGER <= layout.denominator:
        return largest, Area(area.left, largest.bottom, area.right, area.bottom)
    return layout, place
