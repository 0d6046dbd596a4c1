"""What became of a quote: real quotes of one request from two books, compared as they are sent."""

import copy
import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.answer.drift import WHY, Drift, LineDrift, drift, sold_by
from sawbill.answer.quote import quote_json
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote

Make = Callable[[PriceBook, dict[str, Any]], Quote]
Build = Callable[..., PriceBook]

BOARD = {"length": "8 ft", "price": "4.00", "item_code": "B8"}
LONG = {"length": "10 ft", "price": "6.00", "item_code": "B10"}
SCREWS = {"item": "wood screw", "size": "#8", "length": "2 in", "pack": 10, "price": "1.00", "item_code": "S"}
REQUEST = {
    "lines": [
        {
            "parts": [{"section": "2x4", "length": "40 in", "quantity": 4}],
            "hardware": [{"item": "wood screw", "size": "#8", "length": "2 in", "quantity": 20}],
        }
    ],
    "shop": {"kerf": "1/8 in"},
}
"""Two boards of 8 ft, cut in two each; two packs of screws."""


@pytest.fixture(scope="module")
def became(tiny_book: Build, quote: Make) -> Callable[..., Drift]:
    """Compare the request from the usual book with the same from another."""

    def compare(
        lumber: list[dict[str, Any]], hardware: list[dict[str, Any]], change: Any = None, **settings: Any
    ) -> Drift:
        books = tiny_book([BOARD, LONG], [SCREWS]), tiny_book(lumber, hardware, **settings)
        before, after = (json.loads(json.dumps(quote_json(quote(book, REQUEST)))) for book in books)
        if change:
            change(before)
        return drift(before, after, *map(sold_by, books))

    return compare


def only(found: Drift) -> LineDrift:
    """The one line that changed."""
    (line,) = (line for line in found.lines if line.why)
    return line


def test_what_is_the_same_has_not_changed(became: Callable[..., Drift]) -> None:
    found = became([BOARD, LONG], [SCREWS])
    assert found.why == ("nothing-changed",)
    assert [(line.change, line.why) for line in found.lines] == [(0, ()), (0, ())]
    assert all(old == new for _, old, new in found.totals)


@pytest.mark.parametrize(("price", "why", "change"), [("4.50", "price-rose", "1.00"), ("3.90", "price-fell", "-0.20")])
def test_a_price_that_moved_is_told_with_what_it_did(
    became: Callable[..., Drift], price: str, why: str, change: str
) -> None:
    found = became([{**BOARD, "price": price}, LONG], [SCREWS])
    line = only(found)
    assert (line.row["item_code"], line.why) == ("B8", (why,))
    assert (line.by_price, line.by_quantity, line.change) == (Decimal(change), 0, Decimal(change))
    assert found.why == ("book-changed", why, "tax-changed")


def test_a_board_that_went_is_made_up_for_by_another(became: Callable[..., Drift]) -> None:
    found = became([LONG], [SCREWS])
    lines = {line.row["item_code"]: line for line in found.lines if line.why}
    assert lines["B8"].why == ("item-went", "quantity-changed")
    assert (lines["B8"].after, lines["B8"].change) == (None, Decimal("-8.00"))
    assert lines["B10"].why == ("quantity-changed",), "it was sold before, at the same price"
    assert (lines["B10"].before, lines["B10"].change) == (None, Decimal("12.00"))
    assert {"book-changed", "plan-changed", "item-went"} <= set(found.why)


def test_a_cheaper_board_that_came_is_bought_instead(became: Callable[..., Drift]) -> None:
    found = became([BOARD, LONG, {"length": "14 ft", "price": "5.00", "item_code": "B14"}], [SCREWS])
    lines = {line.row["item_code"]: line for line in found.lines if line.why}
    assert lines["B14"].why[0] == "item-came"
    assert "item-went" not in lines["B8"].why, "it is still sold, and was not the cheapest way"
    assert "plan-changed" in found.why


def test_a_price_that_moved_another_thing_off_the_list_is_named_at_it(became: Callable[..., Drift]) -> None:
    found = became([{**BOARD, "price": "7.00"}, LONG], [SCREWS])
    lines = {line.row["item_code"]: line for line in found.lines if line.why}
    assert lines["B8"].why == ("price-rose", "quantity-changed")
    assert lines["B8"].after is None, "that is why it is not bought any more"


def test_a_pack_of_another_size_is_another_thing(became: Callable[..., Drift]) -> None:
    """Two packs of 10 at 1.00 stand against four of 5 at 0.60."""
    found = became([BOARD, LONG], [{**SCREWS, "pack": 5, "price": "0.60"}])
    before, after = sorted((line for line in found.lines if line.why), key=lambda line: line.change)
    assert (before.change, after.change) == (Decimal("-2.00"), Decimal("2.40"))
    assert (before.why[0], after.why[0]) == ("item-went", "item-came")


def test_another_engine_and_other_parts_are_told(became: Callable[..., Drift]) -> None:
    def older(quote: dict[str, Any]) -> None:
        quote["engine"] = "0.0.1"
        quote["cut_list"][0]["length"] = {"mm": 1000, "text": "1000 mm"}
        del quote["totals"]["budget"]

    found = became([BOARD, LONG], [SCREWS], older)
    assert found.why[:2] == ("engine-changed", "parts-changed")
    assert "budget" not in {name for name, _, _ in found.totals}, "what one of them does not tell is passed over"


def test_a_trip_that_costs_otherwise_is_told(became: Callable[..., Drift]) -> None:
    found = became([BOARD, LONG], [SCREWS], suppliers=[{"name": "Yard", "trip": "9.00"}])
    assert found.trips == (("Yard", Decimal(0), Decimal(9)),)
    assert found.why == ("book-changed", "trips-changed")


def test_another_currency_is_not_compared(became: Callable[..., Drift]) -> None:
    found = became([BOARD, LONG], [SCREWS], currency="EUR")
    assert (found.totals, found.trips, found.lines) == ((), (), ())
    assert found.why == ("book-changed", "currency-changed")


@settings(max_examples=25)
@given(prices=st.lists(st.integers(100, 1200), min_size=2, max_size=2), pack=st.integers(50, 300))
def test_the_drift_of_lines_trips_and_tax_is_the_drift_of_the_total(
    became: Callable[..., Drift], prices: list[int], pack: int
) -> None:
    rows = copy.deepcopy([BOARD, LONG])
    for row, price in zip(rows, prices, strict=True):
        row["price"] = f"{price / 100:.2f}"
    found = became(rows, [{**SCREWS, "price": f"{pack / 100:.2f}"}])
    totals = {name: new - old for name, old, new in found.totals}
    assert sum(line.change for line in found.lines) == sum(totals[name] for name in ("lumber", "hardware", "supplies"))
    assert totals["total"] == sum(line.change for line in found.lines) + totals["trips"] + totals["tax"]
    for line in found.lines:
        now, was = line.after, line.before
        if now and was:
            assert line.by_quantity == was.each * (now.quantity - was.quantity)
    assert set(found.why) <= set(WHY)
