"""How far an elevation sways when it is pushed, and what its corners bear: beams, springs, and play that must close.

A member is a beam that does not stretch: it moves along itself as one, and bends between its corners. At a corner two
members are held to each other by springs, along, up and against turning. What turns a corner: screws and glue bear at
once; two bolts do once the play of their holes has closed; a bolt and an end that butts once both have. Feet are
pinned to the floor. Forces [N], lengths [mm], turns [rad], clockwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot, pi
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.load_paths import LoadPaths, Member, layer_stiffness
from sawbill.checks.racking.elevations import Corner, Elevation, Fastener
from sawbill.checks.statics import contact, elimination
from sawbill.checks.statics.springs import ACROSS, GLUE, E, slip
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES, Axis, bounds
from sawbill.trade.frame import Bolted
from sawbill.trade.lengths import MM

Floats = NDArray[np.float64]
FIT: Final = 0.5
"""How far an end that butts may be from the face, as it is sawn and put together [mm] (common practice, no source)."""
PINNED: Final = 1e8
"""What holds a foot to the floor [N/mm] (no source)."""
NEAR: Final = 1.0
"""Corners of a member no further apart than this are at one node [mm]."""
FALLS: Final = 1000.0
"""What sways by more than this does not stand [mm]."""

Kind = Literal["screws", "glue", "bolts", "butt"]


@dataclass(slots=True)
class Hold:
    """What holds a corner against turning: how stiff [N mm/rad], and how far it turns before it does [rad].

    sense: clockwise 1, the other way -1, both 0; arm: the moment over it is what each fastener of `by` bears [mm];
    butt: which end that butts presses with as much as all of these.
    """

    corner: int
    kind: Kind
    stiff: float
    play: float
    sense: int
    arm: float
    by: Sequence[Fastener]
    butt: int = -1


@dataclass(slots=True)
class Swayed:
    """An elevation under pushes, a column each: how far the post that is pushed moves at its top; what every corner
    bears along and up, and what every hold does [N mm]; stands: whether it does.

    tops: how high each push is [mm].
    """

    tops: Floats
    sway: Floats
    forces: Floats
    turning: Floats
    stands: NDArray[np.bool_]


def play_of(bolt: Bolted) -> float:
    """How much wider its holes are than a bolt [mm]."""
    return fasteners.bolt_play(fasteners.bolt_sizes()[bolt.size]) / MM


def stiffness(fastener: Fastener) -> float:
    """Kser, a plane it is sheared in [N/mm]."""
    sizes = fasteners.bolt_sizes() if isinstance(fastener, Bolted) else fasteners.screw_sizes()
    return slip(sizes[fastener.size].diameter / MM)


class Racked:
    """An elevation as beams and springs, built once; `pushed` gives how far it sways."""

    def __init__(self, paths: LoadPaths, seen: Elevation) -> None:
        """Number its nodes and their ways to move."""
        self.paths, self.seen = paths, seen
        self.holds = [hold for number, corner in enumerate(seen.corners) for hold in holds_of(number, corner)]
        grounded = set(seen.grounded)
        stations: dict[Member, list[float]] = {
            each: [each.low, each.high] if each in grounded else [] for each in seen.members
        }
        ats = [corner.at for corner in seen.corners]
        for corner, at in zip(seen.corners, ats, strict=True):
            for member in (corner.one, corner.other):
                stations[member].append(at[1] if member.upright else at[0])
        self._nodes = {member: _apart(places) for member, places in stations.items()}
        self._number(ats, grounded)

    def _number(self, ats: Sequence[tuple[float, float]], grounded: set[Member]) -> None:
        """Dofs: every node's move across its member and turn, then every member's move along itself."""
        order = sorted(
            (at if member.upright else 0.0, member.number, i, member)
            for member, places in self._nodes.items() for i, at in enumerate(places)
        )  # fmt: skip
        first = {(number, i): 2 * n for n, (_, number, i, _) in enumerate(order)}
        slides = {}
        count = 2 * len(order)
        for member in self._nodes:
            if member not in grounded:
                slides[member], count = count, count + 1
        turns = np.zeros(count, np.bool_)
        turns[1 : 2 * len(order) : 2] = True
        beams, lengths, rigid = [], [], []
        for member, places in self._nodes.items():
            each = _bends(self.paths, member, self.seen.along)
            for i in range(len(places) - 1):
                a, b = first[member.number, i], first[member.number, i + 1]
                beams.append((a, a + 1, b, b + 1))
                lengths.append(places[i + 1] - places[i])
                rigid.append(each)

        def node(member: Member, at: tuple[float, float]) -> int:
            place = at[1] if member.upright else at[0]
            places = self._nodes[member]
            nearest = min(range(len(places)), key=lambda i: abs(places[i] - place))
            return first[member.number, nearest]

        ties, stiffs, turning = [], [], []
        for corner, at in zip(self.seen.corners, ats, strict=True):
            stiff = _slides(corner)
            moves = []
            for member in (corner.one, corner.other):
                own, slide = node(member, at), slides.get(member, -1)
                moves.append(((own, slide) if member.upright else (slide, own), own + 1))
            (one, turn), (other, turned) = moves
            for a, b in zip(one, other, strict=True):
                both = max(a, b) < 0  # the floor holds either
                ties.append((0, -1) if both else (b, a) if a < 0 else (a, b))
                stiffs.append(0.0 if both else stiff)
            turning.append((turn, turned))
        feet = [first[member.number, 0] for member in self.seen.grounded]
        self.tops = [first[member.number, len(self._nodes[member]) - 1] for member in self.seen.grounded]
        fixed = [(*turning[hold.corner], hold.stiff) for hold in self.holds if not hold.sense]
        self._beams = np.array(beams, np.int64).reshape(-1, 4)
        self._lengths, self._rigid = np.array(lengths, np.float64), np.array(rigid, np.float64)
        self._turns, self._moves = turns, np.array(ties, np.int64).reshape(-1, 2)
        self._stiffs = np.array(stiffs, np.float64)
        self._fixed = np.array([*ties, *((foot, -1) for foot in feet), *((a, b) for a, b, _ in fixed)], np.int64)
        self._fixed_stiff = np.array([*stiffs, *([PINNED] * len(feet)), *(k for _, _, k in fixed)])
        self._held = np.array(
            [turning[hold.corner][:: hold.sense or 1] for hold in self.holds], np.int64
        ).reshape(-1, 2)  # fmt: skip

    def pushed(self, pushes: Sequence[float]) -> Swayed:
        """Each push at the top of every post by itself, to the right and to the left: columns in that order."""
        tops = self.tops
        columns = len(pushes) * len(tops) * 2
        moved = np.zeros((len(self._turns), columns))
        where = [(dof, push * way) for push in pushes for dof in tops for way in (1.0, -1.0)]
        for column, (dof, push) in enumerate(where):
            moved[dof, column] = push
        playing = np.array([bool(hold.sense) for hold in self.holds], np.bool_)
        stiff = np.array([hold.stiff for hold in self.holds])
        gaps = np.array([hold.play for hold in self.holds])
        held = self._held[playing]
        rows = elimination.filled(len(self._turns), self._beams, np.concatenate((self._fixed, held)))
        base = elimination.assembled(
            *rows, self._turns, self._beams, self._lengths, self._rigid, self._fixed, self._fixed_stiff
        )
        order = [*range(0, columns, 2), *range(1, columns, 2)]  # what is shut one way is open the other
        solved, found = np.ascontiguousarray(moved[:, order]), np.empty(columns, np.int64)
        found[order] = contact.pressed(*rows, base, held, stiff[playing], gaps[playing], solved)
        moved[:, order] = solved
        closes = moved[self._held[:, 0]] - moved[self._held[:, 1]]
        turning = stiff[:, None] * (closes - gaps[:, None])
        turning[playing] = np.maximum(turning[playing], 0.0)
        over, under = self._moves.T
        forces = self._stiffs[:, None] * (
            np.where(over[:, None] >= 0, moved[over], 0.0) - np.where(under[:, None] >= 0, moved[under], 0.0)
        )
        sway = np.array([abs(moved[dof, column]) for column, (dof, _) in enumerate(where)])
        heights = np.array([member.high - member.low for member in self.seen.grounded])
        every = np.tile(np.repeat(heights, 2), len(pushes))
        return Swayed(every, sway, forces.reshape(-1, 2, columns), turning, (found > 0) & (sway < FALLS))


def holds_of(number: int, corner: Corner) -> Iterator[Hold]:
    """All that holds a corner against turning."""
    at = corner.at
    screws = [n for n, each in enumerate(corner.fasteners) if not isinstance(each, Bolted)]
    bolts = [n for n, each in enumerate(corner.fasteners) if isinstance(each, Bolted)]
    if len(screws) > 1:
        x, z = (sum(corner.spots[n][i] for n in screws) / len(screws) for i in (0, 1))
        reach = [hypot(corner.spots[n][0] - x, corner.spots[n][1] - z) for n in screws]
        stiffs = [stiffness(corner.fasteners[n]) for n in screws]
        stiff = sum(k * r * r for k, r in zip(stiffs, reach, strict=True))
        most = max(k * r for k, r in zip(stiffs, reach, strict=True))
        if most:
            yield Hold(number, "screws", stiff, 0.0, 0, stiff / most, [corner.fasteners[n] for n in screws])
    for a, b, c, d in corner.glue:
        long = ((b - a) ** 2 + (d - c) ** 2) / 12
        yield Hold(number, "glue", GLUE * long, 0.0, 0, long**0.5, ())
    pairs = [(hypot(corner.spots[a][0] - corner.spots[b][0], corner.spots[a][1] - corner.spots[b][1]), a, b)
             for a, b in combinations(bolts, 2)]  # fmt: skip
    if pairs and (apart := max(pairs))[0] > 0:
        two: list[Bolted] = [corner.fasteners[n] for n in apart[1:]]  # type: ignore[misc]  # both are bolts
        stiff = min(map(stiffness, two)) * apart[0] ** 2 / 2
        play = sum(map(play_of, two)) / apart[0]
        for sense in (1, -1):
            yield Hold(number, "bolts", stiff, play, sense, apart[0], two)
    if corner.butts and corner.fasteners:
        yield from _butting(number, corner, at, [corner.fasteners[n] for n in bolts or screws])


def _butting(number: int, corner: Corner, at: tuple[float, float], by: Sequence[Fastener]) -> Iterator[Hold]:
    """Bolts, and the upper or lower edge of an end that butts.

    Where what lies turns clockwise against the post, it goes to the right above the bolt, and to the left below it: its
    right end presses with its upper edge, its left one with its lower.
    """
    lies = -1 if corner.one.upright else 1
    for i, butt in enumerate(corner.butts):
        for sense in (1, -1):
            arm = butt.high - at[1] if sense * lies * butt.sense > 0 else at[1] - butt.low
            arm -= butt.pressed / 2
            if arm <= 0:
                continue
            wide = butt.against.section.thickness / MM
            face = ACROSS * butt.part.section.thickness / MM * butt.pressed / (wide / 2)
            give = 1 / sum(map(stiffness, by)) + 1 / face
            if butt.prying:
                give += butt.prying**2 / sum(map(_pulled, butt.holding))
            play = max(play_of(each) if isinstance(each, Bolted) else 0.0 for each in by) + FIT
            yield Hold(number, "butt", arm * arm / give, play / arm, sense, arm * len(by), by, i)


def under_washer(bolt: Bolted) -> float:
    """How much wood a bolt's washer presses [mm2]."""
    size = fasteners.bolt_sizes()[bolt.size]
    return pi / 4 * ((size.washer_diameter / MM) ** 2 - (size.diameter / MM) ** 2)


def _pulled(bolt: Bolted) -> float:
    """How stiff a bolt is along itself, its washer pressed into as much wood as it is wide [N/mm]."""
    return ACROSS * under_washer(bolt) / (fasteners.bolt_sizes()[bolt.size].washer_diameter / MM)


def _slides(corner: Corner) -> float:
    """How stiff a corner is against sliding; glue on it holds it as good as for good."""
    return GLUE if corner.glue else sum(map(stiffness, corner.fasteners))


def _bends(paths: LoadPaths, member: Member, along: Axis) -> float:
    """How much a member resists bending in the plane: E I [N mm2]."""
    if not member.upright:
        return E * sum(layer_stiffness(part) for part in member.parts)
    size = bounds(paths.frame.boxes[part.key] for part in member.parts).size
    i = AXES.index(along)
    return E * (size[1 - i] / MM) * (size[i] / MM) ** 3 / 12


def _apart(places: Sequence[float]) -> list[float]:
    found: list[float] = []
    for place in sorted(places):
        if not found or place - found[-1] > NEAR:
            found.append(place)
    return found
