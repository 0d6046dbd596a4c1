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

import numpy as np
from numpy.typing import NDArray

from sawbill.drawings.lines.view import Floats
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import AXES, Box, Point, bounds, point
from sawbill.trade.frame import Bolted, Glued, Joint, Screwed
from sawbill.trade.lengths import MM

GAP: Final = (13, 100)
"""How far apart pieces are moved, as a share of the longest side of the frame."""
SHOWN: Final = 3
"""Of a row of more loose pieces than this, the first two and the last are drawn."""
_PUSHES: Final = 60
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Exploded:
    """By piece, its way from where it stands [nm]; trails: ways of joints, from point to point in space [mm]."""

    moves: Mapping[int, Point]
    trails: tuple[tuple[Floats, Floats], ...]
    hidden: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class _Link:
    """Two pieces, and a joint between them as seen from the first."""

    other: int
    joint: Joint
    above: bool


def explode(subject: Subject) -> Exploded:
    """Move the pieces of a frame apart; those left out of long rows are not among them."""
    shown, hidden = _shown(subject)
    gap = max(subject.frame.bounds.size) * GAP[0] // GAP[1]
    flat = {i: _corners(subject.boxes(subject.pieces[i].parts)) for i in shown}
    links = _links(subject, set(shown))
    moves: dict[int, Point] = {}
    parents: dict[int, tuple[int, Point]] = {}
    for piece, parent in _outward(subject, shown, links):
        if parent is None:
            moves[piece] = (0, 0, 0) if not moves else _aside(flat, moves, piece, gap)
            continue
        joined = [link for link in links[piece] if link.other == parent]
        start, way = moves[parent], _way(subject, flat, piece, joined)
        if way[2] and flat[piece][:, 0, 2].min() == 0:  # what stands on the floor stays on it
            start, way = (start[0], start[1], 0), _outward_ways(subject, flat, piece, next(iter(moves)))[0]
        moves[piece] = _pushed(flat, moves, piece, start, way, gap)
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


def _links(subject: Subject, shown: set[int]) -> Mapping[int, list[_Link]]:
    """By piece, what joins it to others."""
    found: dict[int, list[_Link]] = defaultdict(list)
    for joint in subject.frame.joints:
        pieces = [subject.piece_of[key] for key in joint.parts]
        for a in dict.fromkeys(pieces):
            for b in dict.fromkeys(pieces):
                if a != b and {a, b} <= shown and not isinstance(joint, Glued):
                    found[a].append(_Link(b, joint, above=pieces[0] == a))
    return found


def _outward(
    subject: Subject, shown: Sequence[int], links: Mapping[int, list[_Link]]
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


def _way(subject: Subject, flat: Mapping[int, Whole], piece: int, links: Sequence[_Link]) -> Point:
    """Which way a piece leaves its neighbour: a unit step."""
    parent = links[0].other
    screws = [link.joint for link in links if isinstance(link.joint, Screwed)]
    if any(isinstance(link.joint, Bolted) for link in links):
        for way in _outward_ways(subject, flat, piece, parent):
            if _free(flat[piece], flat[parent], way):
                return way
    elif screws:
        at = AXES.index(screws[0].axis)
        first = subject.piece_of[screws[0].parts[0]] == piece
        return _step(at, -screws[0].toward if first else screws[0].toward)
    return _step(2, 1 if links[0].above else -1)


def _outward_ways(subject: Subject, flat: Mapping[int, Whole], piece: int, parent: int) -> list[Point]:
    """The ways a piece may go, the most outward first, as its middle lies to another's; those up and down last."""
    sizes = np.array(subject.frame.bounds.size)
    off = (_middle(flat[piece]) - _middle(flat[parent])) / sizes
    ways = [_step(k, sign) for k in range(3) for sign in (1, -1)]
    return sorted(ways, key=lambda way: (way[2] != 0, way[2] < 0, -round(float(off @ np.array(way)), 6), way))


def _free(mover: Whole, still: Whole, way: Point) -> bool:
    """Whether boxes can leave others for good along an axis: none of them stands in the way."""
    k = next(k for k in range(3) if way[k])
    others = [j for j in range(3) if j != k]
    meet = np.ones((len(mover), len(still)), np.bool_)
    for j in others:
        meet &= (mover[:, None, 0, j] < still[None, :, 1, j]) & (mover[:, None, 1, j] > still[None, :, 0, j])
    if way[k] > 0:
        meet &= still[None, :, 1, k] > mover[:, None, 0, k]
    else:
        meet &= still[None, :, 0, k] < mover[:, None, 1, k]
    return not meet.any()


def _pushed(
    flat: Mapping[int, Whole], moves: Mapping[int, Point], piece: int, start: Point, way: Point, gap: int
) -> Point:
    """From where its neighbour is, one gap along its way, and on by halves while it meets what was moved before."""
    for halves in range(2, _PUSHES):
        move = point(a + b * (halves * gap // 2) for a, b in zip(start, way, strict=True))
        if not _meets(flat, moves, piece, move):
            return move
    return move


def _aside(flat: Mapping[int, Whole], moves: Mapping[int, Point], piece: int, gap: int) -> Point:
    """A piece that nothing joins stays where it is, or goes up where others came to be there."""
    return _pushed(flat, moves, piece, (0, 0, -gap), (0, 0, 1), gap)


def _meets(flat: Mapping[int, Whole], moves: Mapping[int, Point], piece: int, move: Point) -> bool:
    mine = flat[piece] + np.array(move)
    for other, way in moves.items():
        theirs = flat[other] + np.array(way)
        if ((mine[:, None, 0] < theirs[None, :, 1]) & (mine[:, None, 1] > theirs[None, :, 0])).all(axis=2).any():
            return True
    return False


def _trails(
    subject: Subject, links: Mapping[int, list[_Link]], moves: Mapping[int, Point],
    parents: Mapping[int, tuple[int, Point]],
) -> Iterator[tuple[Floats, Floats]]:  # fmt: skip
    """Where joints came from, drawn along the way that the piece moved."""
    for piece, (parent, way) in parents.items():
        places: dict[tuple[int, ...], Point] = {}
        k = next(k for k in range(3) if way[k])
        moved = [a != b for a, b in zip(moves[piece], moves[parent], strict=True)]
        for link in links[piece] if moved == [j == k for j in range(3)] else ():
            if link.other == parent:
                at = _place(subject, link.joint)
                places.setdefault(tuple(at[j] for j in range(3) if j != k), at)
        for at in _ends(list(places.values())):
            yield _there(at, moves[parent]), _there(at, moves[piece])


def _there(at: Point, move: Point) -> Floats:
    found: Floats = (np.array(at, np.float64) + np.array(move)) / MM
    return found


def _ends(places: list[Point]) -> list[Point]:
    """The first and the last of many places: more trails than that are a curtain."""
    return places if len(places) <= 2 else [min(places), max(places)]


def _place(subject: Subject, joint: Joint) -> Point:
    """Where a joint is: its head, or the middle of what touches."""
    if isinstance(joint, Bolted | Screwed):
        return joint.head
    a, b = (subject.frame.boxes[key] for key in (joint.parts[0], joint.parts[-1]))
    low = [max(a.low[k], b.low[k]) for k in range(3)]
    high = [min(a.high[k], b.high[k]) for k in range(3)]
    return point((p + q) // 2 for p, q in zip(low, high, strict=True))


def _middle(flat: Whole) -> Floats:
    found: Floats = (flat[:, 0].min(axis=0) + flat[:, 1].max(axis=0)) / 2
    return found


def _corners(boxes: Sequence[Box]) -> Whole:
    return np.array([(box.low, box.high) for box in boxes], np.int64)


def _step(axis: int, toward: int) -> Point:
    return point(toward if k == axis else 0 for k in range(3))
