"""What a bolt bears, against the printed tables of the NDS; of Eurocode 5 what must hold of any such theory."""

from __future__ import annotations

from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.checks.resistance.bolts import Side, ec5_bearing, ec5_load, nds_bearing, nds_load
from sawbill.trade.design_values import MPA_PER_PSI

INCH = 25.4
LB = 4.4482216152605

TABLE_12A = [
    # NDS 2018, Table 12A, single shear: D, tm, ts [in], G; Z along both, side across, main across, across both [lb]
    (1 / 2, 1.5, 1.5, 0.50, 480, 300, 300, 220),
    (1 / 2, 1.5, 1.5, 0.42, 410, None, None, 170),
    (3 / 4, 1.5, 1.5, 0.50, 720, 420, 420, 270),
    (3 / 4, 3.5, 1.5, 0.50, 1200, 590, 610, 510),
    (1, 1.5, 1.5, 0.50, 970, 530, 530, 310),
    (1, 3.5, 3.5, 0.50, 2260, 1230, 1230, 720),
]
CASES = [
    (d, tm, ts, g, along, z)
    for d, tm, ts, g, *loads in TABLE_12A
    for along, z in zip(((True, True), (True, False), (False, True), (False, False)), loads, strict=True)
    if z is not None
]


@pytest.mark.parametrize(("d", "tm", "ts", "g", "along", "z"), CASES)
def test_a_bolt_bears_what_the_nds_prints(
    d: float, tm: float, ts: float, g: float, along: tuple[bool, bool], z: int
) -> None:
    """Printed to the nearest 10 lb, half up (585.0 as 590); along: the main member's grain, the side member's."""
    main, side = Side(tm * INCH, along[0], g), Side(ts * INCH, along[1], g)
    assert floor(nds_load(main, side, d * INCH) / LB / 10 + 0.5 + 1e-4) * 10 == z


@pytest.mark.parametrize(("along", "psi"), [(True, 5600), (False, 3150)])
def test_wood_bears_a_half_inch_bolt_as_the_nds_prints(along: bool, psi: int) -> None:
    """NDS 2018, Table 12.3.3, G 0.50, 1/2 in."""
    assert round(nds_bearing(Side(38, along, 0.50), INCH / 2) / MPA_PER_PSI) == psi


def test_wood_bears_a_bolt_of_12_mm_as_the_eurocode_says() -> None:
    """EN 1995-1-1, 8.32: 0.082 (1 - 0.01 d) rho, 25.3 MPa for C24 and 12 mm."""
    assert ec5_bearing(Side(45, True, 350), 12) == pytest.approx(25.26, abs=0.01)
    assert ec5_bearing(Side(45, False, 350), 12) == pytest.approx(25.26 / 1.53, abs=0.01)


def test_thin_wood_on_thick_is_crushed_as_far_as_it_is_thick() -> None:
    """8.6 (a): the embedment strength by thickness and diameter, and nothing else."""
    thin, thick = Side(4, True, 350), Side(200, True, 350)
    crushed = ec5_bearing(thin, 12) * 4 * 12
    assert ec5_load(thin, thick, 12, 1.3) == pytest.approx(crushed / 1.5)


def test_a_bolt_bends_twice_between_thick_members() -> None:
    """8.6 (f) for M12 of 4.6, C24 along the grain: My 76.7 Nm (8.30), 7,843 N, computed by hand."""
    thick = Side(300, True, 350)
    assert ec5_load(thick, thick, 12, 1.0) == pytest.approx(7843 / 1.3 / 1.5, rel=1e-3)


SIDES = st.builds(Side, st.floats(20, 150), st.booleans(), st.just(350.0))


@given(SIDES, SIDES, st.sampled_from([6.0, 8.0, 10.0, 12.0, 16.0]))
def test_it_is_the_same_bolt_from_either_side_and_more_wood_or_steel_bears_no_less(
    one: Side, other: Side, diameter: float
) -> None:
    load = ec5_load(one, other, diameter, 0.9)
    assert load == pytest.approx(ec5_load(other, one, diameter, 0.9), rel=1e-9)
    assert ec5_load(Side(one.thickness + 5, one.along, 350), other, diameter, 0.9) >= load * (1 - 1e-9)
    assert ec5_load(one, other, diameter + 2, 0.9) > load
    assert ec5_load(one, other, diameter, 0.6) == pytest.approx(load * 0.6 / 0.9)
