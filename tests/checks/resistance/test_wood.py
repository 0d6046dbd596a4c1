"""Wood by either standard: which it is, and that no bolt joins what no one standard knows."""

from __future__ import annotations

import pytest

from sawbill.checks.resistance import bolts, ec5, nds
from sawbill.checks.resistance.wood import SOURCES, AtBolt, Graded, Lasting, bolt_load, graded
from sawbill.trade.lumber import Material, find_grade, find_species, section

FOR_GOOD, SHORT = Lasting(0.9, 0.6), Lasting(1.6, 1.1)


def wood(species: str, grade: str, size: str) -> Graded:
    found = graded(Material(section(size), find_species(species), find_grade(grade)))
    assert found is not None
    return found


SPF, C24 = wood("SPF", "No.2", "2x6"), wood("spruce", "C24", "45x145")


def test_wood_is_reckoned_by_the_standard_of_its_grade() -> None:
    assert (SPF.standard, C24.standard) == ("NDS", "EC5")
    assert SOURCES == {"NDS": nds.SOURCE, "EC5": ec5.SOURCE}
    assert graded(Material(section("1x6"), find_species("SPF"), find_grade("2 Common"))) is None


def test_what_lasts_longer_is_borne_less() -> None:
    for each in (SPF, C24):
        bending = [each.bending(140, 38, 38, 1000, lasting) for lasting in (FOR_GOOD, SHORT)]
        shear = [each.shear(lasting) for lasting in (FOR_GOOD, SHORT)]
        posts = [each.compression(1000, 38, lasting) for lasting in (FOR_GOOD, SHORT)]
        assert all(low < high for low, high in (bending, shear, posts))


def test_what_is_glued_beside_it_keeps_a_beam_from_giving_way_but_makes_no_plank_of_it() -> None:
    """Three 2x4 on edge are still three on edge: Cfu is of each by itself."""
    for each in (SPF, C24):
        alone, backed = (each.bending(140, 38, width, 3000, SHORT) for width in (38, 114))
        assert alone < backed
    on_edge = wood("SPF", "No.2", "2x4")
    assert on_edge.bending(88.9, 38.1, 114.3, 100, FOR_GOOD) == on_edge.bending(88.9, 38.1, 88.9, 100, FOR_GOOD)


def test_wood_splits_at_bolts_far_from_its_loaded_edge() -> None:
    """NDS 3.4.3.3: 2/3 Fv b de (de / d)2 near its end; EN 1995-1-1, 8.4: 14 b sqrt(he / (1 - he / h)), by hand."""
    fv = 135 * 6.894757293168e-3
    near, inside = (SPF.bolted_end(139.7, 38.1, 100, near=near) for near in (True, False))
    assert near == pytest.approx(2 / 3 * fv * 38.1 * 100 * (100 / 139.7) ** 2)
    assert inside == pytest.approx(2 / 3 * fv * 38.1 * 100)
    assert C24.bolted_end(145, 45, 100, near=True) == pytest.approx(
        14 * 45 * (100 / (1 - 100 / 145)) ** 0.5 / 1.3 / 1.5
    )
    assert C24.bolted_end(145, 45, 145, near=True) == float("inf")


def test_a_bolt_is_reckoned_by_the_standard_of_both_woods() -> None:
    g = 0.42
    by_nds = bolts.nds_load(bolts.Side(76.2, True, g), bolts.Side(38.1, False, g), 9.525)
    assert bolt_load(AtBolt(SPF, 38.1, False), AtBolt(SPF, 76.2, True), 9.525) == ("NDS", by_nds)
    by_ec5 = bolts.ec5_load(bolts.Side(45, False, 350), bolts.Side(90, True, 350), 10, 1.0)
    assert bolt_load(AtBolt(C24, 45, False), AtBolt(C24, 90, True), 10) == ("EC5", by_ec5)
    assert bolt_load(AtBolt(SPF, 38.1, False), AtBolt(C24, 90, True), 10) is None
