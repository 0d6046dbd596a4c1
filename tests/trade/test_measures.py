"""Measures in a reader's units, against the factors of NIST Handbook 44, 2024, appendix C, as pint has them."""

from decimal import Decimal

import pint
import pytest

from sawbill.trade.lengths import INCH, METRE, MM, fine_text
from sawbill.trade.measures import CUSTOMARY, area_text, converted, mass_text, told

PINT = {"lb": "pound", "sq ft": "foot**2", "fl oz": "fluid_ounce", "oz": "ounce", "kg": "kg", "m2": "m**2", "ml": "ml"}


@pytest.mark.parametrize("unit", CUSTOMARY)
def test_each_unit_is_as_large_as_another_library_has_it(unit):
    name, size = CUSTOMARY[unit]
    one = pint.UnitRegistry().Quantity(1, PINT[name]).to(PINT.get(unit, unit))
    assert float(size) == pytest.approx(one.magnitude, rel=1e-9)


def test_a_reader_has_measures_in_one_system_alone():
    assert (mass_text(23_000, "metric"), mass_text(23_000, "inch")) == ("23 kg", "50.7 lb")
    assert (area_text(METRE**2, "metric"), area_text(METRE**2, "inch")) == ("1 m2", "10.8 sq ft")
    assert (told(Decimal(104), "ml", "metric"), told(Decimal(104), "ml", "inch")) == ("104 ml", "3.5 fl oz")
    assert converted(Decimal(3), "piece", "inch") == (3, "piece"), "what is counted stays"


@pytest.mark.parametrize(
    ("nm", "inch", "metric"),
    [
        (55 * MM, "2 11/64 in", "55 mm"),
        (63_500_000, "2 1/2 in", "63.5 mm"),
        (INCH // 64, "1/64 in", "0.4 mm"),
        (239_000, "0.0094 in", "0.24 mm"),
        (1_479_000, "0.058 in", "1.5 mm"),
        (6_350_000, "1/4 in", "6.4 mm"),
    ],
)
def test_what_lies_between_two_steps_is_told_as_finely_as_it_matters(nm, inch, metric):
    assert (fine_text(nm, "inch"), fine_text(nm, "metric")) == (inch, metric), "worked out by hand"
