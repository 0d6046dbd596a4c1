"""The referee itself, on cases small enough to work out by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from tests.referee import plans
from tests.referee.needs import read
from tests.referee.orders import fewest_boards, least_cost, least_missing
from tests.referee.purchases import least_exact, least_total
from tests.referee.ways import Kind, Rules, Wood, ways
from tests.referee.written import length, money, rounded_half_up, section_size, share

from sawbill.cutting import Board, Cut, CuttingPlan, Order, Piece, SmallPart, Status, Stock

MM = 1_000_000
OAK = frozenset(["oak"])


def piece(millimetres: int, count: int, key: str = "") -> Piece:
    return Piece(key or f"{millimetres}", millimetres * MM, count, OAK)


def board(millimetres: int, price: int, **more: Any) -> Stock:
    return Stock(f"{millimetres}", "oak", millimetres * MM, price, **more)


# ---- ways to cut a board


def test_ways_hold_a_kerf_between_pieces_and_none_after_the_last() -> None:
    kinds = [Kind(500, 9), Kind(300, 9)]
    found = ways(Wood(1006), kinds, Rules(kerf=3))
    assert {(way.gives, way.left) for way in found} == {((2, 0), 0), ((1, 1), 200), ((0, 3), 97)}


def test_every_way_has_those_with_room_for_more_too() -> None:
    kinds = [Kind(500, 1), Kind(300, 1)]
    assert {way.gives for way in ways(Wood(1000), kinds, Rules(3, every_way=True))} == {(1, 0), (0, 1), (1, 1)}


def test_a_blank_is_as_long_as_is_safe_and_gives_rows_of_strips() -> None:
    small = Kind(100, 100, strips=4, least_blank=305)
    (way,) = ways(Wood(305), [small], Rules(kerf=3))
    assert way.gives == (8,)  # two rows take 203, three 306
    (way,) = ways(Wood(306), [small], Rules(kerf=3))
    assert way.gives == (12,)


def test_a_blank_takes_the_spare_length_that_would_be_a_sliver() -> None:
    small, rules = Kind(100, 4, strips=4, least_blank=305), Rules(3, no_slivers=True, every_way=True)
    assert [way.left for way in ways(Wood(307), [small], rules)] == [0]
    assert ways(Wood(307), [Kind(305, 1)], rules) == []
    assert ways(Wood(307, carry=306), [small], rules) == []  # stretched to 307 it could not be carried


def test_blanks_are_apart_where_one_could_not_be_carried() -> None:
    small = Kind(100, 100, strips=1, least_blank=150)
    (way,) = ways(Wood(1000, carry=250), [small], Rules(kerf=0))
    assert way.gives == (10,)  # five blanks of 200
    assert [way.gives for way in ways(Wood(1000, carry=149), [small], Rules(kerf=0))] == []


# ---- orders


def test_the_least_cost_mixes_lengths() -> None:
    """Two of 1100 and one of 700: a 2400 and a 900 cost 33; two 2400 cost 48."""
    order = Order((board(2400, 24), board(900, 9)), (piece(1100, 2), piece(700, 1)), kerf=3 * MM)
    assert least_cost(order).high == 33
    assert fewest_boards(order, 33).high == 2


def test_boards_on_hand_are_used_first_and_run_out() -> None:
    order = Order((board(2400, 24), board(1200, 0, available=1, on_hand=True)), (piece(1100, 3),))
    assert least_cost(order).high == 24


def test_what_a_leftover_is_worth_is_taken_off() -> None:
    """A board of 1000 at 500 leaves 597 after the cut, worth 0.2 each mm: 119."""
    order = Order((board(1000, 500),), (piece(400, 1),), kerf=3 * MM, keep=300 * MM, credit=Fraction(1, 5 * MM))
    assert least_cost(order).high == 500 - 119


def test_what_is_missing_is_counted() -> None:
    order = Order((board(1000, 5, available=2),), (piece(600, 3), piece(400, 1), piece(1200, 2)))
    assert least_cost(order).impossible
    assert least_missing(order).high == 3


def test_a_plan_that_cannot_be_sawn_is_told() -> None:
    order = Order((board(1000, 5),), (piece(400, 2),), kerf=3 * MM)
    cuts = (Cut("400", 0, 400 * MM), Cut("400", 403 * MM, 400 * MM))
    good = CuttingPlan((Board("1000", 1, cuts, 194 * MM),), 5, 5, Status.PROVEN, "")
    assert plans.faults_of(order, good) == []
    crooked = (cuts[0], replace(cuts[1], at=402 * MM))
    for wrong in (
        replace(good, boards=(replace(good.boards[0], cuts=crooked, leftover=195 * MM),)),
        replace(good, boards=(replace(good.boards[0], cuts=cuts[:1], leftover=597 * MM),)),
        replace(good, boards=(replace(good.boards[0], leftover=197 * MM),)),
        replace(good, cost=4),
        replace(good, credited=1),
    ):
        assert plans.faults_of(order, wrong)


def test_blanks_are_held_to_their_strips_and_rows() -> None:
    part = SmallPart("r", 100 * MM, 12, {"oak": 4}, 305 * MM)
    order = Order((board(306, 5),), (), (part,), kerf=3 * MM)
    whole = Board("306", 1, (Cut("r", 0, 306 * MM, 12, blank=True),), 0)
    good = CuttingPlan((whole,), 5, 5, Status.PROVEN, "")
    assert plans.faults_of(order, good) == []
    short = replace(whole, cuts=(Cut("r", 0, 305 * MM, 12, blank=True),))
    assert plans.faults_of(order, replace(good, boards=(short,)))


# ---- purchases


def purchase(**more: Any) -> dict[str, Any]:
    """Two pieces that take a board of 10.00 each, and ten washers; 10 % tax on top, a trip of 3.00."""
    wood = {"supplier": "A", "item_code": "W", "section": "45x95", "species": "spruce", "grade": "C24"}
    book = {
        "title": "A small book", "units": "metric", "currency": "EUR", "tax_rate": "10 %", "prices_include_tax": False,
        "as_of": "2026-01-02", "sample": False, "usual_sections": {"other": "45x95"},
        "shop": {"kerf": "3 mm", "end_trim": "0 mm", "rounding_step": "1 mm", "keep_offcut": "300 mm"},
        "suppliers": [{"name": "A", "trip": "3.00"}],
        "lumber": [{**wood, "length": "2400 mm", "price": "10.00", "per": "each"}],
        "hardware": [
            {"supplier": "A", "item_code": "H", "item": "washer", "size": "M10", "pack": "4", "price": "0.35"}
        ],
        "supplies": [],
    }  # fmt: skip
    parts = [{"section": "45x95", "length": "2 m", "quantity": 2}]
    line = {"parts": parts, "hardware": [{"item": "washer", "size": "M10", "quantity": 10}]}
    return {"price_book": {**book, **more}, "lines": [line]}


def test_packs_trips_and_tax_are_in_the_total() -> None:
    """Goods of 20.00 and 3 x 0.35; tax of 2.105, printed 2.11; a trip of 3.00."""
    needs = read(purchase())
    assert least_total(needs).high == 2105 + 211 + 300
    exact, parts = least_exact(needs)
    assert Fraction(exact.high or 0, parts) == Fraction("2105") + Fraction("210.5") + 300


def test_a_delivery_needs_its_least_order() -> None:
    def total(minimum: str) -> int | None:
        row = {"name": "A", "trip": "30.00", "delivery": "1.00", "minimum_order": minimum}
        return least_total(read(purchase(suppliers=[row], tax_rate="0 %"))).high

    assert total("21.05") == 2105 + 100
    assert total("21.06") == 2140 + 100  # one pack of washers more
    assert total("31.00") == 3105 + 100  # one board more; a trip would come to 51.05
    assert total("90.00") == 2105 + 3000


def test_a_quantity_price_may_be_reached_by_buying_more() -> None:
    request = purchase(tax_rate="0 %")
    row = request["price_book"]["lumber"][0]
    request["price_book"]["lumber"].append({**row, "least_quantity": "3", "price": "6.00"})
    assert least_total(read(request)).high == 1800 + 105 + 300


def test_the_lowest_price_that_holds_is_the_one_that_is_charged() -> None:
    """Two boards at 8.00 are 16.00, below a least order of 18.00: nobody may pay 10.00 each to reach it."""
    supplier = {"name": "A", "trip": "30.00", "delivery": "0.00", "minimum_order": "18.00"}
    request = purchase(tax_rate="0 %", suppliers=[supplier], hardware=[])
    del request["lines"][0]["hardware"]
    row = request["price_book"]["lumber"][0]
    request["price_book"]["lumber"].append({**row, "least_quantity": "2", "price": "8.00"})
    assert least_total(read(request)).high == 2400


def test_species_that_will_not_do_are_not_cut() -> None:
    request = purchase(tax_rate="0 %")
    request["lines"][0]["parts"][0]["species"] = ["pine"]
    assert least_total(read(request)).impossible
    request["on_hand"] = [{"section": "45x95", "length": "2 m", "quantity": 2}]
    assert least_total(read(request)).high == 105 + 300


# ---- what is written


@pytest.mark.parametrize(
    ("text", "nanometres"),
    [
        ("2 m", 2000 * MM),
        ("12.345 mm", 12_345_000),
        ("1 1/2 in", 38_100_000),
        ({"mm": 3.175, "text": "1/8 in"}, 3_175_000),
    ],
)
def test_lengths_are_read(text: object, nanometres: int) -> None:
    assert length(text) == nanometres


def test_money_and_shares_are_read() -> None:
    assert money("12.30", 2) == 1230
    assert share("8.25 %") == Fraction(33, 400)
    assert [rounded_half_up(Fraction(n, 2)) for n in (1, 2, 3)] == [1, 1, 2]
    assert section_size("2x4") == (38_100_000, 88_900_000)
    assert section_size("45x95") == (45 * MM, 95 * MM)
