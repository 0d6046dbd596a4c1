"""Treads housed in stiles: wood bears on wood; and what housings leave of a stile, against other ways to reckon."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import eigh_tridiagonal

from sawbill.checks.loads import FOOT, SPOT, G
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.resistance.screws import nds_load
from sawbill.checks.site import Site
from sawbill.checks.strength.posts import Cut, _side
from sawbill.checks.strength.reckoned import Loaded, reckon
from sawbill.testing import reading
from sawbill.trade.frame import Screwed
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Material, Materials, find_grade, find_species
from sawbill_designs import loft_bed

LOFT = loft_bed.DESIGN.frame({"treads": "housed"}, reading())
WOOD: Materials = {part.key: (Material(part.section, find_species("SPF"), find_grade("No.2")),) for part in LOFT.parts}
STILE, DEEP = (38.1, 88.9), 12.7
"""A 2x4, and a housing in it [mm]."""


def weakest(height: float, thick: float, cuts: list[tuple[float, float, float]]) -> float:
    """P [N] that bends a strut sideways, E 1 MPa and 1 mm wide, by differences of second order: w'' + P w / EI = 0."""
    n = 400
    step = height / n
    fine = np.linspace(0, height, 20 * n + 1)[:-1] + height / 40 / n
    sides = np.full(20 * n, thick)
    for low, high, deep in cuts:
        sides[(fine > low) & (fine < high)] = thick - deep
    flexible = (12 / sides**3).reshape(n, 20).mean(axis=1)
    at = (flexible[1:] + flexible[:-1]) / 2  # of the nodes between the ends
    main, off = 2 / step**2 / at, -1 / step**2 / np.sqrt(at[1:] * at[:-1])
    return float(eigh_tridiagonal(main, off, select="i", select_range=(0, 0))[0][0])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.floats(600, 2000), st.floats(30, 60),
    st.lists(st.tuples(st.floats(0.01, 0.99), st.floats(20, 120), st.floats(0.1, 0.5)), max_size=6),
)  # fmt: skip
def test_a_stile_gives_way_no_sooner_than_is_reckoned(
    height: float, thick: float, housings: list[tuple[float, float, float]]
) -> None:
    """Against a strut cut into four hundred pieces."""
    places = sorted((place * height, long, share * thick) for place, long, share in housings)
    cuts, end = [], 0.0
    for place, long, deep in places:
        low, high = max(place, end), min(place + long, height)
        if low < high:
            cuts.append((low, high, deep))
            end = high
    told = [Cut(low, high, 0, deep, 0.0) for low, high, deep in cuts]
    side = _side((thick, 10 * thick), told, 0.0, [height])
    assert weakest(height, thick, cuts) >= pi**2 * side**3 / 12 / height**2 * (1 - 1e-3)
    if not cuts:
        assert side == thick


def test_a_housing_in_the_middle_is_told_to_within_a_tenth() -> None:
    """A bound that were far off would refuse good ladders: 38 mm of a 2x4, a third deep, in the middle of a metre."""
    side = _side(STILE, [Cut(481.0, 519.1, 0, DEEP, 0.0)], 0.0, [1000.0])
    least = weakest(1000.0, STILE[0], [(481.0, 519.1, DEEP)])
    assert 0.9 < pi**2 * side**3 / 12 / 1000**2 / least <= 1.001


@pytest.fixture(scope="module")
def loaded() -> Loaded:
    return Loaded(LOFT, Site())


def test_every_tread_bears_on_both_stiles_and_hangs_on_no_screw(loaded: Loaded) -> None:
    paths = loaded.paths
    for key in (part.key for part in LOFT.parts if part.name == "tread"):
        held = paths.of[key].supports
        assert {link.carrier.parts[0].name for link in held} == {"ladder stile"}
        assert [link.kind for link in held] == ["rests", "rests"]
    assert not [
        group for group in loaded.screws if {"ladder stile", "tread"} & {part.name for part in group.member.parts}
    ]


def test_a_stile_has_the_area_its_housings_leave(loaded: Loaded) -> None:
    """By hand: 1-1/2 in less the third of it by 3-1/2 in."""
    (stile, other) = (post for post in loaded.in_wood(WOOD).posts if post.member.parts[0].name == "ladder stile")
    assert stile.housed and other.housed
    assert [area for _, _, area in stile.levels] == pytest.approx([(STILE[0] - DEEP) * STILE[1]] * len(stile.levels))


def test_a_tread_is_pressed_as_a_lever_says(loaded: Loaded) -> None:
    """By hand: one who stands on one end of a tread is borne nearly all by that end, on a strip half an inch long.

    The middles of the strips are half a housing beyond the stiles' faces; the foot begins at the tread's very end.
    """
    under = loaded.under(WOOD)
    tread = loaded.paths.of["tread 6"]
    numbers = [n for n, link in enumerate(loaded.paths.links) if link.member is tread]
    weight = Site().heaviest_user * G * SPOT
    span = 330.2 + 2 * DEEP
    lever = (span - FOOT / 2 - DEEP / 2) / (span - DEEP)
    own = sum(under.solved.forces[n].min() for n in numbers)
    most = max(under.solved.forces[n].max() for n in numbers)
    assert most == pytest.approx(weight * lever, abs=own + 1)


def test_the_wood_under_a_housing_is_no_rule_of_its_own_because_it_shears_last() -> None:
    """By hand: who stands on a tread bears on half an inch of end grain, which would shear down to the next housing.

    Fv of SPF is 135 psi, 0.93 MPa (NDS Supplement 2018, Table 4A): no fifth of it is used.
    """
    stile = LOFT.by_key["foot stile"]
    cuts = sorted(cut.span("z") for (_, key), cut in LOFT.housings.items() if key == stile.key)
    under = [low - below for (_, below), (low, _) in pairwise([(0, 0), *cuts])]
    assert Site().heaviest_user * G * SPOT / (min(under) / MM * STILE[1]) < 0.93 / 5


def test_a_screw_into_a_housed_end_goes_through_no_more_than_the_housing_leaves() -> None:
    """By hand: 1 in of the stile is left; the rest of the screw is in the tread (NDS 2018, 12.3; #8 of Table L3)."""
    found = reckon(LOFT, Site(), WOOD)
    assert found is not None
    screw = next(each for each in LOFT.joints if isinstance(each, Screwed) and "tread" in each.parts[1])
    left = 25.4
    into = LOFT.screw_length(screw) / MM - left
    by_hand = nds_load((0.42, 0.42), 0.164 * 25.4, 0.131 * 25.4, left, into)
    assert screw.size == "#8"
    assert ScrewedJoints(found.paths, found.timber).together((screw,)) == {"NDS": pytest.approx(by_hand)}
