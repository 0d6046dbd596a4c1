"""How far an elevation sways when it is pushed, and what its corners bear: beams, springs, and play that must close.

A member is a beam that does not stretch: it moves along itself as one, and bends between its corners. At a corner two
members are held to each other by springs, along, up and against turning. What turns a corner: screws and glue bear at
once; two bolts do once the play of their holes has closed; a bolt and an end that butts once both have. Feet are
pinned to the floor; what lies on it stays there: `tipping` asks whether it does. Forces [N], lengths [mm],
turns [rad], clockwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, layer_stiffnesses
from sawbill.checks.racking.elevations import Corner, Elevation
from sawbill.checks.racking.holds import Hold, holds_of, stiffness
from sawbill.checks.statics import contact, elimination
from sawbill.checks.statics.springs import GLUE, E
from sawbill.trade.boxes import AXES, Axis, bounds
from sawbill.trade.lengths import MM

Floats = NDArray[np.float64]
PINNED: Final = 1e8
"""What holds a foot to the floor [N/mm] (no source)."""
FLAT: Final = 1e12
"""What holds what lies on the floor against turning [N mm/rad] (no source)."""
NEAR: Final = 1.0
"""Corners of a member no further apart than this are at one node [mm]."""
FALLS: Final = 1000.0
"""What sways by more than this does not stand [mm]."""


@dataclass(slots=True)
class Swayed:
    """An elevation under pushes, a column each: how far the post that is pushed moves at its top; what every corner
    bears along and up, and what every hold does [N mm]; bent: the moment at both ends of every piece of a member, each
    as a row of a piece, then its ends [N mm]; stands: whether it does.

    tops: how high each push is [mm].
    """

    tops: Floats
    sway: Floats
    forces: Floats
    turning: Floats
    bent: Floats
    stands: NDArray[np.bool_]


class Racked:
    """An elevation as beams and springs, built once; `pushed` gives how far it sways.

    places: where the nodes of every member are along it [mm]; rows: which rows its pieces between them are.
    """

    def __init__(self, paths: LoadPaths, seen: Elevation) -> None:
        """Number its nodes and their ways to move."""
        self.paths, self.seen = paths, seen
        self.holds = [hold for number, corner in enumerate(seen.corners) for hold in holds_of(number, corner)]
        grounded, pushed = set(seen.grounded), set(seen.pushed)
        stations: dict[Member, list[float]] = {
            each: [each.low] * (each in grounded) + [each.high] * (each in pushed) for each in seen.members
        }
        ats = [corner.at for corner in seen.corners]
        for corner, at in zip(seen.corners, ats, strict=True):
            for member in (corner.one, corner.other):
                stations[member].append(at[1] if member.upright else at[0])
        self.places = {member: _apart(places) for member, places in stations.items()}
        self._number(ats, grounded)

    def without(self, left: Sequence[Hold]) -> Racked:
        """The same, some of its holds taken as not there."""
        other = copy(self)
        other.holds = [hold for hold in self.holds if hold not in left]
        other._hold()
        return other

    def _number(self, ats: Sequence[tuple[float, float]], grounded: set[Member]) -> None:
        """Dofs: every node's move across its member and its turn, then every member's move along itself."""
        order = sorted(
            (at if member.upright else 0.0, member.number, i)
            for member, places in self.places.items() for i, at in enumerate(places)
        )  # fmt: skip
        self._first = {(number, i): 2 * n for n, (_, number, i) in enumerate(order)}
        slides = [member for member in self.places if member not in grounded]
        self._slides = {member: 2 * len(order) + n for n, member in enumerate(slides)}
        self._turns = np.zeros(2 * len(order) + len(slides), np.bool_)
        self._turns[1 : 2 * len(order) : 2] = True
        feet = [self._first[member.number, 0] for member in self.seen.grounded]
        flat = [self._first[each.number, i] for each in self.seen.flat for i in range(len(self.places[each]))]
        self.pushed_at = self.seen.pushed
        self.tops = [self._first[member.number, len(self.places[member]) - 1] for member in self.pushed_at]
        self._span()
        self._turning = self._tie(ats)
        self._feet = [*((foot, -1, PINNED) for foot in (*feet, *flat)), *((dof + 1, -1, FLAT) for dof in flat)]
        self._hold()

    def _hold(self) -> None:
        """The springs of what is always there, and the dofs that each hold ties."""
        turning = self._turning
        fixed = [*self._feet, *((*turning[hold.corner], hold.stiff) for hold in self.holds if not hold.sense)]
        self._fixed = np.array([*self._moves.tolist(), *((a, b) for a, b, _ in fixed)], np.int64)
        self._fixed_stiff = np.array([*self._stiffs, *(k for _, _, k in fixed)])
        held = [turning[hold.corner][:: hold.sense or 1] for hold in self.holds]
        self._held = np.array(held, np.int64).reshape(-1, 2)

    def _span(self) -> None:
        """The beams between the nodes of each member."""
        beams: list[tuple[int, int, int, int]] = []
        lengths, rigid, self.rows = [], [], dict[Member, range]()
        for member, places in self.places.items():
            self.rows[member] = range(len(beams), len(beams) + len(places) - 1)
            each = _bends(self.paths, member, self.seen.along)
            for i, (low, high) in enumerate(pairwise(places)):
                a, b = self._first[member.number, i], self._first[member.number, i + 1]
                beams.append((a, a + 1, b, b + 1))
                lengths.append(high - low)
                rigid.append(each)
        self._beams = np.array(beams, np.int64).reshape(-1, 4)
        self._lengths, self._rigid = np.array(lengths, np.float64), np.array(rigid, np.float64)

    def _tie(self, ats: Sequence[tuple[float, float]]) -> list[tuple[int, int]]:
        """The springs of corners along and up; the dofs by which each turns."""
        ties, stiffs, turning = [], [], []
        for corner, at in zip(self.seen.corners, ats, strict=True):
            stiff, moves = _slides(corner), []
            for member in (corner.one, corner.other):
                own, slide = self._node(member, at), self._slides.get(member, -1)
                moves.append(((own, slide) if member.upright else (slide, own), own + 1))
            (one, turn), (other, turned) = moves
            for a, b in zip(one, other, strict=True):
                both = max(a, b) < 0  # the floor holds either
                ties.append((0, -1) if both else (b, a) if a < 0 else (a, b))
                stiffs.append(0.0 if both else stiff)
            turning.append((turn, turned))
        self._moves, self._stiffs = np.array(ties, np.int64).reshape(-1, 2), np.array(stiffs, np.float64)
        return turning

    def _node(self, member: Member, at: tuple[float, float]) -> int:
        place, places = at[1] if member.upright else at[0], self.places[member]
        return self._first[member.number, min(range(len(places)), key=lambda i: abs(places[i] - place))]

    def pushed(self, pushes: Sequence[float]) -> Swayed:
        """Each push at the top of every post, and of what stands on it, by itself, to the right and to the left.

        Columns in that order.
        """
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
        floor = self.paths.frame.bounds.low[2] / MM
        heights = np.array([member.high - floor for member in self.pushed_at])
        every = np.tile(np.repeat(heights, 2), len(pushes))
        stands = (found > 0) & (sway < FALLS)
        return Swayed(every, sway, forces.reshape(-1, 2, columns), turning, self._bent(moved), stands)

    def _bent(self, moved: Floats) -> Floats:
        """The moments at both ends of every piece, of how its four dofs have moved."""
        one, turn, other, turned = (moved[dofs] for dofs in self._beams.T)
        by = self._rigid / self._lengths
        slope = 3 * (one - other) / self._lengths[:, None]
        ends = np.stack((slope + 2 * turn + turned, slope + turn + 2 * turned), axis=1)
        return np.abs(2 * by[:, None, None] * ends)


def _slides(corner: Corner) -> float:
    """How stiff a corner is against sliding; glue on it holds it as good as for good."""
    return GLUE if corner.glue else sum(map(stiffness, corner.fasteners))


def _bends(paths: LoadPaths, member: Member, along: Axis) -> float:
    """How much a member resists bending in the plane: E I [N mm2]."""
    if not member.upright:
        return E * sum(layer_stiffnesses(member.parts))
    size = bounds(paths.frame.boxes[part.key] for part in member.parts).size
    i = AXES.index(along)
    return E * (size[1 - i] / MM) * (size[i] / MM) ** 3 / 12


def _apart(places: Sequence[float]) -> list[float]:
    found: list[float] = []
    for place in sorted(places):
        if not found or place - found[-1] > NEAR:
            found.append(place)
    return found
