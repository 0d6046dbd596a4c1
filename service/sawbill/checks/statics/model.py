"""A frame as springs and beams: what stands or lies, where members meet, and how stiff they are there.

What lies bends in its upright plane; what stands goes up and down. Wherever members meet is a spring: what rests can
only press. All wood is taken as alike, so that a better grade draws no load: only the shapes share it. Forces [N],
lengths [mm], stiffness [N/mm].
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.load_paths import LoadPaths, Member, layer_stiffness
from sawbill.checks.statics import contact, elimination, loading
from sawbill.checks.statics.springs import FLOOR, SOFT, STIFF, E, Spring, held_at, stiffness
from sawbill.trade.boxes import AXES
from sawbill.trade.frame import Bolted
from sawbill.trade.lengths import MM

Patch = tuple[float, float, float]
"""A load spread evenly: where it begins and ends along a member, and how much it is in all; a point where both meet."""
Floats = NDArray[np.float64]
Way = tuple[float, bool]
"""How stiff fasteners are, in how many times as by the book; whether a ladder is there."""
Loads = Mapping[Member, Sequence[Patch]]

HELD: Final = 1e9
"""What would turn or fall is held by this, and named [N mm, N/mm] (no source)."""
NEAR: Final = 0.5
"""Places of a member no further apart than this are one node [mm]."""
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
    moments, where, shears: of every piece of a member between two nodes (see `Model.pieces`) [N mm, mm, N]; bent: the
    moment at every node [N mm];
    gone: which members give way by so much that nothing holds them; stands: whether the frame does.
    """

    columns: int
    forces: Floats
    floor: Floats
    moments: Floats
    where: Floats
    shears: Floats
    bent: Floats
    gone: NDArray[np.bool_]
    stands: NDArray[np.bool_]


class Model:
    """A frame's springs and beams, built once; `solve` puts loads on it.

    springs: every one; pieces: of each member that lies, where its pieces begin and end [mm], from one node to the
    next, the ends that reach out included; piece_of: the row of the first of them among the rows of all.
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
        self._holes = _holes(paths)
        self._nodes = [self._stations(member) for member in paths.members]
        counts = [len(nodes) for nodes in self._nodes]
        self._starts = np.concatenate(([0], np.cumsum(counts))).astype(np.int64)
        self._places = np.array([place for nodes in self._nodes for place in nodes])
        self._dofs = self._numbered()
        self.springs = [*self._springs(sides), *self._floor()]
        self._beams, self._lengths, self._stiffs = self._elements()
        self._ends = np.array([(spring.over, spring.under) for spring in self.springs], np.int64).reshape(-1, 2).T
        self._links = np.array([spring.link for spring in self.springs], np.int64)
        told = [(spring.stiff, spring.fastener, spring.idle, spring.ladder) for spring in self.springs]
        stiff, *others = np.array(told).T
        self._told = stiff, *(other.astype(np.bool_) for other in others)
        self._spans = np.array([(0.0, 0.0) if each.upright else (each.low, each.high) for each in paths.members])
        self._presses = np.array([spring.presses for spring in self.springs], np.bool_)
        self._turns = np.zeros(int(self._dofs.max()) + 1, np.bool_)
        self._turns[self._dofs[self._dofs[:, 1] >= 0, 1]] = True
        one, two = self._ends
        self._ties = np.stack((self._dofs[one, 0], np.where(two < 0, -1, self._dofs[two, 0])), axis=1)
        self._held = self._held_elsewhere()
        self._rows = elimination.filled(len(self._turns), self._beams, self._ties)

    def _held_elsewhere(self) -> NDArray[np.int64]:
        """The dofs by which what is held at one place alone would turn, and what is held at none would fall."""
        found = []
        for member, nodes in zip(self.paths.members, self._nodes, strict=True):
            attached = len(self._attached[member.number])
            node = int(self._starts[member.number])
            if not attached and member not in self.paths.grounded:
                found.append(self._dofs[node, 0])
            if not member.upright and len(nodes) < 2:
                found.append(self._dofs[node, 1])
        return np.array([(dof, -1) for dof in found], np.int64).reshape(-1, 2)

    @property
    def loose(self) -> tuple[Member, ...]:
        """What is held at one place alone and would turn there, or at none: it is taken to be held, and is named."""
        held = {int(dof) for dof, _ in self._held}
        first = zip(self.paths.members, self._starts, strict=False)
        return tuple(member for member, node in first if held & {int(dof) for dof in self._dofs[node]})

    def solve(self, always: Loads, cases: Sequence[Loads], ways: Sequence[Way] | None = None) -> Solved:
        """What loads do, each case on top of what is always there, for each way the frame may be as stiff."""
        loads, patches, first = self._loaded(always, cases)
        told = ways or self.ways()
        count, columns, members = len(cases), len(cases) * len(told), len(self.paths.members)
        up, forces = np.zeros((len(self._places), columns)), np.zeros((len(self.paths.links), columns))
        floor, gone = np.zeros((members, columns)), np.zeros((members, columns), np.bool_)
        found = np.zeros(columns, np.bool_)
        for number, way in enumerate(told):
            state, at = self._state(loads, way), number * count
            loading.gathered(self._ends[0], self._ends[1], self._links, state.force, up, forces, floor, at)
            loading.gone_from(self._starts, self._dofs, state.moved, LOOSE, gone, at)
            found[at : at + count] = state.found
        effects = loading.effects(self._starts, self._spans, self._places, up, patches, first, count)
        return Solved(count, forces, floor, *effects, gone, found & ~gone.any(axis=0))

    def _loaded(self, always: Loads, cases: Sequence[Loads]) -> tuple[Floats, Floats, NDArray[np.int64]]:
        """The loads on every dof, a column a case; all patches, and where those of each member and case begin."""
        patches, which, columns = self._patches(always, cases)
        loads = np.zeros((len(self._turns), len(cases)))
        loading.spread_over(loads, patches, which, columns, self._starts, self._places, self._dofs)
        every = np.arange(len(self.paths.members) * (len(cases) + 1) + 1)
        return loads, patches, np.searchsorted(which * (len(cases) + 1) + columns + 1, every)

    def ways(self) -> list[Way]:
        """The ways to reckon: soft and stiff fasteners, with and without a ladder."""
        stiff = (SOFT, STIFF) if any(spring.fastener for spring in self.springs) else (1.0,)
        ladder = (True, False) if any(spring.ladder for spring in self.springs) else (True,)
        return [(each, there) for there in ladder for each in stiff]

    def _patches(self, always: Loads, cases: Sequence[Loads]) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
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
        base = elimination.assembled(*self._rows, self._turns, self._beams, self._lengths, self._stiffs, fixed, stiffs)
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
        stiff, fastener, idle, climbed = self._told
        found = stiff * np.where(idle, 1.0 if times >= 1 else 0.0, np.where(fastener, times, 1.0))
        return found if ladder else np.where(climbed, 0.0, found)

    def acting(self, member: Member, state: State) -> Iterator[tuple[int, float, float]]:
        """What springs do to a member in the one column of a state: by which link (below 0: the floor), where [mm],
        how much, down being more than nothing [N]."""
        first, last = self._starts[member.number], self._starts[member.number + 1]
        for number, spring in enumerate(self.springs):
            for node, sign in ((spring.over, -1.0), (spring.under, 1.0)):
                if first <= node < last and state.force[number, 0]:
                    yield spring.link, float(self._places[node]), sign * float(state.force[number, 0])

    @property
    def pieces(self) -> Mapping[Member, tuple[tuple[float, float], ...]]:
        """Where the pieces of each member that lies begin and end [mm]."""
        return {
            member: tuple(zip((member.low, *nodes), (*nodes, member.high), strict=True))
            for member, nodes in zip(self.paths.members, self._nodes, strict=True)
            if not member.upright
        }

    def first_piece(self, member: Member) -> int:
        """The row of a member's first piece."""
        return int(self._starts[member.number]) + member.number

    # ---- nodes

    def _stations(self, member: Member) -> list[float]:
        """The nodes of a member, in their order: where something holds it, and where between those a layer ends or a
        bolt passes, whose hole weakens it."""
        attached = sorted(self._attached[member.number])
        if member.upright or not attached:
            return [(member.low + member.high) / 2]
        also = self._holes.get(member, [])
        if len(member.parts) > 1:
            i = AXES.index(member.axis)
            boxes = [self.paths.frame.boxes[part.key] for part in member.parts]
            also = [*also, *(end / MM for box in boxes for end in (box.low[i], box.high[i]))]
        if also:
            attached = sorted([*attached, *(place for place in also if attached[0] < place < attached[-1])])
        nodes: list[float] = []
        for place in attached:
            if not nodes or place - nodes[-1] > NEAR:
                nodes.append(place)
        return nodes

    def _numbered(self) -> NDArray[np.int64]:
        """The dofs of every node, down and turn (-1: none), in the order in which least is filled in between them.

        First what carries nothing, such as slats, which then ties no more together than what it lies on; then what
        lies, along the frame; last what stands, which ties together all that it bears.
        """
        carry = {link.carrier for link in self.paths.links if link.carries}
        across = []
        for member, nodes in zip(self.paths.members, self._nodes, strict=True):
            last = 2 if member.upright else int(member in carry)
            if member.axis == "x":
                across += [(last, place, member.number) for place in nodes]
            else:
                box = self.paths.frame.boxes[member.parts[0].key]
                across += [(last, (box.low[0] + box.high[0]) / 2 / MM, member.number)] * len(nodes)
        dofs, count = np.full((len(across), 2), -1, np.int64), 0
        for node in sorted(range(len(across)), key=across.__getitem__):
            upright = across[node][0] == 2
            dofs[node] = (count, -1) if upright else (count, count + 1)
            count += 1 if upright else 2
        return dofs

    def node(self, member: Member, place: float) -> int:
        """The row of the node of a member that is nearest to a place."""
        nodes = self._nodes[member.number]
        after = 0 if member.upright else bisect_left(nodes, place)
        near = after and (after == len(nodes) or place - nodes[after - 1] <= nodes[after] - place)
        return int(self._starts[member.number]) + after - bool(near)

    def place(self, node: int) -> float:
        """Where along its member the node of a row is [mm]."""
        return float(self._places[node])

    def _elements(self) -> tuple[NDArray[np.int64], Floats, Floats]:
        """What lies between two nodes: its dofs, how long it is, how stiff E I [N mm2]."""
        beams, lengths, stiffs = [], [], []
        for member, nodes in zip(self.paths.members, self._nodes, strict=True):
            layers = [] if member.upright else self._layers(member)
            first = int(self._starts[member.number])
            for i, (a, b) in enumerate(pairwise(nodes)):
                beams.append((*self._dofs[first + i], *self._dofs[first + i + 1]))
                lengths.append(b - a)
                stiffs.append(sum(stiff for low, high, stiff in layers if low <= (a + b) / 2 <= high))
        least = min((stiff for stiff in stiffs if stiff > 0), default=1.0)  # where layers do not meet there is a hinge
        return (
            np.array(beams, np.int64).reshape(-1, 4), np.array(lengths, np.float64),
            np.array([stiff or least / 1e6 for stiff in stiffs], np.float64),
        )  # fmt: skip

    def _layers(self, member: Member) -> list[tuple[float, float, float]]:
        """From where to where each of its layers reaches, and how stiff it is as it stands, about its own middle."""
        i, across = AXES.index(member.axis), 1 if member.axis == "x" else 0
        found = []
        for part in member.parts:
            box = self.paths.frame.boxes[part.key]
            alone = box.size[across] * box.size[2] ** 3 / 12 / MM**4
            inertia = layer_stiffness(part) if len(member.parts) > 1 else alone
            found.append((box.low[i] / MM, box.high[i] / MM, E * inertia))
        return found

    # ---- springs

    def _springs(self, sides: Sequence[Sequence[tuple[float, float]]]) -> Iterable[Spring]:
        rests = {(link.member, link.carrier) for link in self.paths.links if link.kind == "rests"}
        for number, (link, side) in enumerate(zip(self.paths.links, sides, strict=True)):
            stiff = stiffness(link, self.paths.frame.boxes) / len(side)
            fastener = link.kind not in ("rests", "glued")
            idle = fastener and (link.member, link.carrier) in rests
            ladder = self.paths.climbed(link.member) != self.paths.climbed(link.carrier)
            for over, under in side:
                a, b = self.node(link.member, over), self.node(link.carrier, under)
                yield Spring(a, b, stiff, link.presses, fastener, idle, ladder, number)

    def _floor(self) -> Iterable[Spring]:
        for member in self.paths.grounded:
            first = int(self._starts[member.number])
            for node in range(first, first + len(self._nodes[member.number])):
                yield Spring(
                    node, -1, FLOOR, presses=True, fastener=False, idle=False, ladder=False, link=-1 - member.number
                )


def _holes(paths: LoadPaths) -> Mapping[Member, list[float]]:
    """Where along each member that lies bolts go through it."""
    found: dict[Member, list[float]] = {}
    for joint in paths.frame.joints:
        if isinstance(joint, Bolted):
            for member in dict.fromkeys(paths.of[key] for key in joint.parts):
                if member.axis not in ("z", joint.axis):
                    found.setdefault(member, []).append(joint.head[AXES.index(member.axis)] / MM)
    return found
