"""Faces that can only press: what is true of any frame whatever its loads, and sums by hand."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from tests.checks.statics.grillages import BOLT, RAIL_I, E, Grillage, grillages

from sawbill.checks.statics.model import Solved
from sawbill.checks.statics.springs import SOFT, STIFF

TOO_MANY = [HealthCheck.filter_too_much]


def total(given: Grillage) -> float:
    return sum(load for _, _, (_, _, load) in given.loads)


def solved(given: Grillage) -> Solved:
    found = given.model.solve({}, [given.on_members()])
    assume(bool(found.stands.all()))
    return found


@given(grillages())
@settings(suppress_health_check=TOO_MANY)
def test_the_floor_bears_all_there_is_and_no_face_pulls(given: Grillage) -> None:
    found = solved(given)
    assert found.floor.sum(axis=0) == pytest.approx(total(given), rel=1e-6)
    rests = [i for i, link in enumerate(given.paths.links) if link.presses]
    assert (found.forces[rests] >= 0).all()


@given(grillages())
@settings(suppress_health_check=TOO_MANY)
def test_every_member_is_in_balance(given: Grillage) -> None:
    """What its links press with, down and up, is what is put on it; and it does not turn."""
    found = solved(given)
    for member in given.paths.members:
        put = sum(load for _, _, load in given.on_members().get(member, []))
        borne = np.zeros(found.forces.shape[1])
        for i, link in enumerate(given.paths.links):
            borne += found.forces[i] * ((link.member is member) - (link.carrier is member) * 1.0)
        assert borne + found.floor[member.number] == pytest.approx(put, abs=1e-6 * total(given))
        if not member.upright:
            turns = -sum(load * (low + high) / 2 for low, high, load in given.on_members().get(member, []))
            for i, link in enumerate(given.paths.links):
                turns = turns + (link.member is member) * link.at * found.forces[i]
                turns = turns - (link.carrier is member) * sum(link.on) / 2 * found.forces[i]
            assert turns == pytest.approx(0, abs=1e-3 * total(given))


@given(grillages())
@settings(suppress_health_check=TOO_MANY)
def test_a_face_that_presses_is_shut_and_one_that_gapes_does_not_press(given: Grillage) -> None:
    """Complementarity: the force is the stiffness by what it closes, or nothing where it gapes; never both."""
    model = given.model
    for way in model.ways():
        state = model.state({}, [given.on_members()], way)
        assume(bool((np.abs(state.closes) < 1000).all()))
        for number, spring in enumerate(model.springs):
            if spring.presses:
                force, closes = state.force[number, 0], state.closes[number, 0]
                assert force >= 0
                assert force == pytest.approx(spring.stiff * max(0.0, closes), abs=1e-6 + 1e-9 * total(given))


@given(grillages())
@settings(suppress_health_check=TOO_MANY)
def test_a_frame_and_its_mirror_image_bear_alike(given: Grillage) -> None:
    one, other = solved(given), solved(given.mirrored())
    for mine, theirs in ((one.moments, other.moments), (one.shears, other.shears), (one.forces, other.forces)):
        assert np.abs(mine).max() == pytest.approx(np.abs(theirs).max(), rel=2e-4, abs=1e-4 * total(given))


def beam(posts: tuple[int, ...], *loads: tuple[float, float, float]) -> Grillage:
    return Grillage(2000, (0,), posts, (), 0, tuple(("rail", 0, load) for load in loads))


def test_a_load_past_the_last_post_lifts_the_first_and_the_sum_stays() -> None:
    """1 kN 300 mm beyond the second of two posts 1 m apart: 1300 N on it, 300 N up at the first."""
    found = beam((500, 1500), (1800.0, 1800.0, 1000.0), (0.0, 2000.0, 1000.0))
    forces = found.model.solve({}, [found.on_members()]).forces
    assert forces[:, 0] == pytest.approx([500 - 300, 500 + 1300], abs=1e-3)
    rail = found.paths.of["rail 0"]
    rows = found.model.first_piece(rail) + np.arange(3)
    moments = found.model.solve({}, [found.on_members()]).moments[rows, 0]
    assert abs(moments[2]) == pytest.approx(1000 * 300 + 500 * 500 / 2 * 0.5, rel=1e-5)


@pytest.mark.parametrize("way", [SOFT, 1.0, STIFF])
def test_a_beam_over_three_springs_bears_on_the_middle_as_the_equation_of_three_moments_says(way: float) -> None:
    """Two equal spans L under w, on springs k, by the force method.

    The middle one is taken out: it then sinks 5 w (2 L)^4 / (384 E I) and the ends w L / k; a unit of force there lifts
    (2 L)^3 / (48 E I) and 1/(2 k), and k itself gives 1 / k.
    """
    span, load = 900.0, 3.0
    found = beam((100, 1000, 1900), (100.0, 1900.0, 2 * span * load))
    forces = found.model.solve({}, [found.on_members()], ways=((way, True),)).forces[:, 0]
    stiff, k = E * RAIL_I, 1 / (1 / (BOLT * way) + 1e-5)
    sinks = 5 * load * (2 * span) ** 4 / (384 * stiff) + load * span / k
    middle = sinks / ((2 * span) ** 3 / (48 * stiff) + 1 / (2 * k) + 1 / k)
    assert forces[1] == pytest.approx(middle, rel=1e-6)
    assert forces[0] == pytest.approx((2 * span * load - middle) / 2, rel=1e-6)


def test_slats_that_would_lift_at_one_rail_are_let_go() -> None:
    """One slat over three rails, loaded in one span only: its far end gapes, and two rails bear all."""
    weight = (250.0, 250.0, 1000.0)
    found = Grillage(1000, (0, 500, 1000), (100, 900), (500,), 0, (("slat", 0, weight),))
    solved = found.model.solve({}, [found.on_members()], ways=((1.0, True),))
    faces = {link.carrier.parts[0].key: solved.forces[i, 0] for i, link in enumerate(found.paths.links) if link.presses}
    assert faces["rail 2"] == 0
    assert faces["rail 0"] + faces["rail 1"] == pytest.approx(1000)
    assert faces["rail 0"] == pytest.approx(1000 * (500 + 19.05 - 250) / 500, rel=1e-6)


def test_what_hangs_out_past_all_that_holds_it_is_told_to_fall() -> None:
    found = Grillage(1000, (0, 600), (100, 900), (500,), 60, (("slat", 0, (-60.0, -60.0, 1000.0)),))
    solved = found.model.solve({}, [found.on_members()])
    assert not solved.stands.any()
    slat = found.paths.of["slat 0"].number
    assert solved.gone[:, 0].tolist() == [number == slat for number in range(len(found.paths.members))]


def test_nodes_along_a_member_are_apart() -> None:
    found = beam((500, 1500), (0.0, 2000.0, 1.0))
    for pieces in found.model.pieces.values():
        assert all(b == c for (_, b), (c, _) in pairwise(pieces))
