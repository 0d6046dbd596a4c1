"""How far each carried piece is moved from where it stands, so that all are seen beside each other.

From the piece on the floor with most bolts outward, from neighbour to neighbour. What is bolted leaves its neighbour
the way that leads most outward of those that are free; what is screwed leaves along its screws, what rests or hangs
goes up. A piece that still meets others is pushed on.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.drawings.lines.view import Floats
from sawbill.drawings.pictures.moving import (
    Link,
    Whole,
    corners_of,
    links_of,
    outward_ways,
    place_of,
    pushed,
    there,
    way_off,
)
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import Point, bounds
from sawbill.trade.frame import Bolted, Joint
from sawbill.trade.lengths import MM

GAP: Final = (13, 100)
"""How far apart pieces are moved, as a share of the longest side of the frame."""
SHOWN: Final = 3
"""Of a row of more loose pieces than this, the first two and the last are drawn."""


@dataclass(frozen=True, slots=True)
class Exploded:
    """By piece, its way from where it stands [nm]; trails: ways of joints, from point to point in space [mm]."""

    moves: Mapping[int, Point]
    trails: tuple[tuple[Floats, Floats], ...]
    hidden: Mapping[str, int]


def explode(subject: Subject) -> Exploded:
    """Move the pieces of a frame apart; those left out of long rows are not among them."""
    shown, hidden = _shown(subject)
    gap = max(subject.frame.bounds.size) * GAP[0] // GAP[1]
    flat = {i: corners_of(subject.boxes(subject.pieces[i].parts)) for i in shown}
    links = links_of(subject, set(shown))
    moves: dict[int, Point] = {}
    parents: dict[int, tuple[int, Point]] = {}
    for piece, parent in _outward(subject, shown, links):
        if parent is None:
            moves[piece] = (0, 0, 0) if not moves else _aside(flat, moves, piece, gap)
            continue
        joined = [link for link in links[piece] if link.other == parent]
        start, way = moves[parent], way_off(subject, flat, piece, joined)
        if way[2] and flat[piece][:, 0, 2].min() == 0:  # what stands on the floor stays on it
            start, way = (start[0], start[1], 0), outward_ways(subject, flat, piece, next(iter(moves)))[0]
        moves[piece] = pushed(flat, moves, piece, start, way, gap)
        parents[piece] = parent, way
    return Exploded(moves, tuple(_trails(subject, links, moves, parents)), hidden)


def _shown(subject: Subject) -> tuple[list[int], dict[str, int]]:
    """The pieces drawn, of rows of loose boards alike the first two and the last; of each kind how many are not."""
    boxes = [bounds(subject.boxes(piece.parts)) for piece in subject.pieces]
    alike: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for i, piece in enumerate(subject.pieces):
        name = tuple(subject.labels[key] for key in piece.parts) if len(piece.parts) == 1 else (i,)
        alike[(piece.kind, name, boxes[i].size)].append(i)
    left_out: set[int] = set()
    hidden: dict[str, int] = {}
    for fellows in alike.values():
        for row in _rows(fellows, [boxes[i].low for i in fellows]):
            if len(row) > SHOWN:
                left_out |= set(row[2:-1])
                kind = subject.pieces[row[0]].kind
                hidden[kind] = hidden.get(kind, 0) + len(row) - SHOWN
    return [i for i in range(len(subject.pieces)) if i not in left_out], hidden


def _rows(fellows: Sequence[int], lows: Sequence[Point]) -> list[list[int]]:
    """Pieces alike as the rows they stand in: along the floor if they are spread there, else one above the other."""
    spread = [len({low[k] for low in lows}) for k in range(3)]
    along = spread.index(max(spread[:2])) if max(spread[:2]) > 1 else 2
    rows: dict[tuple[int, ...], list[int]] = defaultdict(list)
    for i, low in zip(fellows, lows, strict=True):
        rows[tuple(low[k] for k in range(3) if k != along)].append(i)
    return list(rows.values())


def _outward(
    subject: Subject, shown: Sequence[int], links: Mapping[int, list[Link]]
) -> Iterator[tuple[int, int | None]]:
    """Every piece with the neighbour it leaves, the nearest first; a piece without one begins anew."""
    low = {i: bounds(subject.boxes(subject.pieces[i].parts)) for i in shown}
    bolts = {i: sum(isinstance(joint, Bolted) for joint in _joints(subject, i)) for i in shown}

    def rank(i: int) -> tuple[bool, int, int, int]:
        x, y, z = low[i].size
        return low[i].low[2] > 0, -bolts[i], -(x // MM) * (y // MM) * (z // MM), i

    done: set[int] = set()
    for root in sorted(shown, key=rank):
        if root in done:
            continue
        done.add(root)
        yield root, None
        ring = [root]
        while ring:
            after = []
            for parent in ring:
                for link in links[parent]:
                    if link.other not in done:
                        done.add(link.other)
                        after.append(link.other)
                        yield link.other, parent
            ring = after


def _joints(subject: Subject, piece: int) -> list[Joint]:
    mine = set(subject.pieces[piece].parts)
    return [joint for joint in subject.frame.joints if mine & set(joint.parts)]


def _aside(flat: Mapping[int, Whole], moves: Mapping[int, Point], piece: int, gap: int) -> Point:
    """A piece that nothing joins stays where it is, or goes up where others came to be there."""
    return pushed(flat, moves, piece, (0, 0, -gap), (0, 0, 1), gap)


def _trails(
    subject: Subject, links: Mapping[int, list[Link]], moves: Mapping[int, Point],
    parents: Mapping[int, tuple[int, Point]],
) -> Iterator[tuple[Floats, Floats]]:  # fmt: skip
    """Where joints came from, drawn along the way that the piece moved."""
    for piece, (parent, way) in parents.items():
        places: dict[tuple[int, ...], Point] = {}
        k = next(k for k in range(3) if way[k])
        moved = [a != b for a, b in zip(moves[piece], moves[parent], strict=True)]
        for link in links[piece] if moved == [j == k for j in range(3)] else ():
            if link.other == parent:
                at = place_of(subject, link.joint)
                places.setdefault(tuple(at[j] for j in range(3) if j != k), at)
        for at in _ends(list(places.values())):
            yield there(at, moves[parent]), there(at, moves[piece])


def _ends(places: list[Point]) -> list[Point]:
    """The first and the last of many places: more trails than that are a curtain."""
    return places if len(places) <= 2 else [min(places), max(places)]
