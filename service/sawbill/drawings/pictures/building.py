"""Putting together, stage by stage: what is there in light lines, what comes next in full, and where it goes.

Taking apart shows the same backwards: what is left in light lines, and what comes off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import numpy as np

from sawbill.drawings.lines.view import ISOMETRIC, Floats
from sawbill.drawings.paper.sheet import Area, Page, Sheet
from sawbill.drawings.paper.table import Table, draw_tables, height
from sawbill.drawings.pictures.moving import (
    Link,
    Whole,
    corners_of,
    free,
    links_of,
    moved,
    outward_ways,
    place_of,
    pushed,
    there,
    way_off,
)
from sawbill.drawings.pictures.picture import Picture, draw
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import Point

GAP: Final = (8, 100)
"""How far what comes is from its place, as a share of the longest side of the frame."""
WORDS: Final = (66.0, 84.0, 104.0)
"""How wide the words beside a picture may be: the least that has room for them [mm]."""
SINGLE: Final = 3
"""Of more pieces than this only the first and the last have an arrow."""
INSET: Final = 4.0


def building(subject: Subject, turn: int) -> Page:
    """The picture of a stage, counted from 0: how its piece goes up."""
    stage = subject.stages[turn]
    what = f"step {turn + 1} of {len(subject.stages)}: {stage.called}"
    words = f"What is there already in light lines, what comes now in full lines. {stage.text}."
    page = subject.sheet(f"step-{turn + 1}", what, words)
    return _drawn(subject, turn, page, what, stage.text, stage.cautions, up=True)


def taking_apart(subject: Subject, turn: int) -> Page:
    """The picture of taking apart, counted from 0: how the piece that went up last but so many comes off."""
    stages = subject.stages
    stage = stages[-1 - turn]
    what = f"taking apart {turn + 1} of {len(stages)}: {stage.called}"
    words = f"What is left in light lines, what comes off in full lines. {stage.apart}."
    page = subject.sheet(f"apart-{turn + 1}", what, words)
    return _drawn(subject, len(stages) - 1 - turn, page, what, stage.apart, stage.apart_cautions, up=False)


def _drawn(
    subject: Subject, turn: int, page: Sheet, what: str, text: str, cautions: Sequence[str], *, up: bool
) -> Page:  # fmt: skip
    """The picture, with what is done and the parts it is done with in words beside it."""
    tables = _tables(subject, turn, text, cautions)
    area = page.area.inset(INSET)
    wide = next((each for each in WORDS if height(tables, each) <= area.height), WORDS[-1])
    beside = Area(page.area.left, page.area.top, area.right - wide - INSET, page.area.bottom)
    unseen = draw(page.canvas, beside, _picture(subject, turn, up=up), margin=11.0)
    if unseen:
        tables.append(Table("NOT SEEN", f"{', '.join(unseen)}: behind other parts; see the sheet of the piece", (), ()))
    draw_tables(page.canvas, tables, Area(area.right - wide, area.top, area.right, area.bottom))
    return Page(page.name, what, page.canvas.svg(), tuple(unseen))


def _tables(subject: Subject, turn: int, text: str, cautions: Sequence[str]) -> list[Table]:
    """What is done, the parts, what to take care of."""
    stage, frame = subject.stages[turn], subject.frame
    names = {subject.labels[key]: frame.by_key[key].name for key in stage.parts}
    rows = tuple((mark, names[mark], str(count)) for mark, count in stage.marked(subject.labels))
    return [
        Table("DO", text, (), ()),
        Table("PARTS", "", ("mark", "what", "count"), rows),
        *(Table("CAUTION", caution, (), ()) for caution in cautions),
    ]


def _picture(subject: Subject, turn: int, *, up: bool) -> Picture:
    mine = subject.turns[turn]
    earlier = tuple(piece for pieces in subject.turns[:turn] for piece in pieces)
    moves = _arrivals(subject, mine, earlier)
    faint = [key for piece in earlier for key in subject.pieces[piece].parts]
    boxes = {key: subject.frame.boxes[key] for key in faint}
    for piece in mine:
        boxes |= {key: moved(subject.frame.boxes[key], moves[piece]) for key in subject.pieces[piece].parts}
    counts = Counter(subject.labels[key] for piece in mine for key in subject.pieces[piece].parts)
    arrows = [*_arrows(subject, mine, earlier, moves, up=up)]
    return Picture(
        ISOMETRIC, boxes, subject.grain(tuple(boxes)), subject.labels, counts, arrows=arrows, faint=frozenset(faint)
    )


def _arrivals(subject: Subject, mine: Sequence[int], earlier: Sequence[int]) -> Mapping[int, Point]:
    """How far each piece is drawn from its place; what nothing holds yet stands there already [nm]."""
    links = links_of(subject, {*mine, *earlier})
    flat = {i: corners_of(subject.boxes(subject.pieces[i].parts)) for i in (*mine, *earlier)}
    gap = max(subject.frame.bounds.size) * GAP[0] // GAP[1]
    still = dict.fromkeys(earlier, (0, 0, 0))
    moves = {}
    for piece in mine:
        joined = [link for link in links[piece] if link.other in still]
        if not joined:
            moves[piece] = (0, 0, 0)
            continue
        way = _free_way(subject, flat, piece, joined, earlier)
        moves[piece] = pushed(flat, still, piece, (0, 0, 0), way, gap)
    return moves


def _free_way(
    subject: Subject, flat: Mapping[int, Whole], piece: int, joined: Sequence[Link], earlier: Sequence[int]
) -> Point:
    """The way its joints want if nothing that stands is in it, else the most outward one that is free."""
    (parent, _), *_ = Counter(link.other for link in joined).most_common()
    wanted = way_off(subject, flat, piece, [link for link in joined if link.other == parent])
    there_already = np.concatenate([flat[each] for each in earlier])
    ways = [wanted, *outward_ways(subject, flat, piece, parent)]
    return next((way for way in ways if way[2] >= 0 and free(flat[piece], there_already, way)), wanted)


def _arrows(
    subject: Subject, mine: Sequence[int], earlier: Sequence[int], moves: Mapping[int, Point], *, up: bool
) -> Iterator[Sequence[tuple[Floats, Floats]]]:
    """For each piece, the ways of its joints that an arrow may be drawn along."""
    links = links_of(subject, {*mine, *earlier})
    moving = [piece for piece in mine if any(moves[piece])]
    for piece in moving if len(moving) <= SINGLE else (moving[0], moving[-1]):
        places = sorted({place_of(subject, link.joint) for link in links[piece] if link.other in earlier})
        for some in _halves(places) if len(moving) <= SINGLE else [places]:
            ways = [(there(at, moves[piece]), there(at, (0, 0, 0))) for at in some]
            yield ways if up else [(end, start) for start, end in ways]


def _halves(places: Sequence[Point]) -> list[Sequence[Point]]:
    """Places near one end, and near the other, along the axis they are spread most: each gets an arrow."""
    spread = [max(at[k] for at in places) - min(at[k] for at in places) for k in range(3)]
    k = spread.index(max(spread))
    middle = (max(at[k] for at in places) + min(at[k] for at in places)) / 2
    near, far = [at for at in places if at[k] <= middle], [at for at in places if at[k] > middle]
    return [near, far] if far else [near]
