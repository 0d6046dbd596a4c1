"""The NDS against worked examples of others, as they print their results."""

from __future__ import annotations

import pytest

from sawbill.checks.resistance import nds
from sawbill.trade.design_values import MPA_PER_PSI, NdsValues, values_of
from sawbill.trade.lumber import Material, find_grade, find_species, section

INCH = 25.4


def values(species: str, grade: str, size: str) -> NdsValues:
    found = values_of(Material(section(size), find_species(species), find_grade(grade)))
    assert isinstance(found, NdsValues)
    return found


def psi(stress: float) -> float:
    return stress / MPA_PER_PSI


def test_a_joist_of_course_notes() -> None:
    """2x8 No.1 DF-L, dead and snow load, wet service: Fb' 1173, Fv' 201 psi (Purdue University, CE 479, 2006).

    Wet service is no case of ours: its factors, 0.85 and 0.97, are put in here.
    """
    found = values("Douglas Fir-Larch", "No.1", "2x8")
    assert round(psi(found.fb * 1.15 * nds.size_factor(found, section("2x8"))) * 0.85) == 1173
    assert round(psi(nds.shear(found, 1.15)) * 0.97) == 201


def test_a_floor_joist_of_the_housing_guide() -> None:
    """2x8 No.1 Hem-Fir: Fb' 1345 psi with Cr 1.15 (HUD, Residential Structural Design Guide, 2nd ed. 2017, ex. 5.1)."""
    found = values("Hem-Fir", "No.1", "2x8")
    assert int(psi(found.fb * nds.size_factor(found, section("2x8"))) * 1.15) == 1345


def test_a_beam_that_gives_way_sideways() -> None:
    """4x16 SS DF-L, lu 20 ft, load at its middle: CL 0.876, Fb' 1313 psi (AWC, Structural Wood Design Examples, 1.2a).

    Its effective length is 1.37 lu + 3 d, for that load.
    """
    b, d = 3.5 * INCH, 15.25 * INCH
    le = 1.37 * 240 * INCH + 3 * d
    fb_star = 1500 * MPA_PER_PSI
    cl = nds.beam_stability_factor(fb_star, 690e3 * MPA_PER_PSI, le, b, d)
    assert round(cl, 3) == 0.876
    assert round(psi(fb_star * cl)) == 1313


def test_a_column_of_the_housing_guide() -> None:
    """4x4 No.2 SPF, le 7.3 ft, 4,800 lb: CP 0.438, Fc' 579 psi, 0.677 used (the same guide, ex. 5.6)."""
    found, post = values("SPF", "No.2", "4x4"), section("4x4")
    le, side = 7.3 * 12 * INCH, 3.5 * INCH
    fc_star = found.fc * nds.size_factor(found, post, compression=True)
    assert round(nds.column_stability_factor(fc_star, found.e_min, le, side), 3) == 0.438
    bears = nds.compression(found, post, le, side, 1.0)
    assert round(psi(bears)) == 579
    assert round(4800 / 12.25 / psi(bears), 3) == 0.677


def test_one_slat_alone_does_not_carry_300_lb() -> None:
    """A 2x4 laid flat, 38 in, 300 lb at its middle: 2,171 psi against about 1,660 (computed by hand, Cr put in)."""
    found, slat = values("SPF", "No.2", "2x4"), section("2x4")
    bent = 300 * 38 / 4 * 6 / (3.5 * 1.5**2)
    assert round(bent) == 2171
    bears = psi(nds.bending(found, slat, 1.5 * INCH, 3.5 * INCH, 38 * INCH, 1.0)) * 1.15
    assert round(bears) == 1660


SIZES = [
    # NDS Supplement 2018, Table 4A, Adjustment Factors: nominal size, CF on Fb, on Fc, Cfu
    ("2x3", 1.5, 1.15, 1.0), ("2x4", 1.5, 1.15, 1.1), ("2x5", 1.4, 1.1, 1.1), ("2x6", 1.3, 1.1, 1.15),
    ("2x8", 1.2, 1.05, 1.15), ("2x10", 1.1, 1.0, 1.2), ("2x12", 1.0, 1.0, 1.2),
    ("4x4", 1.5, 1.15, 1.0), ("4x6", 1.3, 1.1, 1.05), ("4x8", 1.3, 1.05, 1.05),
]  # fmt: skip


@pytest.mark.parametrize(("size", "bending", "compression", "flat"), SIZES)
def test_size_and_flat_use_factors_are_those_of_the_table(
    size: str, bending: float, compression: float, flat: float
) -> None:
    found, each = values("SPF", "No.2", size), section(size)
    assert nds.size_factor(found, each) == bending
    assert nds.size_factor(found, each, compression=True) == compression
    assert nds.flat_use_factor(each) == flat


@pytest.mark.parametrize(("size", "factor"), [("2x4", 1.1), ("2x6", 1.0)])
def test_studs_have_size_factors_of_their_own(size: str, factor: float) -> None:
    assert nds.size_factor(values("SPF", "Stud", size), section(size)) == factor


@pytest.mark.parametrize(
    ("size", "grade", "bending", "compression"),
    [("2x4", "Construction", 1.0, 1.0), ("2x4", "Standard", 1.0, 1.0), ("2x4", "Utility", 1.0, 1.0),
     ("2x3", "Utility", 0.4, 0.6)],
)  # fmt: skip
def test_light_framing_has_factors_of_its_own(size: str, grade: str, bending: float, compression: float) -> None:
    """MEMORY: NDS Supplement 2018, Table 4A, size factors for Construction, Standard and Utility."""
    found, each = values("SPF", grade, size), section(size)
    assert (nds.size_factor(found, each), nds.size_factor(found, each, compression=True)) == (bending, compression)


def test_the_effective_length_follows_how_slender_the_beam_is() -> None:
    """NDS 2018, Table 3.3.3, note 1: 2.06 lu, 1.63 lu + 3 d, 1.84 lu."""
    assert nds.effective_length(60, 10) == pytest.approx(2.06 * 60)
    assert nds.effective_length(70, 10) == pytest.approx(1.63 * 70 + 30)
    assert nds.effective_length(143, 10) == pytest.approx(1.63 * 143 + 30)
    assert nds.effective_length(144, 10) == pytest.approx(1.84 * 144)
