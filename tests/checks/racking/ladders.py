"""Frames to push at: posts on the floor, boards across them, corners of bolts and screws; the same for a library."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from hypothesis import strategies as st
from Pynite import FEModel3D

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.racking.crossings import Crossings
from sawbill.checks.racking.elevations import elevations
from sawbill.checks.racking.sway import Racked, Swayed
from sawbill.trade.frame import Bolted, Frame, Joint, Part, Placement, Screwed
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import section

WOOD = section("45x95")
THICK, WIDE, E = 45, 95, 10_000.0


Pair = tuple[int, int, bool]
"""Two fasteners alike on either side of the middle of a corner, how far from it across and up [mm]; whether bolts."""


@dataclass(frozen=True)
class Rack:
    """Posts of a height at some x, boards across all of them at some z (their lower edges), all 45x95 [mm].

    fixed: for each corner, by board and post, the pairs of its fasteners; none: one bolt in the middle.
    """

    posts: tuple[int, ...]
    high: int
    boards: tuple[int, ...]
    fixed: tuple[tuple[Pair, ...], ...]

    @cached_property
    def frame(self) -> Frame:
        """The boxes: boards in front of the posts."""
        long = (self.posts[-1] + WIDE) * MM
        parts = [
            Part(f"post {i}", "post", WOOD, self.high * MM, Placement((x * MM, THICK * MM, 0), "z", "x"))
            for i, x in enumerate(self.posts)
        ]
        joints: list[Joint] = []
        corners = iter(self.fixed)
        for n, z in enumerate(self.boards):
            parts.append(Part(f"board {n}", "board", WOOD, long, Placement((0, 0, z * MM), "x", "z")))
            for i, x in enumerate(self.posts):
                middle = x * MM + WOOD.width // 2, z * MM + WOOD.width // 2
                pairs = next(corners)
                for across, up, bolt in [(side * a, side * u, b) for a, u, b in pairs for side in (-1, 1)] or [ALONE]:
                    keys, head = (f"board {n}", f"post {i}"), (middle[0] + across * MM, 0, middle[1] + up * MM)
                    joints.append(
                        Bolted(keys, "M8", head, "y", 1, "nut") if bolt else Screwed(keys, "5 mm", head, "y", 1)
                    )
        return Frame(tuple(parts), tuple(joints))

    @cached_property
    def racked(self) -> Racked:
        """Its one elevation."""
        paths = LoadPaths(self.frame)
        (seen,) = elevations(Crossings(paths), "x")
        return Racked(paths, seen)

    def pushed(self, push: float) -> Swayed:
        """Pushed at every post, both ways."""
        return self.racked.pushed([push])

    def with_one_more(self, corner: int, pair: Pair) -> Rack:
        """The same with another pair at a corner."""
        fixed = list(self.fixed)
        fixed[corner] = (*fixed[corner], pair)
        return replace(self, fixed=tuple(fixed))


ALONE: Final = (0, 0, True)
PAIRS: Final = st.tuples(st.integers(-30, 30), st.integers(5, 30), st.booleans())


@st.composite
def racks(draw: st.DrawFn) -> Rack:
    """Two or three posts, one to three boards, corners of up to two pairs; one of screws, so that it stands."""
    apart = st.integers(WIDE, 2000)  # as near as boards that are no longer than twice their depth
    posts = (0, *sorted(draw(st.lists(apart, min_size=1, max_size=2, unique_by=lambda x: x // 150))))
    boards = tuple(draw(st.lists(st.integers(50, 1500), min_size=1, max_size=3, unique_by=lambda z: z // 150)))
    corner = st.lists(PAIRS, max_size=2, unique_by=lambda each: each[:2]).map(tuple)
    fixed = [draw(corner) for _ in range(len(posts) * len(boards))]
    fixed[0] = ((25, 25, False),)
    return Rack(posts, max(boards) + WIDE + draw(st.integers(0, 400)), boards, tuple(fixed))


def by_pynite(
    given: Rack, swayed: Swayed, column: int, push: float
) -> tuple[float, list[tuple[float, float]], list[float]]:  # fmt: skip
    """The same push in PyNiteFEA: how far the post moves at its top; what slides every corner along, and up; the most
    that every piece of a member is bent by.

    Of the elevation only the springs of corners are taken. Each is a short bar toward the eye: twisted as what turns
    it, sheared as what slides it; those whose play is not closed are left out, the others are turned by it first.
    """
    racked, model = given.racked, FEModel3D()
    model.add_material("wood", E, E / 16, 0.3, 0.0)
    stiff = THICK * WIDE**3 / 12
    model.add_section("wood", 1e7, stiff, stiff, 1e7)
    ats = [corner.at for corner in racked.seen.corners]
    nodes: dict[tuple[int, float], str] = {}
    pieces: list[str] = []
    for depth, member in enumerate(racked.seen.members):
        i = 1 if member.upright else 0
        mine = [at[i] for at, c in zip(ats, racked.seen.corners, strict=True) if member in (c.one, c.other)]
        places = sorted({*mine, *((member.low, member.high) if member.upright else ())})
        box = member.parts[0].box
        middle = (box.low[1 - i if i else 2] + box.high[1 - i if i else 2]) / 2 / MM
        for n, place in enumerate(places):
            name = f"{member.number} {n}"
            nodes[member.number, place] = name
            point = (middle, place) if member.upright else (place, middle)
            model.add_node(name, *point, depth * 10.0)
            foot = member.upright and n == 0
            model.def_support(name, foot, foot, True, True, True, False)
            if n:
                model.add_member(name, f"{member.number} {n - 1}", name, "wood", "wood")
                pieces.append(name)
    for n, (corner, at) in enumerate(zip(racked.seen.corners, ats, strict=True)):
        ends = []
        for member in (corner.one, corner.other):
            ends.append(nodes[member.number, at[1] if member.upright else at[0]])
        _spring(model, f"corner {n}", ends, racked, swayed, n, column)
    where = racked.seen.grounded[column // 2]
    model.add_node_load(nodes[where.number, where.high], "FX", push if column % 2 == 0 else -push)
    model.analyze_linear(check_statics=False)
    top = abs(float(model.nodes[nodes[where.number, where.high]].DX["Combo 1"]))
    moves = []
    for n, corner in enumerate(racked.seen.corners):
        bar, stiff = model.members[f"corner {n}"], _slides(corner.fasteners)
        one, other = bar.i_node, bar.j_node
        moves.append(
            (stiff * (one.DX["Combo 1"] - other.DX["Combo 1"]), stiff * (one.DY["Combo 1"] - other.DY["Combo 1"]))
        )
    bent = [model.members[name] for name in pieces]
    return top, moves, [max(each.max_moment("Mz", "Combo 1"), -each.min_moment("Mz", "Combo 1")) for each in bent]


def _slides(fasteners: list[Bolted | Screwed]) -> float:
    return sum(SLIP[isinstance(each, Bolted)] for each in fasteners)


def _spring(
    model: FEModel3D, name: str, ends: list[str], racked: Racked, swayed: Swayed, corner: int, column: int
) -> None:  # fmt: skip
    turning, start = 0.0, 0.0
    for n, hold in enumerate(racked.holds):
        if hold.corner == corner and (not hold.sense or swayed.turning[n, column] > 0):
            turning += hold.stiff
            start += hold.stiff * hold.play * hold.sense
    length = abs(model.nodes[ends[0]].Z - model.nodes[ends[1]].Z)
    inertia = _slides(racked.seen.corners[corner].fasteners) * length**3 / 12 / E
    model.add_section(name, 1e7, inertia, inertia, max(turning, 1e-6) * length / (E / 16))
    model.add_member(name, *ends, "wood", name)
    for end, sign in zip(ends, (-1, 1), strict=True):  # a turn clockwise is one below nothing there
        model.add_node_load(end, "MZ", sign * start)


SLIP = {True: 420.0**1.5 * 8 / 23, False: 420.0**1.5 * 5 / 23}
"""Kser of a bolt M8, and of a screw of 5 mm [N/mm] (EN 1995-1-1, Table 7.1, of 420 kg/m3)."""
