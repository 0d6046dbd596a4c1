"""The statics of frames held against two libraries of others that share no code with it.

PyNiteFEA (space frames) for rails, posts and slats together; anastruct (plane frames) for a beam on springs. Both know
springs that pull as well, so frames are compared in which all faces are shut.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from anastruct import SystemElements
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from Pynite import FEModel3D
from tests.checks.statics.grillages import BOLT, LIES, RAIL_I, SIDE, SLAT_I, E, Grillage, grillages

from sawbill.checks.statics.model import Patch
from sawbill.checks.statics.springs import FLOOR


def by_pynite(given: Grillage) -> dict[tuple[str, str], float]:
    """What each member presses onto the other [N]: y is up; each member has a height of its own, as lines that meet
    would be cut there."""
    model = FEModel3D()
    model.add_material("wood", E, E / 16, 0.3, 0.0)
    model.add_section("rail", 1e4, 1e7, RAIL_I, 1e7)
    model.add_section("slat", 1e4, 1e7, SLAT_I, 1e7)

    def line(name: str, size: str, points: list[tuple[float, float, float]]) -> None:
        for i, point in enumerate(points):
            model.add_node(f"{name} {i}", *point)
            free = {"DY", "RX" if size == "slat" else "RZ"}
            model.def_support(f"{name} {i}", *(dof not in free for dof in ("DX", "DY", "DZ", "RX", "RY", "RZ")))
        for i in range(len(points) - 1):
            model.add_member(f"{name} {i}", f"{name} {i}", f"{name} {i + 1}", "wood", size)

    half, depth = SIDE / 2, {}
    for r, y in enumerate(given.rails):
        places = sorted({0.0, float(given.length), *map(float, given.posts), *map(float, given.slats)})
        depth["rail", r] = places, 0.0
        line(f"rail {r}", "rail", [(x, r * 1.0, y + half) for x in places])
        for x in given.posts:
            series = 1 / (1 / BOLT + 1 / FLOOR)
            model.def_support_spring(f"rail {r} {places.index(x)}", "DY", series)
    start, end = given.rails[0] - given.over, given.rails[-1] + SIDE + given.over
    for s, x in enumerate(given.slats):
        places = sorted({float(start), float(end), *(y + half for y in given.rails)})
        depth["slat", s] = places, 0.0
        line(f"slat {s}", "slat", [(x, 50.0 + s, y) for y in places])
        for r, y in enumerate(given.rails):
            rail = f"rail {r} {depth['rail', r][0].index(x)}"
            model.add_spring(f"{s} {r}", rail, f"slat {s} {places.index(y + half)}", LIES)
    for kind, which, (low, high, load) in given.loads:
        places, _ = depth[kind, which]
        low, high = low - 5e-4 * (high - low < 1e-3), high + 5e-4 * (high - low < 1e-3)
        for i, (a, b) in enumerate(pairwise(places)):
            one, two = max(a, low), min(b, high)
            if two > one:
                rate = load / (high - low)
                model.add_member_dist_load(f"{kind} {which} {i}", "Fy", -rate, -rate, one - a, two - a)
    model.analyze_linear()
    found = {}
    for s in range(len(given.slats)):
        for r in range(len(given.rails)):
            found[f"slat {s}", f"rail {r}"] = model.springs[f"{s} {r}"].axial()
    for r in range(len(given.rails)):
        for p, x in enumerate(given.posts):
            node = model.nodes[f"rail {r} {depth['rail', r][0].index(x)}"]
            found[f"rail {r}", f"post {r} {p}"] = node.RxnFY["Combo 1"]
    return found


@settings(max_examples=30, suppress_health_check=[HealthCheck.filter_too_much])
@given(grillages())
def test_what_rails_and_slats_press_with_agrees_with_a_library_of_space_frames(given: Grillage) -> None:
    loads = given.on_members()
    forces, total = ours(given), sum(load for patches in loads.values() for _, _, load in patches)
    assume(all(force > 1e-3 for force in forces.values()))
    theirs = by_pynite(given)
    assert forces.keys() == theirs.keys()
    for pair, force in forces.items():
        assert abs(theirs[pair]) == pytest.approx(force, abs=2e-6 * total), pair


def ours(given: Grillage) -> dict[tuple[str, str], float]:
    """The same by the statics, with fasteners as by the book: the middle of soft and stiff is not asked for."""
    solved = given.model.solve({}, [given.on_members()], ways=((1.0, True),))
    return {
        (link.member.parts[0].key, link.carrier.parts[0].key): float(solved.forces[i, 0])
        for i, link in enumerate(given.paths.links)
    }


PLACES = st.integers(1, 29).map(lambda n: n * 100)


@pytest.mark.filterwarnings("ignore:Polyfit may be poorly conditioned")  # anastruct, over what bears nothing
@settings(max_examples=40)
@given(
    st.lists(PLACES, min_size=2, max_size=5, unique=True).map(sorted),
    st.lists(st.tuples(PLACES, st.floats(10, 5000)), min_size=1, max_size=4, unique_by=lambda each: each[0]),
)
def test_the_moments_of_a_beam_on_springs_agree_with_a_library_of_plane_frames(
    posts: list[int], weights: list[tuple[int, float]]
) -> None:
    """A 2x6 of 3 m on bolted posts: each a spring of the bolt and the floor, one after the other."""
    assume(all(b - a >= 200 for a, b in pairwise(posts)))
    patches: list[Patch] = [(float(x), float(x), load) for x, load in weights]
    given = Grillage(3000, (0,), tuple(posts), (), 0, tuple(("rail", 0, patch) for patch in patches))
    model = given.model
    solved = model.solve({}, [given.on_members()], ways=((1.0, True),))
    assume(bool(solved.stands[0]) and bool((solved.forces > 0).all()))
    rail = given.paths.of["rail 0"]
    row = model.first_piece(rail)
    most = np.abs(solved.moments[row : row + len(model.pieces[rail]), 0]).max()
    frame = SystemElements(EI=E * RAIL_I, EA=1e9, mesh=2)
    ends = sorted({0, 3000, *posts, *(x for x, _ in weights)})
    for a, b in pairwise(ends):
        frame.add_element(location=[[a, 0], [b, 0]])
    for x in posts:
        frame.add_support_spring(ends.index(x) + 1, translation=2, k=1 / (1 / BOLT + 1 / FLOOR))
    frame.add_support_roll(1, direction=1)
    for x, load in weights:
        frame.point_load(ends.index(x) + 1, Fy=-load)
    frame.solve()
    theirs = max(abs(value) for each in frame.get_element_results() for value in (each["Mmin"], each["Mmax"]))
    assert theirs == pytest.approx(most, rel=1e-4, abs=1.0)
