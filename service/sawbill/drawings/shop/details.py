"""Where pieces are bolted to each other, drawn large: what lies on what, and where each bolt goes.

What is within a hand's breadth of the bolts is shown from two sides and from above; the rest is cut off.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Final

from sawbill.drawings.lines.view import View, spans
from sawbill.drawings.paper import dimensions, lettering
from sawbill.drawings.paper.scale import DENOMINATORS
from sawbill.drawings.paper.sheet import Area, Page
from sawbill.drawings.paper.table import Table, draw_tables, height
from sawbill.drawings.shop.joint_views import ABOVE, BELOW, BETWEEN, EDGE, INSET, axis_of, draw_view
from sawbill.drawings.shop.joints import Joint, joints_of
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import AXES

LARGEST: Final = 4
"""The scale, 1:4, or 1:5 in millimetres; smaller where there is no room."""
MOST: Final = 6
"""No more kinds of joints are drawn than this."""
LEFT_OF: Final = 22.0
"""Room to the left of the first view [mm]."""
NOTE: Final = "Dash-dotted frame: parts go on beyond it. Filled: bolt heads, arched where round; dashed: hidden edges."


def detail_sheets(subject: Subject) -> list[Page]:
    """A sheet for each kind of bolted joint between pieces."""
    alike: dict[tuple[object, ...], list[Joint]] = {}
    for each in joints_of(subject):
        alike.setdefault(each.kind, []).append(each)
    groups = list(alike.values())[:MOST]
    return [_sheet(number, each[0], len(each)) for number, each in enumerate(groups, 1)]


def _sheet(number: int, joint: Joint, count: int) -> Page:
    subject = joint.subject
    pieces = dict.fromkeys(subject.pieces[subject.piece_of[key]].kind for each in joint.fasteners for key in each.parts)
    drawing = f"joint of {' and '.join(pieces)}" + (f" ({count} alike)" if count > 1 else "")
    tables = [_table(joint)]
    denominator, areas, table = _layout(joint, tables)
    page = subject.sheet(
        f"detail-{number}", drawing, f"{drawing}, from two sides and from above, with where each bolt goes.",
        f"1:{denominator}", projected=False, note=NOTE,
    )  # fmt: skip
    for view, area in zip(joint.views, areas, strict=True):
        draw_view(page, joint, view, area, denominator)
    draw_tables(page.canvas, tables, table)
    return Page(page.name, drawing, page.canvas.svg())


def _layout(joint: Joint, tables: Sequence[Table]) -> tuple[int, list[Area], Area]:
    """The largest scale at which the views have room beside each other, where they stand, and where the table does.

    The table stands under them, or beside them where their running dimensions alone leave it no room there.
    """
    paper = joint.subject.sheet("", "", "").area.inset(INSET)
    scales = [each for each in DENOMINATORS[joint.subject.system] if each >= LARGEST]
    for beside, denominator in product((False, True), scales):
        areas, right, free = _placed(joint, paper, denominator)
        bottom = areas[0].bottom + BELOW
        if beside:
            table = Area(free, paper.top, paper.right, paper.bottom)
        else:
            table = Area(paper.left, bottom, paper.right, paper.bottom)
        fits = right <= paper.right and bottom <= paper.bottom and table.width > 0
        if fits and height(tables, table.width) <= table.height:
            break
    return denominator, areas, table


def _placed(joint: Joint, paper: Area, denominator: int) -> tuple[list[Area], float, float]:
    """The views at a scale, where they and their dimensions end on the right, and what is free beyond [mm]."""
    runs = [dimensions.length(len(joint.told(axis))) for axis in range(3)]
    x, areas = paper.left + LEFT_OF, []
    tall = max(_size(joint, view, denominator)[1] for view in joint.views)
    bottom = paper.top + max(ABOVE + tall, runs[2] - BELOW + EDGE)
    for view in joint.views:
        wide, high = _size(joint, view, denominator)
        areas.append(Area(x, bottom - high, x + wide, bottom))
        right = x + max(wide, runs[axis_of(view.right)] - EDGE)
        caption = lettering.width(joint.caption(view), lettering.SMALL)
        x = max(x + wide + BETWEEN, x + caption + EDGE, right + 2 * EDGE)
    return areas, right, x


def _size(joint: Joint, view: View, denominator: int) -> tuple[float, float]:
    left, bottom, right, top = view.bounds(*spans((joint.zone,)))
    return (right - left) / denominator, (top - bottom) / denominator


def _table(joint: Joint) -> Table:
    """Where each bolt goes, in words and numbers."""
    subject = joint.subject
    rows = []
    for number, each in enumerate(joint.ordered, 1):
        places = ["" if k == each.axis else joint.printed(k, each.head[k]) for k in range(3)]
        from_ = subject.frame.sides.name(AXES[each.axis], -1 if each.toward > 0 else 1)
        through = ", ".join(subject.labels[key] for key in each.parts)
        rows.append((str(number), each.words, through, f"from the {from_}", each.end, *places))
    headings = ("no.", "what", "through", "goes in", "at its end", *(joint.side(k) for k in range(3)))
    return Table(
        "BOLTS", "where the middle of each is, and through which parts, from its head on", headings, tuple(rows)
    )
