"""Reference design values against the printed tables, and of which wood they are told at all."""

from __future__ import annotations

import pytest

from sawbill.trade.design_values import MPA_PER_PSI, NdsValues, StrengthClass, values_of
from sawbill.trade.lumber import Material, find_grade, find_species, section

TABLE_4A = [
    # NDS Supplement 2018, Table 4A: species, grade, Fb, Fv, Fc across and along the grain, E, Emin [psi]
    ("Douglas Fir-Larch", "Select Structural", 1500, 180, 625, 1700, 1.9e6, 690e3),
    ("Douglas Fir-Larch", "No.1", 1000, 180, 625, 1500, 1.7e6, 620e3),
    ("Douglas Fir-Larch", "No.2", 900, 180, 625, 1350, 1.6e6, 580e3),
    ("Hem-Fir", "No.1", 975, 150, 405, 1350, 1.5e6, 550e3),
    ("Hem-Fir", "No.2", 850, 150, 405, 1300, 1.3e6, 470e3),
    ("SPF", "No.2", 875, 135, 425, 1150, 1.4e6, 510e3),
    ("SPF", "No.3", 500, 135, 425, 650, 1.2e6, 440e3),
    ("SPF", "Stud", 675, 135, 425, 725, 1.2e6, 440e3),
]
EN_338 = [
    # EN 338:2016, Table 1: class, fm, fc along and across the grain, fv, E mean and 5 % [MPa], density [kg/m3]
    ("C16", 16, 17, 2.2, 3.2, 8000, 5400, 310),
    ("C24", 24, 21, 2.5, 4.0, 11000, 7400, 350),
    ("C30", 30, 24, 2.7, 4.0, 12000, 8000, 380),
]


def wood(species: str, grade: str, size: str) -> Material:
    return Material(section(size), find_species(species), find_grade(grade))


@pytest.mark.parametrize(("species", "grade", "fb", "fv", "fc_perp", "fc", "e", "e_min"), TABLE_4A)
def test_values_are_those_of_the_nds(
    species: str, grade: str, fb: float, fv: float, fc_perp: float, fc: float, e: float, e_min: float
) -> None:
    found = values_of(wood(species, grade, "2x6"))
    assert isinstance(found, NdsValues)
    printed = [each / MPA_PER_PSI for each in (found.fb, found.fv, found.fc_perp, found.fc, found.e, found.e_min)]
    assert printed == pytest.approx([fb, fv, fc_perp, fc, e, e_min])
    assert not found.sized
    assert found.gravity == {"Douglas Fir-Larch": 0.50, "Hem-Fir": 0.43, "SPF": 0.42}[species], "Table 4A too"


@pytest.mark.parametrize(("name", "fm", "fc_0", "fc_90", "fv", "e", "e_05", "rho"), EN_338)
def test_values_are_those_of_the_strength_classes(
    name: str, fm: float, fc_0: float, fc_90: float, fv: float, e: float, e_05: float, rho: float
) -> None:
    found = values_of(wood("spruce", name, "45x95"))
    assert isinstance(found, StrengthClass)
    assert (found.fm_k, found.fc_0_k, found.fc_90_k, found.fv_k) == (fm, fc_0, fc_90, fv)
    assert (found.e_mean, found.e_05, found.rho_k) == (e, e_05, rho)


def test_a_psi_is_6_894_757_kpa() -> None:
    """NIST Special Publication 811 (2008), Appendix B.8."""
    assert pytest.approx(6.894757e-3, rel=1e-7) == MPA_PER_PSI


def test_grades_sold_as_mixed_count_as_the_weakest_of_them() -> None:
    assert values_of(wood("SPF", "No.2 & Better", "2x4")) == values_of(wood("SPF", "No.2", "2x4"))


def test_a_wide_stud_has_the_values_of_no_3() -> None:
    """NDS Supplement 2018, Table 4A: those for 8 in and wider."""
    assert values_of(wood("SPF", "Stud", "2x8")) == values_of(wood("SPF", "No.3", "2x8"))


def test_southern_pine_has_a_row_for_each_width_with_its_size_counted_in() -> None:
    """MEMORY: NDS Supplement 2018, Table 4B: No.2, Fb 1100, 1000 and 925 psi."""
    found = [values_of(wood("Southern Pine", "No.2", size)) for size in ("2x4", "2x6", "2x8")]
    assert all(isinstance(each, NdsValues) and each.sized for each in found)
    assert [round(each.fb / MPA_PER_PSI) for each in found if isinstance(each, NdsValues)] == [1100, 1000, 925]
    assert values_of(wood("Southern Pine", "No.2", "2x3")) == found[0]


NO_VALUES = [
    wood("SPF", "2 Common", "1x6"),  # a board: graded for looks
    wood("SPF", "No.2", "5/4x6"),  # thinner than 2 in nominal
    wood("Hem-Fir", "Construction", "2x6"),  # light framing is graded up to 4 in wide
    wood("red oak", "No.2", "2x4"),
    wood("spruce", "fifths", "28x70"),
    wood("spruce", "No.2", "45x95"),  # a section of no nominal size
    Material(section("2x4"), find_species("SPF")),
    Material(section("2x4"), None, find_grade("No.2")),
]


@pytest.mark.parametrize("material", NO_VALUES, ids=str)
def test_of_other_wood_no_table_tells(material: Material) -> None:
    assert values_of(material) is None
