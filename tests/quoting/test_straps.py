"""Wall straps on the hardware bill: what they cost, and what is told where a price book sells none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from sawbill.buying.boards import NothingFitsError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote

Make = Callable[[PriceBook, dict[str, Any]], Quote]
UNIT = {"lines": [{"design": "shelf-unit", "options": {"height": "40 in", "shelves": 2}}]}


def straps(made: Quote) -> list[tuple[int, int, int]]:
    """The straps on the bill: how many are needed, how many of them the maker has, what the rest costs."""
    return [
        (each.quantity, each.owned, each.amount) for each in made.purchase.hardware if each.need.item == "wall strap"
    ]


def without_straps(book: PriceBook) -> PriceBook:
    return replace(book, hardware=tuple(offer for offer in book.hardware if offer.item != "wall strap"))


@pytest.mark.parametrize(("name", "cents"), [("sample-inch", 1120), ("sample-metric", 990)])
@pytest.mark.parametrize("design", ["shelf-unit", "bunk-bed", "loft-bed"])
def test_what_may_tip_over_has_two_straps_on_its_bill_with_what_they_cost(
    samples: dict[str, PriceBook], quote: Make, design: str, name: str, cents: int
) -> None:
    assert straps(quote(samples[name], {"lines": [{"design": design}]})) == [(2, 0, cents)]


def test_a_bench_has_none(inch: PriceBook, quote: Make) -> None:
    assert straps(quote(inch, {"lines": [{"design": "bench"}]})) == []


def test_a_book_that_sells_none_still_quotes_all_else_and_tells_what_is_in_no_total(
    inch: PriceBook, quote: Make
) -> None:
    old = without_straps(inch)
    made, whole = quote(old, UNIT), quote(inch, UNIT)
    assert straps(made) == []
    assert whole.totals.hardware - made.totals.hardware == 1120, "11.20 for two"
    [told] = [each for each in made.warnings if each.code == "bought-elsewhere"]
    assert told.severity == "warn"
    assert "sells no wall strap, and what is bought elsewhere is in no total. Needed: 2." in told.message
    assert not [each for each in whole.warnings if each.code == "bought-elsewhere"]


def test_straps_at_hand_are_taken_first_and_what_is_short_is_told(inch: PriceBook, quote: Make) -> None:
    one, two = ({**UNIT, "owned_hardware": [{"item": "wall strap", "quantity": n}]} for n in (1, 2))
    assert straps(quote(inch, one)) == [(2, 1, 640)]
    assert straps(quote(inch, two)) == [(2, 2, 0)]
    old = without_straps(inch)
    [told] = [each for each in quote(old, one).warnings if each.code == "bought-elsewhere"]
    assert "Needed: 1." in told.message
    assert straps(quote(old, two)) == [(2, 2, 0)]
    assert not [each for each in quote(old, two).warnings if each.code == "bought-elsewhere"]


def test_a_book_whose_straps_have_run_out_is_told_as_of_any_hardware(inch: PriceBook, quote: Make) -> None:
    gone = tuple(replace(each, in_stock=0) if each.item == "wall strap" else each for each in inch.hardware)
    with pytest.raises(NothingFitsError, match="too few in stock of wall strap: 2 are needed"):
        quote(replace(inch, hardware=gone), UNIT)
