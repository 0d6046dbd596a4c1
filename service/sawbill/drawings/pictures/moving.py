"""How pieces move where they are put together or taken apart: what joins them, which ways are free."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.drawings.lines.view import Floats
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import AXES, Box, Point, point
from sawbill.trade.frame import Bolted, Glued, Joint, Screwed
from sawbill.trade.lengths import MM

_PUSHES: Final = 60
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Link:
    """Two pieces, and a joint between them as seen from the first."""

    other: int
    joint: Joint
    above: bool


def links_of(subject: Subject, shown: set[int]) -> Mapping[int, list[Link]]:
    """By piece, what joins it to others."""
    found: dict[int, list[Link]] = defaultdict(list)
    for joint in subject.frame.joints:
        pieces = [subject.piece_of[key] for key in joint.parts]
        for a in dict.fromkeys(pieces):
            for b in dict.fromkeys(pieces):
                if a != b and {a, b} <= shown and not isinstance(joint, Glued):
                    found[a].append(Link(b, joint, above=pieces[0] == a))
    return found


def way_off(subject: Subject, flat: Mapping[int, Whole], piece: int, links: Sequence[Link]) -> Point:
    """Which way a piece leaves its neighbour: a unit step."""
    parent = links[0].other
    screws = [link.joint for link in links if isinstance(link.joint, Screwed)]
    if any(isinstance(link.joint, Bolted) for link in links):
        ways = outward_ways(subject, flat, piece, parent)
        for others in ({link.other for link in links}, {parent}):
            for way in ways:
                if all(free(flat[piece], flat[other], way) for other in others):
                    return way
    elif screws:
        at = AXES.index(screws[0].axis)
        first = subject.piece_of[screws[0].parts[0]] == piece
        return unit(at, -screws[0].toward if first else screws[0].toward)
    return unit(2, 1 if links[0].above else -1)


def outward_ways(subject: Subject, flat: Mapping[int, Whole], piece: int, parent: int) -> list[Point]:
    """The ways a piece may go, the most outward first, as its middle lies to another's; those up and down last."""
    sizes = np.array(subject.frame.bounds.size)
    off = (_middle(flat[piece]) - _middle(flat[parent])) / sizes
    ways = [unit(k, sign) for k in range(3) for sign in (1, -1)]
    return sorted(ways, key=lambda way: (way[2] != 0, way[2] < 0, -round(float(off @ np.array(way)), 6), way))


def free(mover: Whole, still: Whole, way: Point) -> bool:
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


def pushed(
    flat: Mapping[int, Whole], moves: Mapping[int, Point], piece: int, start: Point, way: Point, gap: int
) -> Point:
    """From where its neighbour is, one gap along its way, and on by halves while it meets what was moved before."""
    for halves in range(2, _PUSHES):
        move = point(a + b * (halves * gap // 2) for a, b in zip(start, way, strict=True))
        if not meets(flat, moves, piece, move):
            return move
    return move


def meets(flat: Mapping[int, Whole], moves: Mapping[int, Point], piece: int, move: Point) -> bool:
    """Whether a piece so moved runs into one that was moved before."""
    mine = flat[piece] + np.array(move)
    for other, way in moves.items():
        theirs = flat[other] + np.array(way)
        if ((mine[:, None, 0] < theirs[None, :, 1]) & (mine[:, None, 1] > theirs[None, :, 0])).all(axis=2).any():
            return True
    return False


def there(at: Point, move: Point) -> Floats:
    """A place after a move [mm]."""
    found: Floats = (np.array(at, np.float64) + np.array(move)) / MM
    return found


def place_of(subject: Subject, joint: Joint) -> Point:
    """Where a joint is: its head, or the middle of what touches."""
    if isinstance(joint, Bolted | Screwed):
        return joint.head
    a, b = (subject.frame.boxes[key] for key in (joint.parts[0], joint.parts[-1]))
    low = [max(a.low[k], b.low[k]) for k in range(3)]
    high = [min(a.high[k], b.high[k]) for k in range(3)]
    return point((p + q) // 2 for p, q in zip(low, high, strict=True))


def moved(box: Box, move: Point) -> Box:
    """A box after a move."""
    (dx, dy, dz), (a, b, c), (d, e, f) = move, box.low, box.high
    return Box((a + dx, b + dy, c + dz), (d + dx, e + dy, f + dz))


def corners_of(boxes: Sequence[Box]) -> Whole:
    """The least and the greatest corners of boxes (n, 2, 3) [nm]."""
    return np.array([(box.low, box.high) for box in boxes], np.int64)


def unit(axis: int, toward: int) -> Point:
    """A step along an axis."""
    return point(toward if k == axis else 0 for k in range(3))


def _middle(flat: Whole) -> Floats:
    found: Floats = (flat[:, 0].min(axis=0) + flat[:, 1].max(axis=0)) / 2
    return found
