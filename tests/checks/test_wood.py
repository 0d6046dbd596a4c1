"""Wood by either standard: which it is, and that no bolt joins what no one standard knows."""

from __future__ import annotations

from sawbill.checks import bolts, ec5, nds
from sawbill.checks.wood import SOURCES, AtBolt, Graded, Lasting, bolt_load, graded
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
        bending = [each.bending(140, 38, 1000, lasting) for lasting in (FOR_GOOD, SHORT)]
        shear = [each.shear(lasting) for lasting in (FOR_GOOD, SHORT)]
        posts = [each.compression(1000, 38, lasting) for lasting in (FOR_GOOD, SHORT)]
        assert all(low < high for low, high in (bending, shear, posts))


def test_a_bolt_is_reckoned_by_the_standard_of_both_woods() -> None:
    g = 0.42
    by_nds = bolts.nds_load(bolts.Side(76.2, True, g), bolts.Side(38.1, False, g), 9.525)
    assert bolt_load(AtBolt(SPF, 38.1, False), AtBolt(SPF, 76.2, True), 9.525) == ("NDS", by_nds)
    by_ec5 = bolts.ec5_load(bolts.Side(45, False, 350), bolts.Side(90, True, 350), 10, 1.0)
    assert bolt_load(AtBolt(C24, 45, False), AtBolt(C24, 90, True), 10) == ("EC5", by_ec5)
    assert bolt_load(AtBolt(SPF, 38.1, False), AtBolt(C24, 90, True), 10) is None
