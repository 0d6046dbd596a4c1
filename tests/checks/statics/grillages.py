"""Frames of boxes for the statics: rails on bolted posts, slats across them; and the same told to other libraries."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from hypothesis import strategies as st

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.statics.model import Model, Patch
from sawbill.trade.frame import Bolted, Frame, Joint, Part, Placement, Resting
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

RAIL, SLAT, POST = section("2x6"), section("2x4"), section("2x4")
E, DENSITY = 10_000.0, 420.0
SIDE = 38.1
"""How thick all of them are [mm]."""
RAIL_I = SIDE * 139.7**3 / 12
SLAT_I = 88.9 * SIDE**3 / 12
BOLT = DENSITY**1.5 * 9.525 / 23
"""One 3/8 in bolt [N/mm] (EN 1995-1-1, Table 7.1)."""
LIES = E / 30 * SIDE * 88.9 / (139.7 / 2 + SIDE / 2)
"""A slat on a rail: a thirtieth of E on the face they share, over half of either's depth [N/mm]."""


@dataclass(frozen=True)
class Grillage:
    """Rails along x at some y, posts at some x beside each, slats along y at some x; loads on rails and slats.

    All in mm; a rail is as long as `length`, a slat as wide as the rails reach, and `over` more at either end.
    """

    length: int
    rails: tuple[int, ...]
    posts: tuple[int, ...]
    slats: tuple[int, ...]
    over: int
    loads: tuple[tuple[str, int, Patch], ...]

    @cached_property
    def frame(self) -> Frame:
        """The boxes: the posts beside the rails, one bolt each."""
        parts: list[Part] = []
        joints: list[Joint] = []
        rail_low, top = 300 * MM, 300 * MM + RAIL.width
        for r, y in enumerate(self.rails):
            rail = Part(f"rail {r}", "rail", RAIL, self.length * MM, Placement((0, y * MM, rail_low), "x", "z"))
            parts.append(rail)
            for p, x in enumerate(self.posts):
                at = x * MM - POST.width // 2
                place = Placement((at, y * MM + RAIL.thickness, 0), "z", "x")
                parts.append(Part(f"post {r} {p}", "post", POST, top, place))
                head = (x * MM, y * MM, rail_low + 2 * INCH)
                joints.append(Bolted((rail.key, f"post {r} {p}"), "3/8 in", head, "y", 1))
        start = (self.rails[0] - self.over) * MM
        long = (self.rails[-1] + self.over) * MM + RAIL.thickness - start
        for s, x in enumerate(self.slats):
            place = Placement((x * MM - SLAT.width // 2, start, top), "y", "x")
            parts.append(Part(f"slat {s}", "slat", SLAT, long, place))
            joints += [Resting((f"slat {s}", f"rail {r}")) for r in range(len(self.rails))]
        return Frame(tuple(parts), tuple(joints))

    @cached_property
    def paths(self) -> LoadPaths:
        """Its members and where they meet."""
        return LoadPaths(self.frame)

    @cached_property
    def model(self) -> Model:
        """Its statics."""
        return Model(self.paths)

    def on_members(self) -> dict[Member, list[Patch]]:
        """The loads by member."""
        found: dict[Member, list[Patch]] = {}
        for kind, number, patch in self.loads:
            found.setdefault(self.paths.of[f"{kind} {number}"], []).append(patch)
        return found

    def mirrored(self) -> Grillage:
        """The same, head for foot."""
        slats = self.slats[::-1]

        def turned(kind: str, number: int, patch: Patch) -> tuple[str, int, Patch]:
            low, high, load = patch
            if kind == "slat":
                return kind, len(slats) - 1 - number, patch
            return kind, number, (self.length - high, self.length - low, load)

        return Grillage(
            self.length, self.rails, tuple(self.length - x for x in self.posts[::-1]),
            tuple(self.length - x for x in slats), self.over, tuple(turned(*load) for load in self.loads),
        )  # fmt: skip


@st.composite
def grillages(draw: st.DrawFn) -> Grillage:
    """Two or three rails on two to four posts each, up to five slats, loads anywhere."""
    length = draw(st.integers(900, 2400))
    rails = (0, *draw(st.sampled_from([(600,), (1400,), (500, 1200)])))
    posts = sorted({100, length - 100} | {draw(st.integers(300, length - 300)) for _ in range(draw(st.integers(0, 2)))})
    posts = [x for i, x in enumerate(posts) if not i or x - posts[i - 1] > 120]
    count = draw(st.integers(0, 5))
    slats = tuple(120 + round((length - 240) * (i + 0.5) / count) for i in range(count))
    over = draw(st.sampled_from([0, 60]))
    loads = [("rail", r, (0.0, float(length), 100.0)) for r in range(len(rails))]
    long = rails[-1] + SIDE + 2 * over
    loads += [("slat", s, (-float(over), long - over, 300.0)) for s in range(count)]
    for _ in range(draw(st.integers(1, 3))):
        on_slat = count and draw(st.booleans())
        kind, reach, most = ("slat", long, count) if on_slat else ("rail", float(length), len(rails))
        low = 1 + draw(st.floats(0, 0.9)) * reach
        high = min(reach - 1, low + draw(st.sampled_from([0.0, 60.0, 350.0])))
        shift = over if kind == "slat" else 0
        loads.append((kind, draw(st.integers(0, most - 1)), (low - shift, high - shift, draw(st.floats(10, 2000)))))
    return Grillage(length, rails, tuple(posts), slats, over, tuple(loads))
