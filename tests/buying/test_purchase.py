"""Hardware and supplies in whole packs: the cheapest from one supplier, within its stock, or what is lacking."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import product
from math import ceil
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.packs import Pack, buy_packs
from sawbill.buying.purchase import GLUE_COVER, Purchase
from sawbill.buying.suppliers import cheapest_sourcing
from sawbill.buying.takeoff import TakeOff, take_off
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Glued
from sawbill.trade.lengths import FOOT, METRE

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Build = Callable[..., PriceBook]

BOARD = {"length": "96 in", "price": "4.00"}
SCREW = {"item": "wood screw", "size": "#8", "length": "2 in"}


@pytest.fixture
def buy(tiny_book: Build, ask: Ask) -> Callable[..., Purchase]:
    """Buy so many screws, or some glue, from a book of these rows."""

    def bought(rows: list[dict[str, Any]], quantity: int = 1, glued: int = 0) -> Purchase:
        kind = "supplies" if glued else "hardware"
        usual: dict[str, Any] = {"item": "wood glue"} if glued else SCREW
        book = tiny_book([BOARD], **{kind: [{**usual, **row} for row in rows]})
        line = {"parts": [{"section": "2x4", "length": "10 in"}], "hardware": [{**SCREW, "quantity": quantity}]}
        request = ask(book, {"lines": [line]})
        off = take_off(request.lines, request.shop.rounding_step)
        off = TakeOff(off.cut_list, () if glued else off.hardware, glued, 0)
        return cheapest_sourcing(off, request, book).purchase

    return bought


def test_what_is_finished_takes_its_finish_and_sandpaper_and_the_rest_none(inch: PriceBook, ask: Ask) -> None:
    """By hand: the faces of every board, less those glued, times coats, over 10 m2 a litre; a sheet a square metre."""

    def bought(finish: str) -> dict[str, int]:
        lines = [{"design": "bench", "quantity": 2, "options": {"finish": finish}}]
        request = ask(inch, {"lines": lines})
        off = take_off(request.lines, request.shop.rounding_step)
        found = {supply.item: supply.quantity for supply in cheapest_sourcing(off, request, inch).purchase.supplies}
        glue = {"wood glue": found.pop("wood glue")} if "wood glue" in found else {}
        assert bool(glue) == bool(off.glued)
        return found

    [line] = ask(inch, {"lines": [{"design": "bench"}]}).lines
    frame = line.frame
    assert frame is not None
    faces = sum(2 * (x * y + y * z + z * x) for x, y, z in (box.size for box in frame.boxes.values()))
    glued = sum(
        frame.boxes[a].contact(frame.boxes[b]) for a, b in (j.parts for j in frame.joints if isinstance(j, Glued))
    )
    square_metres = 2 * Fraction(faces - 2 * glued, METRE**2)
    assert bought("none") == {}
    assert bought("varnish") == {"clear finish": ceil(square_metres * 3 * 100), "sandpaper": ceil(square_metres)}
    assert bought("outdoors") == {"outdoor finish": ceil(square_metres * 3 * 100), "sandpaper": ceil(square_metres)}


def counts(found: Purchase) -> dict[str, int]:
    [item] = [*found.hardware, *found.supplies]
    return {offer.item_code: number for offer, number in item.packs}


def test_the_cheapest_mix_of_packs_is_bought_and_the_rest_is_left_over(buy: Callable[..., Purchase]) -> None:
    found = buy([{"pack": 25, "price": "2.00"}, {"pack": 100, "price": "5.00"}], quantity=110)
    assert counts(found) == {"I0": 1, "I1": 1}
    [screws] = found.hardware
    assert (screws.amount, screws.left_over) == (700, 15)


def test_a_need_is_met_by_the_cheapest_mix_of_suppliers(buy: Callable[..., Purchase]) -> None:
    """10 from one and 10 from the other cost 5.00; one of them alone 6.00 or 5.50."""
    rows: list[dict[str, Any]] = [
        {"pack": 10, "price": "3.00"},
        {"pack": 10, "price": "2.00", "in_stock": 1, "supplier": "Other yard"},
        {"pack": 5, "price": "1.75", "supplier": "Other yard"},
    ]
    found = buy(rows, quantity=20)
    assert found.hardware[0].amount == 500
    assert {offer.supplier for offer, _ in found.hardware[0].packs} == {"Yard", "Other yard"}


def test_of_suppliers_at_the_same_cost_the_first_in_the_book_is_taken(buy: Callable[..., Purchase]) -> None:
    rows = [{"pack": 10, "price": "3.00"}, {"pack": 10, "price": "3.00", "supplier": "Other yard"}]
    assert counts(buy(rows, quantity=5)) == {"I1": 1}  # the book's rows are in the order of their suppliers
    assert [offer.supplier for offer, _ in buy(rows, quantity=5).hardware[0].packs] == ["Other yard"]


def test_the_stock_of_an_item_is_one_number_for_all_its_prices(buy: Callable[..., Purchase]) -> None:
    """Five packs there are, at 5.00 each or 3.00 from three: not five at one price and three more at the other."""
    rows = [
        {"item_code": "S", "pack": 10, "price": "5.00", "in_stock": 5},
        {"item_code": "S", "pack": 10, "price": "3.00", "least_quantity": 3, "in_stock": 5},
    ]
    assert buy(rows, quantity=50).hardware[0].amount == 1500
    assert buy(rows, quantity=20).hardware[0].amount == 900
    assert buy(rows, quantity=10).hardware[0].amount == 500
    with pytest.raises(NothingFitsError) as caught:
        buy(rows, quantity=51)
    assert [(each.code, each.message) for each in caught.value.lacking] == [
        ("too-little-hardware", "The price book has too few in stock of wood screw #8 x 2 in: 51 are needed.")
    ]


def test_hardware_that_is_not_sold_is_named_with_size_and_length(buy: Callable[..., Purchase]) -> None:
    with pytest.raises(NothingFitsError) as caught:
        buy([{"pack": 10, "price": "5.00", "length": "3 in"}], quantity=7)
    assert [(each.code, each.message) for each in caught.value.lacking] == [
        ("hardware-not-sold", "The price book sells no wood screw #8 x 2 in; 7 are needed. Add it to the book.")
    ]


def test_glue_is_bought_for_the_area_at_200_square_feet_a_gallon(buy: Callable[..., Purchase]) -> None:
    """Common practice, no source: 200 to 250 ft2 a US gallon, which is 3785.411784 ml (231 in3, exact)."""
    assert Fraction(200 * FOOT**2, METRE**2) / GLUE_COVER == Fraction("3785.411784")
    found = buy([{"amount": "8 fl oz", "price": "5.00"}], glued=10 * FOOT**2)
    [glue] = found.supplies
    assert glue.quantity == 190  # 189.27 ml, and no less
    assert counts(found) == {"I0": 1}
    assert glue.left_over == Fraction("236.5882365") - 190  # 8 US fl oz of 29.5735295625 ml


def test_glue_that_is_not_sold_is_named(buy: Callable[..., Purchase]) -> None:
    with pytest.raises(NothingFitsError) as caught:
        buy([], glued=FOOT**2)
    assert [each.code for each in caught.value.lacking] == ["supply-not-sold"]


def test_a_container_of_less_than_a_millilitre_is_passed_over(buy: Callable[..., Purchase]) -> None:
    rows = [{"amount": "0.5 ml", "price": "0.01"}, {"amount": "1 l", "price": "9.00"}]
    assert counts(buy(rows, glued=FOOT**2)) == {"I1": 1}


def test_boards_hardware_and_supplies_that_are_lacking_are_said_at_once(tiny_book: Build, ask: Ask) -> None:
    book = tiny_book([{"length": "72 in", "price": "3.00"}])
    request = ask(book, {"lines": [{"design": "slatted-bed"}]})
    with pytest.raises(NothingFitsError) as caught:
        cheapest_sourcing(take_off(request.lines, request.shop.rounding_step), request, book)
    codes = [each.code for each in caught.value.lacking]
    assert {"no-board-long-enough", "hardware-not-sold", "supply-not-sold"} <= set(codes)
    assert sum(code == "hardware-not-sold" for code in codes) == 7  # three bolts, washer, tee nut, hanger, nail
    rail = next(each for each in caught.value.lacking if each.parts == ("A",))
    assert rail.message == "No stock is long enough for the 85 in side rail: the longest 2x4 is 72 in."


# ---- one item at several prices, and needs of any size

items = st.lists(
    st.tuples(
        st.integers(1, 7),
        st.none() | st.integers(0, 6),
        st.lists(st.tuples(st.integers(1, 30), st.integers(1, 4)), min_size=1, max_size=2),
    ),
    min_size=1,
    max_size=2,
)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 25), items)
def test_no_mix_is_cheaper_when_an_item_has_several_prices(need: int, offered: list[Any]) -> None:
    packs = [
        Pack(size, price, least, stock, f"item {n}")
        for n, (size, stock, prices) in enumerate(offered)
        for price, least in prices
    ]
    ways: list[list[tuple[int, int]]] = []
    for size, stock, prices in offered:
        most = max(need, 4) if stock is None else stock
        own = [(0, 0)]
        own += [(size * k, price * k) for price, least in prices for k in range(least, most + 1)]
        ways.append(own)
    costs = [sum(cost for _, cost in chosen) for chosen in product(*ways) if sum(held for held, _ in chosen) >= need]
    found = buy_packs(need, packs)
    if found is None:
        assert not costs
        return
    assert sum(n * pack.price for n, pack in zip(found, packs, strict=True)) == min(costs)
    for n, pack in zip(found, packs, strict=True):
        same = sum(other for other, each in zip(found, packs, strict=True) if each.item == pack.item)
        assert pack.available is None or same <= pack.available
        assert n == 0 or n >= pack.least


def test_a_need_of_a_hundred_million_is_met_at_once_by_the_best_pack_and_a_rest() -> None:
    packs = [Pack(25, 202), Pack(100, 394), Pack(100, 350, 5), Pack(500, 1350, 1, 9)]
    assert buy_packs(10**8, packs) == (0, 0, 10**6 - 45, 9)


def test_packs_that_can_never_reach_are_told_at_once() -> None:
    assert buy_packs(10**8, [Pack(500, 2250, available=9), Pack(7, 30, available=10**4)]) is None
