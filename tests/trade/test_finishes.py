"""Finishes: how much an area takes, against the arithmetic by hand."""

from __future__ import annotations

import pytest

from sawbill.prices.offers import SUPPLIES
from sawbill.trade.finishes import ABRASIVE, abrasives, finishes
from sawbill.trade.lengths import FOOT, METRE


@pytest.mark.parametrize(
    ("finish", "area", "ml"),
    [
        ("varnish", 10 * METRE**2, 3000),
        ("oil", 12 * METRE**2, 2400),
        ("paint", METRE**2 // 1000, 1),
        ("outdoors", 0, 0),
    ],
)
def test_a_finish_is_bought_by_area_and_coats(finish: str, area: int, ml: int) -> None:
    """A litre covers 10 m2 once (common practice, no source: 400 ft2 a US gallon)."""
    assert finishes()[finish].takes(area) == ml


def test_a_us_gallon_covers_about_four_hundred_square_feet() -> None:
    """3.785 l; common practice, no source, a few per cent either way."""
    assert pytest.approx(finishes()["paint"].takes(400 * FOOT**2) / 2, rel=0.03) == 3785


def test_every_finish_and_its_abrasive_may_stand_in_a_price_book() -> None:
    assert {each.item for each in finishes().values()} <= {item for item, kind in SUPPLIES.items() if kind == "volume"}
    assert SUPPLIES[ABRASIVE] == "count"


@pytest.mark.parametrize(("area", "sheets"), [(0, 0), (1, 1), (METRE**2, 1), (METRE**2 + 1, 2)])
def test_a_sheet_sands_a_square_metre(area: int, sheets: int) -> None:
    """Common practice, no source."""
    assert abrasives(area) == sheets
