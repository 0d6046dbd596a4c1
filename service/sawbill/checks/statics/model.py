"""A frame as springs and beams: what stands or lies, where members meet, and how stiff they are there.

What lies bends in its upright plane; what stands goes up and down. Wherever members meet is a spring: what rests can
only press. All wood is taken as alike, so that a better grade draws no load: only the shapes share it. Forces [N],
lengths [mm], stiffness [N/mm].
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.statics import along, contact, elimination, loading
from sawbill.checks.statics.elimination import Floats, Ints
from sawbill.checks.statics.nodes import Nodes, beams_between
from sawbill.checks.statics.springs import FLOOR, SOFT, STIFF, Spring, held_at, stiffness

Patch = tuple[float, float, float]
"""A load spread evenly: where it begins and ends along a member, and how much it is in all; a point where both meet."""
Way = tuple[float, bool]
"""How stiff fasteners are, in how many times as by the book; whether a ladder is there."""
Loads = Mapping[Member, Sequence[Patch]]

HELD: Final = 1e9
"""What would turn or fall is held by this, and named [N mm, N/mm] (no source)."""
LOOSE: Final = 1000.0
"""What gives way by more than this does not stand [mm]."""
_POINT: Final = 1e-3
"""What stands at a point is spread over this much [mm]."""


@dataclass(frozen=True, slots=True)
class State:
    """How far all dofs give way, how much every spring closes, what it bears, by column; found: whether that was."""

    moved: Floats
    closes: Floats
    force: Floats
    found: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Solved:
    """What each column of loads does, `columns` of them for each way the frame may be as stiff.

    forces: what the one presses onto the other at every link; floor: what every member presses onto the floor;
    moments, shears: the most in every piece of a member between two nodes (see `Model.pieces`) [N mm, N]; bent: the
    moment at every node [N mm]; gone: which members give way by so much that nothing holds them; stands: whether the
    frame does.
    """

    columns: int
    forces: Floats
    floor: Floats
    moments: Floats
    shears: Floats
    bent: Floats
    gone: NDArray[np.bool_]
    stands: NDArray[np.bool_]


class Model:
    """A frame's springs and beams, built once; `solve` puts loads on it.

    nodes: where something holds a member; springs: every one, in the order of links, then the floor under each member.
    """

    def __init__(self, paths: LoadPaths) -> None:
        """Of the members and links of a frame."""
        self.paths = paths
        self._attached: list[list[float]] = [[] for _ in paths.members]
        sides = [held_at(link) for link in paths.links]
        for link, side in zip(paths.links, sides, strict=True):
            for over, under in side:
                self._attached[link.member.number].append(over)
                self._attached[link.carrier.number].append(under)
        for member in paths.grounded:
            self._attached[member.number] += (member.low, member.high)
        self.nodes = Nodes(paths, self._attached)
        self.springs = [*self._springs(sides), *self._floor()]
        self._beams = beams_between(paths, self.nodes)
        self._spans = np.array([(0.0, 0.0) if each.upright else (each.low, each.high) for each in paths.members])
        self._number()

    def _number(self) -> None:
        """The springs as arrays: the nodes and the dofs that each ties, how stiff it is, what it is."""
        told = np.array([spring[:7] for spring in self.springs], np.float64).reshape(-1, 7).T
        over, under = told[:2].astype(np.int64)
        self._over, self._under, self._stiff = over, under, told[2].copy()
        self._presses, self._fastener, self._idle, self._climbed = told[3:].astype(np.bool_)
        self._links = np.array([spring.link for spring in self.springs], np.int64)
        dofs = self.nodes.dofs
        self._turns = np.zeros(int(dofs.max()) + 1, np.bool_)
        self._turns[dofs[dofs[:, 1] >= 0, 1]] = True
        self._ties = np.stack((dofs[over, 0], np.where(under < 0, -1, dofs[under, 0])), axis=1)
        self._held = self._held_elsewhere()
        self._rows = elimination.filled(len(self._turns), self._beams.dofs, self._ties)

    def _held_elsewhere(self) -> Ints:
        """The dofs by which what is held at one place alone would turn, and what is held at none would fall."""
        found = []
        for member, places, attached in zip(self.paths.members, self.nodes.of, self._attached, strict=True):
            node = self.nodes.first(member)
            if not attached and member not in self.paths.grounded:
                found.append(self.nodes.dofs[node, 0])
            if not member.upright and len(places) < 2:
                found.append(self.nodes.dofs[node, 1])
        return np.array([(dof, -1) for dof in found], np.int64).reshape(-1, 2)

    @property
    def loose(self) -> tuple[Member, ...]:
        """What is held at one place alone and would turn there, or at none: it is taken to be held, and is named."""
        held = {int(dof) for dof, _ in self._held}
        own = ((member, self.nodes.dofs[self.nodes.first(member)].tolist()) for member in self.paths.members)
        return tuple(member for member, dofs in own if held & {*dofs})

    def solve(self, always: Loads, cases: Sequence[Loads], ways: Sequence[Way] | None = None) -> Solved:
        """What loads do, each case on top of what is always there, for each way the frame may be as stiff."""
        loads, patches, first = self._loaded(always, cases)
        told = ways or self.ways()
        count, columns, members = len(cases), len(cases) * len(told), len(self.paths.members)
        up, forces, floor, moments, shears, bent = self._room(columns)
        gone, found = np.zeros((members, columns), np.bool_), np.zeros(columns, np.bool_)
        starts = self.nodes.starts
        for number, way in enumerate(told):
            state, at = self._state(loads, way), number * count
            loading.gathered(self._over, self._under, self._links, state.force, up, forces, floor, at)
            loading.gone_from(starts, self.nodes.dofs, state.moved, LOOSE, gone, at)
            found[at : at + count] = state.found
        along.effects(starts, self._spans, self.nodes.places, up, patches, first, count, moments, shears, bent)
        return Solved(count, forces, floor, moments, shears, bent, gone, found & ~gone.any(axis=0))

    def _room(self, columns: int) -> Sequence[Floats]:
        """Room for so many columns: what holds the nodes up, forces, the floor, moments, shears, what is bent at nodes.

        All at once: of one large piece the memory is used again by the next frame, and not asked for anew.
        """
        nodes, links, members = len(self.nodes.places), len(self.paths.links), len(self.paths.members)
        pieces = nodes + members
        ends = np.cumsum([nodes, links, members, pieces, pieces, nodes])
        return np.split(np.zeros((int(ends[-1]), columns)), ends[:-1])

    def _loaded(self, always: Loads, cases: Sequence[Loads]) -> tuple[Floats, Floats, Ints]:
        """The loads on every dof, a column a case; all patches, and where those of each member and case begin."""
        patches, which, columns = self._patches(always, cases)
        loads = np.zeros((len(self._turns), len(cases)))
        nodes = self.nodes
        loading.spread_over(loads, patches, which, columns, nodes.starts, nodes.places, nodes.dofs)
        every = np.arange(len(self.paths.members) * (len(cases) + 1) + 1)
        return loads, patches, np.searchsorted(which * (len(cases) + 1) + columns + 1, every)

    def ways(self) -> list[Way]:
        """The ways to reckon: soft and stiff fasteners, with and without a ladder."""
        stiff = (SOFT, STIFF) if self._fastener.any() else (1.0,)
        ladder = (True, False) if self._climbed.any() else (True,)
        return [(each, there) for there in ladder for each in stiff]

    def _patches(self, always: Loads, cases: Sequence[Loads]) -> tuple[Floats, Ints, Ints]:
        """All loads, by member and column: (from, to, how much, how much for each mm), the member and the column."""
        told = [
            (member.number, column, (low + high) / 2, max(high - low, _POINT) / 2, load)
            for column, loads in enumerate((always, *cases), -1)
            for member, patches in loads.items() for low, high, load in patches
        ]  # fmt: skip
        told.sort()
        table = np.array(told or [(0, 0, 0.0, 1.0, 0.0)])
        middle, half = table[:, 2], table[:, 3]
        patches = np.stack((middle - half, middle + half, table[:, 4], table[:, 4] / (2 * half)), axis=1)
        return np.ascontiguousarray(patches), table[:, 0].astype(np.int64), table[:, 1].astype(np.int64)

    def state(self, always: Loads, cases: Sequence[Loads], way: Way) -> State:
        """How all springs are under the same loads, for one way."""
        loads, _, _ = self._loaded(always, cases)
        return self._state(loads, way)

    def _state(self, loads: Floats, way: Way) -> State:
        ties, presses, stiff = self._ties, self._presses, self._stiffness_in(way)
        fixed = np.concatenate((ties[~presses], self._held))
        stiffs = np.concatenate((stiff[~presses], [HELD] * len(self._held)))
        beams = self._beams
        base = elimination.assembled(*self._rows, self._turns, beams.dofs, beams.lengths, beams.stiffs, fixed, stiffs)
        moved = loads.copy()
        gaps = np.zeros(int(presses.sum()))
        rounds = contact.pressed(*self._rows, base, ties[presses], stiff[presses], gaps, moved)
        closes = moved[ties[:, 0]] - (ties[:, 1:] >= 0) * moved[ties[:, 1]]
        force = stiff[:, None] * closes
        force[presses] = np.maximum(force[presses], 0.0)
        return State(moved, closes, force, rounds > 0)

    def _stiffness_in(self, way: Way) -> Floats:
        """How stiff every spring is, if fasteners are so many times as stiff as by the book."""
        times, ladder = way
        idle = 1.0 if times >= 1 else 0.0
        found: Floats = self._stiff * np.where(self._idle, idle, np.where(self._fastener, times, 1.0))
        return found if ladder else np.where(self._climbed, 0.0, found)

    def acting(self, member: Member, state: State) -> Iterator[tuple[int, float, float]]:
        """What springs do to a member in the one column of a state: by which link (below 0: the floor), where [mm],
        how much, down being more than nothing [N]."""
        first = self.nodes.first(member)
        rows = range(first, first + len(self.nodes.of[member.number]))
        for number, spring in enumerate(self.springs):
            for node, sign in ((spring.over, -1.0), (spring.under, 1.0)):
                if node in rows and state.force[number, 0]:
                    yield spring.link, float(self.nodes.places[node]), sign * float(state.force[number, 0])

    @cached_property
    def pieces(self) -> Mapping[Member, tuple[tuple[float, float], ...]]:
        """Where the pieces of each member that lies begin and end, from node to node, its ends included [mm]."""
        return {
            member: tuple(zip((member.low, *places), (*places, member.high), strict=True))
            for member, places in zip(self.paths.members, self.nodes.of, strict=True)
            if not member.upright
        }

    def first_piece(self, member: Member) -> int:
        """The row of a member's first piece."""
        return self.nodes.first(member) + member.number

    # ---- springs

    def _springs(self, sides: Sequence[Sequence[tuple[float, float]]]) -> Iterable[Spring]:
        paths, near = self.paths, self.nodes.near
        rests = {(link.member, link.carrier) for link in paths.links if link.kind == "rests"}
        for number, (link, side) in enumerate(zip(paths.links, sides, strict=True)):
            stiff = stiffness(link, paths.frame.boxes) / len(side)
            fastener = link.kind not in ("rests", "glued")
            idle = fastener and (link.member, link.carrier) in rests
            ladder = paths.climbed(link.member) != paths.climbed(link.carrier)
            for over, under in side:
                a, b = near(link.member, over), near(link.carrier, under)
                yield Spring(a, b, stiff, link.presses, fastener, idle, ladder, number)

    def _floor(self) -> Iterable[Spring]:
        for member in self.paths.grounded:
            first = self.nodes.first(member)
            for node in range(first, first + len(self.nodes.of[member.number])):
                yield Spring(
                    node, -1, FLOOR, presses=True, fastener=False, idle=False, ladder=False, link=-1 - member.number
                )
