"""Hardware and supplies that the maker has: used before any is bought, counted exactly."""

from collections.abc import Callable
from typing import Any

import pytest

from sawbill.buying.boards import NothingFitsError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote

Make = Callable[[PriceBook, dict[str, Any]], Quote]
SCREW = {"item": "wood screw", "size": "#8", "length": "2 in"}


@pytest.fixture(scope="module")
def book(tiny_book: Callable[..., PriceBook]) -> PriceBook:
    """Screws in tens at 1.00 and in fifties at 4.00; glue in 100 ml at 3.00."""
    screws = [{**SCREW, "pack": pack, "price": price} for pack, price in ((10, "1.00"), (50, "4.00"))]
    return tiny_book(
        [{"length": "8 ft", "price": "4.00"}], screws, [{"item": "wood glue", "amount": "100 ml", "price": "3.00"}]
    )


def screws(quantity: int, **more: Any) -> dict[str, Any]:
    return {"lines": [{"hardware": [{**SCREW, "quantity": quantity}], "quantity": 2}], **more}


@pytest.mark.parametrize(
    ("owned", "used", "packs", "left_over", "cents"),
    [
        (0, 0, 6, 0, 500),
        (9, 9, 6, 9, 500),
        (10, 10, 5, 0, 400),
        (59, 59, 1, 9, 100),
        (60, 60, 0, 0, 0),
        (99, 60, 0, 0, 0),
    ],
)
def test_what_is_owned_is_taken_off_the_need_of_all_lines(
    book: PriceBook, quote: Make, owned: int, used: int, packs: int, left_over: int, cents: int
) -> None:
    rows = [{**SCREW, "quantity": owned}] if owned else []
    made = quote(book, screws(30, owned_hardware=rows))
    (bought,) = made.purchase.hardware
    assert (bought.quantity, bought.owned, bought.left_over, bought.amount) == (60, used, left_over, cents)
    assert sum(offer.pack * count for offer, count in bought.packs) == packs * 10
    assert made.totals.hardware == cents
    assert made.totals.used * (60 - used + left_over) == cents * (60 - used), "only what is bought and used"


def test_rows_of_the_same_thing_are_added_up_and_other_things_are_no_help(book: PriceBook, quote: Make) -> None:
    rows = [{**SCREW, "quantity": 4}, {**SCREW, "length": "3 in", "quantity": 50}, {**SCREW, "quantity": 6}]
    (bought,) = quote(book, screws(5, owned_hardware=rows)).purchase.hardware
    assert (bought.owned, bought.packs) == (10, ())


def test_what_is_all_owned_need_not_be_sold(book: PriceBook, quote: Make) -> None:
    nuts = {"item": "hex nut", "size": "3/8 in", "quantity": 3}
    made = quote(book, {"lines": [{"hardware": [nuts]}], "owned_hardware": [nuts]})
    assert (made.totals.total, made.visits) == (0, ())
    with pytest.raises(NothingFitsError, match=r"sells no hex nut 3/8 in; 1 are needed"):
        quote(book, {"lines": [{"hardware": [nuts]}], "owned_hardware": [{**nuts, "quantity": 2}]})


def test_owned_glue_saves_a_bottle(inch: PriceBook, quote: Make) -> None:
    bed = {"lines": [{"design": "slatted-bed", "options": {"mattress": "queen"}}]}
    (bottle,) = quote(inch, bed).purchase.supplies
    assert bottle.amount > 0
    enough = [{"item": "wood glue", "amount": f"{bottle.quantity} ml"}]
    (none,) = quote(inch, {**bed, "owned_supplies": enough}).purchase.supplies
    assert (none.amount, none.owned, none.left_over) == (0, bottle.quantity, 0)
    nearly = [{"item": "wood glue", "amount": f"{bottle.quantity - 1}.9 ml"}]
    (short,) = quote(inch, {**bed, "owned_supplies": nearly}).purchase.supplies
    assert short.owned == bottle.quantity - 1, "rounded down"
    assert short.amount > 0


def test_every_fault_of_what_is_owned_and_of_the_pricing_is_told(
    inch: PriceBook, faults_of: Callable[[PriceBook, dict[str, Any]], Any]
) -> None:
    raw = screws(
        1,
        owned_hardware=[{**SCREW, "quantity": 0}, {"item": "nail"}],
        owned_supplies=[
            {"item": "glue", "amount": "1 l"}, {"item": "wood glue", "amount": "5"},
            {"item": "sandpaper", "amount": "x"},
            {"item": "paint", "amount": "1 kg"}, {"item": "wood filler", "amount": "2000 kg"},
        ],
        pricing={"contingency": "101 %", "labour_rate": "25 USD", "factor": "0.5", "markup": "x", "margin": "100 %"},
    )  # fmt: skip
    found = {"/".join(map(str, fault.pointer)): fault.code for fault in faults_of(inch, raw)}
    assert found == {
        "owned_hardware/0/quantity": "out-of-range",
        "owned_hardware/1/item": "not-a-choice",
        "owned_supplies/0/item": "not-a-choice",
        "owned_supplies/1/amount": "not-an-amount",
        "owned_supplies/2/amount": "out-of-range",
        "owned_supplies/3/amount": "not-an-amount",
        "owned_supplies/4/amount": "out-of-range",
        "pricing/contingency": "out-of-range",
        "pricing/factor": "out-of-range",
        "pricing/labour_rate": "not-a-number",
        "pricing/margin": "out-of-range",
        "pricing/markup": "not-a-percentage",
    }
