"""Where to buy: the suppliers chosen, held against trying every way to share an order among them."""

from __future__ import annotations

import random
from collections.abc import Callable
from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests import many_suppliers

from sawbill.asked.request import read_request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import Sourcing, cheapest_sourcing
from sawbill.buying.suppliers import search as module
from sawbill.buying.takeoff import CutLine, TakeOff, take_off
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import section

Raw = dict[str, Any]
Build = Callable[..., PriceBook]
Make = Callable[[PriceBook, Raw], Quote]
Source = Callable[..., Sourcing]

SCREW = {"item": "wood screw", "size": "#8", "length": "2 in"}


def supplier(name: str, trip: str = "0", **more: str) -> Raw:
    return {"name": name, "trip": trip, **more}


@pytest.fixture(scope="session")
def book_of(tiny_book: Build) -> Build:
    """A book in which each supplier asks a price for a 96 in board and for a pack of ten screws (None: sells none)."""

    def build(sold: list[tuple[Raw, str | None, str | None]], **more: Any) -> PriceBook:
        boards = [
            {"supplier": who["name"], "item_code": f"B-{who['name']}", "length": "96 in", "price": price}
            for who, price, _ in sold
            if price
        ]
        screws = [
            {"supplier": who["name"], "item_code": f"S-{who['name']}", **SCREW, "pack": 10, "price": price}
            for who, _, price in sold
            if price
        ]
        return tiny_book(boards, screws, suppliers=[who for who, _, _ in sold], **more)

    return build


@pytest.fixture(scope="session")
def sourced(ask: Callable[[PriceBook, Raw], Any]) -> Source:
    """Buy so many pieces that each take a board of their own, and ten screws where wanted."""

    def buy(book: PriceBook, pieces: int, screws: bool = False) -> Sourcing:
        line: Raw = {"parts": [{"section": "2x4", "length": "90 in", "quantity": pieces}]}
        if screws:
            line["hardware"] = [{**SCREW, "quantity": 10}]
        request = ask(book, {"lines": [line]})
        return cheapest_sourcing(take_off(request.lines, request.shop.rounding_step), request, book)

    return buy


def visited(found: Sourcing) -> list[str]:
    return [visit.supplier for visit in found.visits]


# ---- every way to share the order


cents = st.integers(100, 999).map(lambda n: f"{n // 100}.{n % 100:02}")
offers = st.lists(
    st.tuples(
        st.fixed_dictionaries(
            {"trip": st.integers(0, 6).map(str)},
            optional={"delivery": st.integers(0, 6).map(str), "tax_rate": st.sampled_from(["0 %", "5 %", "20 %"])},
        ),
        st.none() | cents,
        st.none() | cents,
    ),
    min_size=1,
    max_size=4,
)


def cheapest_by_trying(book: PriceBook, pieces: int) -> Fraction | None:
    """Every piece from every supplier who sells boards, the screws from every one who sells them [minor units]."""
    boards = {offer.supplier: offer.each for offer in book.lumber}
    screws = {offer.supplier: offer.each for offer in book.hardware}
    way_home = {
        each.name: 100 * Fraction(each.trip if each.delivery is None else min(each.trip, each.delivery))
        for each in book.suppliers
    }
    costs = [
        sum(
            (
                price * (1 + Fraction(book.tax_rate_at(name)))
                for name, price in [(seller, screws[seller]), *((name, boards[name]) for name in chosen)]
            ),
            sum(way_home[name] for name in {seller, *chosen}),
        )
        for seller in screws
        for chosen in product(boards, repeat=pieces)
    ]
    return min(costs, default=None)


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(sold=offers, pieces=st.integers(1, 3))
def test_no_way_to_share_the_order_costs_less(book_of: Build, sourced: Source, sold: Any, pieces: int) -> None:
    named = [({"name": f"Supplier {n}", **who}, board, screw) for n, (who, board, screw) in enumerate(sold)]
    if not any(board for _, board, _ in named):
        named[0] = (named[0][0], "5.00", named[0][2])  # a book whose usual section nobody sells is faulty
    book = book_of(named)
    least = cheapest_by_trying(book, pieces)
    if least is None:
        with pytest.raises(NothingFitsError):
            sourced(book, pieces, screws=True)
        return
    found = sourced(book, pieces, screws=True)
    assert (found.cost, found.gap) == (least, 0)
    each = {offer.item_code: offer.each for offer in (*book.lumber, *book.hardware)}
    lines = found.purchase
    assert all(line.offer.each == each[line.offer.item_code] for line in lines.boards.bought)
    assert all(offer.each == each[offer.item_code] for item in lines.hardware for offer, _ in item.packs)


# ---- by hand


def test_a_dear_trip_is_saved_by_paying_more_for_the_goods(book_of: Build, sourced: Source) -> None:
    """Two boards at 5.00 each and a trip of 1.00, against 4.00 each and a trip of 5.00 (10 % tax on both)."""
    book = book_of([(supplier("Near", "1.00"), "5.00", None), (supplier("Far", "5.00"), "4.00", None)])
    assert visited(sourced(book, 2)) == ["Near"]
    assert visited(sourced(book, 4)) == ["Far"]  # 4 x 1.10 saved is more than 4.00


def test_a_delivery_is_taken_where_it_costs_less_than_the_trip(book_of: Build, sourced: Source) -> None:
    book = book_of([(supplier("Yard", "9.00", delivery="4.50"), "5.00", None)])
    (visit,) = sourced(book, 1).visits
    assert (visit.delivered, visit.amount) == (True, 450)


def test_unlike_taxes_change_which_supplier_is_cheaper(book_of: Build, sourced: Source) -> None:
    """4.00 with 20 % is 4.80; 4.50 with 5 % is 4.725."""
    taxed, light = supplier("Taxed", tax_rate="20 %"), supplier("Light", tax_rate="5 %")
    book = book_of([(taxed, "4.00", None), (light, "4.50", None)])
    found = sourced(book, 1)
    assert visited(found) == ["Light"]
    assert found.cost == Fraction("472.5")
    assert found.purchase.boards.bought[0].amount == 450
    assert (found.purchase.boards.cost, found.purchase.boards.bound) == (450, 450)


def test_who_alone_sells_a_thing_is_visited_however_far(book_of: Build, sourced: Source) -> None:
    book = book_of([(supplier("Yard", "1.00"), "5.00", None), (supplier("Far", "50.00"), None, "2.00")])
    assert visited(sourced(book, 1, screws=True)) == ["Far", "Yard"]
    assert visited(sourced(book, 1)) == ["Yard"]


def test_two_things_from_one_supplier_save_the_second_trip(book_of: Build, sourced: Source) -> None:
    near, far = supplier("Near", "3.00"), supplier("Far", "3.00")
    book = book_of([(near, "5.00", "4.00"), (far, "8.00", "2.00")])
    assert visited(sourced(book, 1, screws=True)) == ["Near"]


def test_what_nobody_sells_is_lacking_whoever_is_visited(book_of: Build, sourced: Source) -> None:
    book = book_of([(supplier("Yard"), "5.00", None)])
    with pytest.raises(NothingFitsError, match="sells no wood screw #8 x 2 in"):
        sourced(book, 1, screws=True)


def test_suppliers_that_are_not_searched_leave_a_gap_that_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(0)
    book = read_json("many", many_suppliers.book_of(chance, 4))
    request = read_request({"lines": [many_suppliers.line_of(chance)]}, book, {})
    off = take_off(request.lines, request.shop.rounding_step)
    exact = cheapest_sourcing(off, request, book)
    assert exact.gap == 0
    monkeypatch.setattr(module, "MOST_NODES", 0)
    hasty = cheapest_sourcing(off, request, book)
    assert 0 < hasty.gap < hasty.cost / 10
    assert hasty.cost - hasty.gap <= exact.cost <= hasty.cost


def test_visits_that_must_be_paid_are_in_the_bound_even_where_no_time_is_left(
    book_of: Build, ask: Callable[[PriceBook, Raw], Any]
) -> None:
    """The boards come from one yard, the screws from either of two shops, the nearer 4.00 away."""
    shops = [(supplier(name, trip), None, "2.00") for name, trip in (("Near", "4.00"), ("Far", "5.00"))]
    book = book_of([(supplier("Yard", "3.00"), "5.00", None), *shops])
    parts = [{"section": "2x4", "length": "90 in", "quantity": 1}]
    request = ask(book, {"lines": [{"parts": parts, "hardware": [{**SCREW, "quantity": 10}]}]})
    off = take_off(request.lines, request.shop.rounding_step)
    hasty = cheapest_sourcing(off, request, book, end=0.0)
    assert hasty.cost - hasty.gap == cheapest_sourcing(off, request, book).cost


# ---- wood on hand


def metric_book(
    tiny_book: Build, boards: list[tuple[str, str, str]], screws: list[tuple[str, str]], **more: Any
) -> Any:
    """A metric book without tax: boards of 2400 mm (supplier, section, price), packs of ten screws."""
    wood = {"length": "2400 mm", "species": "spruce", "grade": "C24"}
    shop = {"kerf": "3 mm", "end_trim": "0 mm", "rounding_step": "1 mm", "keep_offcut": "300 mm", "spare_boards": 0}
    return tiny_book(
        [{"supplier": who, "section": sort, "price": price, **wood} for who, sort, price in boards],
        [{"supplier": who, **METRIC_SCREW, "pack": 10, "price": price} for who, price in screws],
        units="metric", currency="EUR", tax_rate="0 %", shop=shop, usual_sections={"other": boards[0][1]}, **more,
    )  # fmt: skip


METRIC_SCREW = {"item": "wood screw", "size": "5 mm", "length": "50 mm"}
OWN_WOOD: Raw = {
    "lines": [
        {
            "parts": [
                {"section": "45x95", "length": "700 mm", "quantity": 2},
                {"section": "45x145", "length": "600 mm", "quantity": 1},
            ],
            "hardware": [{**METRIC_SCREW, "quantity": 10}],
        }
    ],
    "on_hand": [{"section": "45x145", "length": "2000 mm", "quantity": 1}],
}


def test_who_sells_no_section_that_wood_on_hand_meets_is_enough(tiny_book: Build, quote: Make) -> None:
    """10.00 for a board, 5.00 for screws and 2.00 for the trip; with the other supplier's screws it is 25.90."""
    near, far = supplier("Y0", "2.00"), supplier("Y1", "9.00")
    book = metric_book(
        tiny_book, [("Y0", "45x95", "10.00"), ("Y1", "45x145", "20.00")], [("Y0", "5.00"), ("Y1", "4.90")],
        suppliers=[near, far],
    )  # fmt: skip
    made = quote(book, OWN_WOOD)
    assert (made.totals.total, made.proof.status, made.proof.gap) == (1700, "proven", 0)
    assert [visit.supplier for visit in made.visits] == ["Y0"]


def test_a_section_that_only_ripped_parts_want_need_not_be_sold_where_another_gives_them(
    tiny_book: Build, ask: Any
) -> None:
    """A 45x145 of 20.00 holds the 700 mm piece and the blocks' blank; to fetch a 45x95 costs 9.00 and 10.00 more."""
    near, far = supplier("Y0", "2.00"), supplier("Y1", "9.00")
    boards = [("Y0", "45x145", "20.00"), ("Y1", "45x95", "10.00")]
    book = metric_book(tiny_book, boards, [], suppliers=[near, far])
    cuts = (
        CutLine("A", 0, "piece", section("45x145"), 700 * MM, 1),
        CutLine("B", 0, "block", section("45x95"), 60 * MM, 4, ripped=40 * MM),
    )
    request = ask(book, {"lines": [{"parts": [{"section": "45x145", "length": "700 mm"}]}]})
    found = cheapest_sourcing(TakeOff(cuts, (), 0, 0), request, book)
    assert (found.cost, found.gap, visited(found)) == (2200, 0, ["Y0"])


# ---- spare boards


def test_who_sells_no_spare_board_is_not_cheaper_for_it(book_of: Build, quote: Make) -> None:
    """Wood on hand is enough for the piece, but the spare board asked for is bought: 5.00 and the trip of 1.00."""
    book = book_of(
        [(supplier("Near", "1.00"), "5.00", None), (supplier("Far", "3.00"), "4.00", "2.00")], tax_rate="0 %"
    )
    made = quote(
        book,
        {
            "lines": [{"parts": [{"section": "2x4", "length": "40 in"}]}],
            "on_hand": [{"section": "2x4", "length": "44 in", "quantity": 1}],
            "shop": {"spare_boards": 1},
        },
    )
    assert (made.totals.total, made.proof.gap) == (600, 0)
    assert [visit.supplier for visit in made.visits] == ["Near"]


def test_spare_boards_that_bring_a_lower_price_leave_the_doubt_told(tiny_book: Build, quote: Make) -> None:
    """Three boards of 5.00 and a spare one are 20.00; four for 4.00 each would be 16.00: within the gap."""
    row = {"item_code": "B", "length": "96 in"}
    book = tiny_book(
        [{**row, "price": "5.00"}, {**row, "price": "4.00", "least_quantity": 4}],
        tax_rate="0 %", suppliers=[{"name": "Yard"}],
    )  # fmt: skip
    parts = [{"section": "2x4", "length": "90 in", "quantity": 3}]
    made = quote(book, {"lines": [{"parts": parts}], "shop": {"spare_boards": 1}})
    assert made.totals.total - made.proof.gap <= 1600 <= made.totals.total


# ---- minimum orders


def test_goods_below_the_minimum_are_fetched(book_of: Build, sourced: Source) -> None:
    """20.00 of goods, 10 % tax; a delivery for 1.00 from 500.00, a trip for 9.00."""
    yard = supplier("Yard", "9.00", delivery="1.00", minimum_order="500.00")
    found = sourced(book_of([(yard, "5.00", None)]), 4)
    (visit,) = found.visits
    assert (visit.delivered, visit.amount, found.cost, found.gap) == (False, 900, 2200 + 900, 0)


@pytest.mark.parametrize(("included", "delivered"), [(False, False), (True, True)])
def test_the_minimum_is_of_goods_as_the_book_prices_them(
    book_of: Build, sourced: Source, included: bool, delivered: bool
) -> None:
    """19.00 and 10 % tax are 20.90: before tax that is below a minimum of 20.00, and 20.90 with tax is not."""
    yard = supplier("Yard", "1.00", delivery="0.50", minimum_order="20.00")
    board = "20.90" if included else "19.00"
    found = sourced(book_of([(yard, board, None)], prices_include_tax=included), 1)
    assert [visit.delivered for visit in found.visits] == [delivered]


def test_a_board_more_is_bought_where_that_is_cheaper_than_the_trip(book_of: Build, quote: Make) -> None:
    """Two boards at 5.00 and a trip of 9.00 are 19.00 and tax; three that reach the minimum are 15.00, 1.00 and tax."""
    yard = supplier("Yard", "9.00", delivery="1.00", minimum_order="14.00")
    book = book_of([(yard, "5.00", None)])
    made = quote(book, {"lines": [{"parts": [{"section": "2x4", "length": "90 in", "quantity": 2}]}]})
    assert made.totals.total == 1500 + 150 + 100
    (visit,) = made.visits
    assert (visit.delivered, visit.goods, visit.minimum, visit.beyond) == (True, 1500, 1400, 500)
    (told,) = [each.message for each in made.warnings if each.code == "bought-for-delivery"]
    assert told.startswith("Yard delivers from 14.00 USD. To reach that, 5.00 USD of what is bought there is more")


def test_the_minimum_is_reached_by_moving_goods_rather_than_by_buying_more(book_of: Build, sourced: Source) -> None:
    """Screws are 2.00 at Near, where the trip is free, and 3.00 at Far: with them Far's board reaches the minimum."""
    near = supplier("Near", "0.00")
    far = supplier("Far", "9.00", delivery="0.00", minimum_order="8.00")
    found = sourced(book_of([(near, None, "2.00"), (far, "5.00", "3.00")]), 1, screws=True)
    assert (visited(found), found.cost, found.gap) == (["Far"], 800 + 80, 0)


def test_what_reaches_a_minimum_need_not_be_bought_where_another_supplier_is_cheaper(
    book_of: Build, sourced: Source
) -> None:
    near, far = supplier("Near", "1.00"), supplier("Far", "9.00", delivery="0.00", minimum_order="50.00")
    found = sourced(book_of([(near, "6.00", None), (far, "5.00", None)]), 1)
    assert (visited(found), found.cost) == (["Near"], 600 + 60 + 100)


def test_trips_are_in_the_total_and_named(book_of: Build, quote: Make) -> None:
    book = book_of([(supplier("Yard", "6.00"), "5.00", "2.00")])
    made = quote(book, {"lines": [{"parts": [{"section": "2x4", "length": "90 in"}]}]})
    assert made.totals.trips == 600
    assert made.totals.total == 500 + 50 + 600
    assert [(visit.supplier, visit.amount) for visit in made.visits] == [("Yard", 600)]
