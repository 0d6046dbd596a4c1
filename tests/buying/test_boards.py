"""Boards to buy: the plan against an independent program, brute force, and a checker that is not the solver."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import product
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ortools.linear_solver import pywraplp
from tests.buying.bought import buy_boards

from sawbill.asked.request import OnHand, Request
from sawbill.buying import deals as module
from sawbill.buying.boards import Boards, NothingFitsError, parts_of, told
from sawbill.buying.takeoff import CutLine, take_off
from sawbill.cutting import Infeasible
from sawbill.prices.pricebook import LumberOffer, PriceBook
from sawbill.prices.shop import Shop
from sawbill.quoting.quote import Quote
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section
from sawbill.trade.quantities import PriceUnit

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[[PriceBook, dict[str, Any]], Quote]
Pattern = tuple[int, ...]

LEAST_BLANK = 12 * INCH  # common practice: saw manuals warn against ripping a piece below 12 in
TWO_BY_FOUR = section("2x4")
PLAIN = Shop(kerf=INCH // 8, end_trim=0, rounding_step=INCH // 16, keep_offcut=12 * INCH)


def offer(length: int, each: int, code: str = "", least: int = 1, **changes: Any) -> LumberOffer:
    """A 2x4 of a length [in] at a price [cents]; its code is its length unless it is told."""
    plain = LumberOffer(
        "Yard", code or str(length), TWO_BY_FOUR, "SPF", "No.2", length * INCH, None, Fraction(each, 100),
        PriceUnit.EACH, least, None, each,
    )  # fmt: skip
    return replace(plain, **changes)


def cuts_of(*lengths: int, **changes: Any) -> list[CutLine]:
    """Pieces of 2x4 of these lengths [in], lettered in their order."""
    return [
        replace(CutLine(chr(ord("A") + i), 0, f"piece {i}", TWO_BY_FOUR, length * INCH, 1), **changes)
        for i, length in enumerate(lengths)
    ]


def request(shop: Shop = PLAIN, **rest: Any) -> Request:
    return Request((), shop, "inch", **rest)


def bought(boards: Boards) -> dict[tuple[str, int], int]:
    """How many are bought by item code and the least quantity of the price taken."""
    return {(line.offer.item_code, line.offer.least_quantity): line.quantity for line in boards.bought}


def lacking(*arguments: Any) -> list[tuple[str, tuple[str, ...], str]]:
    with pytest.raises(NothingFitsError) as caught:
        buy_boards(*arguments)
    return [(each.code, each.parts, each.message) for each in caught.value.lacking]


# ---- an independent program: every way to cut every board, put to SCIP with no gap allowed


def ways_to_cut(room: int, pieces: Sequence[tuple[int, int]], kerf: int) -> Iterator[Pattern]:
    """Every full way to cut pieces (length, count) out of a room that holds a kerf after the last piece too."""
    if not pieces:
        yield ()
        return
    (length, count), *rest = pieces
    for number in range(min(count, room // (length + kerf)) + 1):
        for more in ways_to_cut(room - number * (length + kerf), rest, kerf):
            yield number, *more


def blanks(part: CutLine, board: LumberOffer, kerf: int) -> Iterator[tuple[int, int]]:
    """(length, parts) of the blanks for a small part out of a board, as short as each number of rows allows."""
    assert part.ripped is not None
    if board.section.thickness != part.section.thickness or board.section.width < part.ripped:
        return
    strips = (board.section.width + kerf) // (part.ripped + kerf)
    for rows in range(1, -(-part.quantity // strips) + 1):
        yield max(LEAST_BLANK, rows * part.length + (rows - 1) * kerf), strips * rows


def independent_cost(cuts: Sequence[CutLine], shop: Shop, offers: Sequence[LumberOffer]) -> int:
    """The least cost of boards for a cut list, at most one blank in each [minor units]."""
    small = [cut for cut in cuts if cut.ripped]
    needed: dict[str, Counter[int]] = {}
    for cut in cuts:
        if not cut.ripped:
            needed.setdefault(cut.section.name, Counter())[cut.length] += cut.quantity
    solver = pywraplp.Solver.CreateSolver("SCIP")
    most = sum(cut.quantity for cut in cuts)
    had: dict[tuple[str, int], list[Any]] = {}
    parts: dict[str, list[Any]] = {part.id: [] for part in small}
    cost: list[Any] = []
    items: dict[tuple[Any, ...], list[LumberOffer]] = {}
    for each in offers:
        if each.section.name in {cut.section.name for cut in cuts}:
            items.setdefault((each.supplier, each.item_code), []).append(each)
    for prices in items.values():
        board = prices[0]
        demand = sorted(needed.get(board.section.name, Counter()).items(), reverse=True)
        used: list[Any] = []
        ripped = [(*blank, part.id) for part in small for blank in blanks(part, board, shop.kerf)]
        for length, number, of in [(0, 0, ""), *ripped]:
            room = board.usable_length - shop.end_trim + shop.kerf - (length + shop.kerf if number else 0)
            for way in set(ways_to_cut(room, demand, shop.kerf)) if room >= 0 else ():
                boards = solver.IntVar(0, most, "")
                used.append(boards)
                if number:
                    parts[of].append(number * boards)
                for (piece, _), count in zip(demand, way, strict=True):
                    had.setdefault((board.section.name, piece), []).append(count * boards)
        paid: list[Any] = []
        for price in prices:
            limit = most + price.least_quantity if price.in_stock is None else price.in_stock
            taken, number = solver.BoolVar(""), solver.IntVar(0, limit, "")
            solver.Add(number >= price.least_quantity * taken)
            solver.Add(number <= limit * taken)
            paid.append(number)
            cost.append(price.each * number)
        if board.in_stock is not None:
            solver.Add(solver.Sum(paid) <= board.in_stock)
        solver.Add(solver.Sum(used) <= solver.Sum(paid))
    for name, demand_of in needed.items():
        for piece, count in demand_of.items():
            solver.Add(solver.Sum(had[name, piece]) >= count)
    for part in small:
        solver.Add(solver.Sum(parts[part.id]) >= part.quantity)
    solver.Minimize(solver.Sum(cost))
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, 0)
    solver.SetTimeLimit(600_000)  # an emergency stop: it takes some seconds of a core
    assert solver.Solve(exact) == pywraplp.Solver.OPTIMAL
    return round(solver.Objective().Value())


QUEEN: dict[str, Any] = {"mattress": "queen"}
KING: dict[str, Any] = {"mattress": "king", "headboard": True, "slat_gap": "2 in"}


@pytest.mark.parametrize(
    ("book", "options"),
    [
        pytest.param("sample-inch", QUEEN, id="queen, inch"),
        pytest.param("sample-metric", QUEEN, id="queen, metric"),
        pytest.param("sample-inch", {**QUEEN, "slat_retention": "screws"}, id="queen, slats screwed, inch"),
        pytest.param("sample-metric", {**QUEEN, "slat_retention": "screws"}, id="queen, slats screwed, metric"),
        pytest.param("sample-inch", {"mattress": "twin"}, id="twin, inch"),
        pytest.param("sample-metric", {"mattress": "twin"}, id="twin, metric"),
        pytest.param("sample-inch", KING, id="king with headboard, inch", marks=pytest.mark.long),
        pytest.param("sample-metric", KING, id="king with headboard, metric"),
    ],
)
def test_a_beds_boards_cost_what_an_independent_program_finds(
    samples: Mapping[str, PriceBook], ask: Ask, book: str, options: dict[str, Any]
) -> None:
    asked = ask(samples[book], {"lines": [{"design": "slatted-bed", "options": options}]})
    cuts = take_off(asked.lines, asked.shop.rounding_step).cut_list
    found = buy_boards(cuts, asked, samples[book].lumber)
    assert found.cost == independent_cost(cuts, asked.shop, samples[book].lumber)
    assert (found.bound, found.late) == (found.cost, False)


def test_the_independent_program_finds_what_can_be_counted_by_hand() -> None:
    """Four pieces of 31-7/8 in: three from a 96 in board at a kerf of 1/8 in, so two boards; of 32 in only two each."""
    fit = [replace(cut, length=cut.length * 255 // 256) for cut in cuts_of(32, 32, 32)]
    assert independent_cost(fit, PLAIN, [offer(96, 400)]) == 400
    assert independent_cost(cuts_of(32, 32, 32), PLAIN, [offer(96, 400)]) == 800


# ---- brute force on tiny orders: quantity prices and limited stock


def fits(lengths: Sequence[int], rooms: tuple[int, ...], kerf: int) -> bool:
    """Whether pieces can be cut out of boards, every piece tried in every board."""
    if not lengths:
        return True
    first, *rest = lengths
    for i, room in enumerate(rooms):
        if room not in rooms[:i] and first <= room:
            left = tuple(sorted((*rooms[:i], room - first - kerf, *rooms[i + 1 :])))
            if fits(rest, left, kerf):
                return True
    return False


def brute_cost(lengths: Sequence[int], shop: Shop, offers: Sequence[LumberOffer]) -> int | None:
    """The least cost over every number of every item, each number bought at its best price; None if none do."""
    items: dict[str, list[LumberOffer]] = {}
    for each in offers:
        items.setdefault(each.item_code, []).append(each)

    @cache
    def price(code: str, number: int) -> int | None:
        ways = [
            max(number, each.least_quantity) * each.each
            for each in items[code]
            if each.in_stock is None or max(number, each.least_quantity) <= each.in_stock
        ]
        return min(ways, default=None) if number else 0

    best = None
    for numbers in product(range(len(lengths) + 1), repeat=len(items)):
        prices = [price(code, number) for code, number in zip(items, numbers, strict=True)]
        if None in prices or (best is not None and sum(filter(None, prices)) >= best):
            continue
        rooms = [
            own[0].usable_length - shop.end_trim
            for own, number in zip(items.values(), numbers, strict=True)
            for _ in range(number)
        ]
        if fits(sorted(lengths, reverse=True), tuple(sorted(rooms)), shop.kerf):
            best = sum(filter(None, prices))
    return best


@st.composite
def tiny_offers(draw: st.DrawFn) -> list[LumberOffer]:
    """One to three stock lengths, with up to two lower prices from a quantity, some of them limited."""
    offers = []
    for n in range(draw(st.integers(1, 3))):
        length, each = draw(st.integers(20, 60)), draw(st.integers(300, 600))
        stock = draw(st.none() | st.integers(0, 5))
        for least in sorted(draw(st.sets(st.integers(1, 5), min_size=1, max_size=3))):
            offers.append(offer(length, each, f"item {n}", least, in_stock=stock))
            each -= draw(st.integers(1, 150))
    return offers


@settings(max_examples=120, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(
    st.lists(st.integers(8, 40), min_size=1, max_size=5), tiny_offers(), st.sampled_from([0, INCH // 8]),
    st.sampled_from([0, INCH // 2]),
)  # fmt: skip
def test_no_way_to_buy_is_cheaper_with_quantity_prices_and_limited_stock(
    lengths: list[int], offers: list[LumberOffer], kerf: int, trim: int
) -> None:
    shop = replace(PLAIN, kerf=kerf, end_trim=trim)
    least = brute_cost([length * INCH for length in lengths], shop, offers)
    if least is None:
        with pytest.raises(NothingFitsError):
            buy_boards(cuts_of(*lengths), request(shop), offers)
        return
    found = buy_boards(cuts_of(*lengths), request(shop), offers)
    assert found.cost == found.bound == least
    assert sum(line.amount for line in found.bought) == least
    for line in found.bought:
        assert line.quantity >= line.offer.least_quantity
        assert line.offer.in_stock is None or line.quantity <= line.offer.in_stock
        cut = sum(each.board.count for each in found.cut if each.wood.offer == line.offer)
        assert line.spare == line.quantity - cut >= 0


def test_a_quantity_price_is_taken_though_fewer_boards_are_needed_when_it_pays() -> None:
    offers = [offer(96, 400), offer(96, 300, least=4)]
    assert bought(buy_boards(cuts_of(90, 90), request(), offers)) == {("96", 1): 2}
    three = buy_boards(cuts_of(90, 90, 90), request(), [offer(96, 400), offer(96, 290, least=4)])
    assert bought(three) == {("96", 4): 4}
    assert [line.spare for line in three.bought] == [1]
    assert all(each.wood.offer == three.bought[0].offer for each in three.cut)
    assert bought(buy_boards(cuts_of(90, 90, 90, 90, 90), request(), offers)) == {("96", 4): 5}


def test_fewer_boards_are_no_better_where_they_miss_the_quantity_price_they_are_reckoned_at() -> None:
    """Among plans reckoned at the same cost the tidiest takes too few boards for the price it is reckoned at."""
    offers = [
        offer(48, 580), offer(48, 480, least=3), offer(48, 590, "thin"), offer(48, 490, "thin", least=2),
        offer(72, 730), offer(120, 1300, in_stock=4), offer(120, 1200, least=4, in_stock=4),
    ]  # fmt: skip
    found = buy_boards(cuts_of(48, 36, 36), request(replace(PLAIN, kerf=0)), offers)
    assert found.cost == found.bound == brute_cost([48 * INCH, 36 * INCH, 36 * INCH], replace(PLAIN, kerf=0), offers)
    assert bought(found) == {("120", 1): 1}


def test_a_question_whose_answers_are_all_too_dear_leaves_the_best_deal_proven() -> None:
    offers = [
        offer(48, 530), offer(48, 480, least=2), offer(144, 1490, in_stock=4), offer(48, 480, "thin"),
        offer(48, 480, "thin", least=4),
    ]  # fmt: skip
    lengths = [24, 36, 36, 36, 48]
    found = buy_boards(cuts_of(*lengths), request(replace(PLAIN, kerf=0)), offers)
    assert found.cost == found.bound == brute_cost([n * INCH for n in lengths], replace(PLAIN, kerf=0), offers)


def test_a_price_from_more_boards_than_are_in_stock_is_never_taken() -> None:
    offers = [offer(96, 400, in_stock=3), offer(96, 100, least=4, in_stock=3)]
    assert buy_boards(cuts_of(90, 90, 90), request(), offers).cost == 1200


def test_many_quantity_prices_need_few_plans_and_keep_a_bound_that_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve items with three prices each: 4^12 sets of prices, of which a few are asked about."""
    asked = []
    draft = module.planned.draft
    monkeypatch.setattr(module.planned, "draft", lambda *order, **how: asked.append(order) or draft(*order, **how))
    offers = [
        offer(40 + 5 * n, (40 + 5 * n) * 10 - cheaper, least=least)
        for n in range(12)
        for least, cheaper in ((1, 0), (3, 40), (6, 60))
    ]
    lengths = [20 + 3 * (n % 6) for n in range(14)]
    found = buy_boards(cuts_of(*lengths), request(), offers)
    assert 1 < len(asked) <= module.MOST_PLANS
    assert found.bound <= found.cost == sum(line.amount for line in found.bought)
    hopeful = buy_boards(
        cuts_of(*lengths), request(), [replace(each, least_quantity=1) for each in offers if each.least_quantity == 6]
    )
    assert hopeful.cost <= found.bound


# ---- which boards may be used


def test_boards_on_hand_are_used_first_without_trim_and_cost_nothing() -> None:
    own = OnHand(TWO_BY_FOUR, 60 * INCH, 1)
    shop = replace(PLAIN, end_trim=INCH)
    found = buy_boards(cuts_of(60, 60), request(shop, on_hand=(own,)), [offer(96, 400)])
    assert found.cost == 400
    assert [(each.wood.offer is None, each.wood.length, each.wood.trim) for each in found.cut] == [
        (True, 60 * INCH, 0), (False, 96 * INCH, INCH),
    ]  # fmt: skip


def test_boards_on_hand_alone_need_no_purchase() -> None:
    own = OnHand(TWO_BY_FOUR, 60 * INCH, 2)
    found = buy_boards(cuts_of(60, 60), request(on_hand=(own,)), [offer(96, 400)])
    assert (found.bought, found.cost, found.bound, found.late) == ((), 0, 0, False)


def test_a_board_of_another_section_on_hand_is_left_alone() -> None:
    own = OnHand(section("2x6"), 96 * INCH, 5)
    assert buy_boards(cuts_of(60), request(on_hand=(own,)), [offer(96, 400)]).cost == 400


def test_no_board_longer_than_the_longest_asked_for_is_bought() -> None:
    offers = [offer(96, 400), offer(120, 410)]
    assert bought(buy_boards(cuts_of(60, 55), request(), offers)) == {("120", 1): 1}
    short = replace(PLAIN, longest_board=96 * INCH)
    assert bought(buy_boards(cuts_of(60, 55), request(short), offers)) == {("96", 1): 2}


@pytest.mark.parametrize("pieces", [(60, 55, 40), (96, 90), (70, 60, 50, 40, 30)])
def test_boards_that_the_yard_cuts_cost_what_they_would_if_they_could_be_carried(pieces: tuple[int, ...]) -> None:
    """No piece here is longer than can be carried, so that only cuts at the yard tell the two apart."""
    offers = [offer(96, 500), offer(120, 600), offer(192, 800)]
    free = buy_boards(cuts_of(*pieces), request(), offers)
    yard = buy_boards(cuts_of(*pieces), request(replace(PLAIN, longest_board=96 * INCH, yard_cuts=True)), offers)
    assert (yard.cost, yard.bound) == (free.cost, free.cost)
    lengths = [length for each in yard.cut for length in each.board.carried]
    assert lengths
    assert max(lengths) <= 96 * INCH


def test_a_piece_that_cannot_be_carried_says_what_can_though_the_yard_cuts() -> None:
    shop = replace(PLAIN, longest_board=96 * INCH, yard_cuts=True)
    [(code, _, message)] = lacking(cuts_of(100), request(shop), [offer(192, 800)])
    assert code == "no-board-long-enough"
    assert message == (
        "The 100 in piece 0 is longer than any board that may be carried: longest_board is 96 in; raise it, or choose "
        "options that make the part shorter, as in_halves does in a bed."
    )
    assert buy_boards(cuts_of(100), request(replace(shop, longest_board=100 * INCH)), [offer(192, 800)]).cost == 800


@pytest.mark.parametrize("way", [{"longest_board": 96 * INCH}, {"yard_cuts": True}])
def test_boards_that_are_all_too_long_to_carry_are_had_by_each_way_that_is_told(way: dict[str, Any]) -> None:
    short = replace(PLAIN, longest_board=72 * INCH)
    [(code, _, message)] = lacking(cuts_of(60), request(short), [offer(96, 400)])
    assert code == "section-not-sold"
    assert message.endswith("lengths, boards longer than 72 in (longest_board) or yard_cuts.")
    assert buy_boards(cuts_of(60), request(replace(short, **way)), [offer(96, 400)]).cost == 400


def test_a_cheaper_board_that_the_yard_cuts_gives_blanks_that_are_safe_and_can_be_carried() -> None:
    """Ten 2 in blocks, four strips a blank: one blank of 12 in does, though the longest laid could not go home."""
    block = CutLine("B", 0, "block", TWO_BY_FOUR, 2 * INCH, 10, ripped=INCH * 3 // 4)
    shop = replace(PLAIN, longest_board=20 * INCH, yard_cuts=True)
    found = buy_boards([block], request(shop), [offer(20, 100), offer(96, 90)])
    assert bought(found) == {("96", 1): 1}
    lengths = [cut.length for each in found.cut for cut in each.board.cuts]
    assert min(lengths) >= 12 * INCH
    assert max(lengths) <= 20 * INCH


def test_a_spare_board_is_one_that_can_be_carried_whole() -> None:
    shop = replace(PLAIN, longest_board=96 * INCH, yard_cuts=True, spare_boards=1)
    found = buy_boards(cuts_of(60, 60, 60), request(shop), [offer(96, 500), offer(192, 450)])
    assert {line.offer.item_code: (line.quantity, line.spare) for line in found.bought} == {"96": (1, 1), "192": (1, 0)}


@pytest.mark.parametrize(
    ("accepted", "code"),
    [
        ({}, "cheap"),
        ({"species": ("Hem-Fir",)}, "hemfir"),
        ({"grades": ("No.1",)}, "best"),
        ({"species": ("SPF",), "grades": ("No.1", "No.2")}, "cheap"),
    ],
)
def test_only_the_species_and_grades_asked_for_are_bought(accepted: dict[str, Any], code: str) -> None:
    offers = [
        offer(96, 300, "cheap"),
        offer(96, 350, "hemfir", species="Hem-Fir"),
        offer(96, 500, "best", grade="No.1"),
    ]
    assert bought(buy_boards(cuts_of(60), request(**accepted), offers)) == {(code, 1): 1}


def kinds(lengths: Sequence[int], *lists: tuple[str, ...]) -> list[CutLine]:
    """Pieces of these lengths [in], each with the grades that will do for it."""
    return [replace(cut, grades=own) for cut, own in zip(cuts_of(*lengths), lists, strict=True)]


def test_a_part_comes_from_a_better_grade_where_that_is_cheaper_and_another_never_from_a_worse() -> None:
    offers = [offer(96, 300, "plain"), offer(96, 500, "best", grade="No.1")]
    either, best = ("No.1", "No.2"), ("No.1",)
    assert bought(buy_boards(kinds((60, 60), either, either), request(), offers)) == {("plain", 1): 2}
    assert bought(buy_boards(kinds((60, 60), best, either), request(), offers)) == {("best", 1): 1, ("plain", 1): 1}
    assert bought(buy_boards(kinds((60, 30), best, either), request(), offers)) == {("best", 1): 1}


def test_a_cheaper_longer_board_does_not_stand_in_for_one_that_a_part_must_come_from() -> None:
    offers = [offer(120, 300, "plain"), offer(96, 500, "best", grade="No.1")]
    found = buy_boards(kinds((60, 90), ("No.1",), ()), request(), offers)
    assert bought(found) == {("plain", 1): 1, ("best", 1): 1}


def test_a_parts_own_lists_hold_in_place_of_the_requests() -> None:
    offers = [offer(96, 300, "plain"), offer(96, 500, "best", grade="No.1")]
    found = buy_boards(kinds((60, 90), ("No.1",), ()), request(grades=("No.2",)), offers)
    assert bought(found) == {("plain", 1): 1, ("best", 1): 1}
    by_part = {cut.key: each.wood.grade for each in found.cut for cut in each.board.cuts}
    assert by_part == {"A": "No.1", "B": "No.2"}


def test_a_board_on_hand_will_do_unless_it_is_known_to_be_of_another_kind() -> None:
    offers = [offer(96, 500, grade="No.1")]
    for grade, cost in ((None, 0), ("No.1", 0), ("No.3", 500)):
        own = OnHand(TWO_BY_FOUR, 96 * INCH, 1, "SPF", grade)
        assert buy_boards(kinds((60,), ("No.1",)), request(on_hand=(own,)), offers).cost == cost
        assert buy_boards(cuts_of(60), request(on_hand=(own,), grades=("No.1",)), offers).cost == cost


def test_a_kind_that_is_not_sold_is_named_for_the_part_that_asks_for_it() -> None:
    [(code, parts, _)] = lacking(kinds((60, 60), ("No.3",), ()), request(), [offer(96, 300)])
    assert (code, parts) == ("section-not-sold", ("A",))


def brute_kinds(
    lengths: Sequence[int], grades: Sequence[frozenset[str]], boards: Sequence[tuple[int, int, str]]
) -> int:
    """The least cost over every way to give pieces to boards (length, price, grade), one board after another."""

    @cache
    def least(left: frozenset[int]) -> int:
        if not left:
            return 0
        first, costs = min(left), []
        for size in range(1 << len(left)):
            own = {piece for n, piece in enumerate(sorted(left)) if size >> n & 1}
            for length, price, grade in boards if first in own else ():
                taken = sum(lengths[piece] for piece in own) * 8 + len(own) - 1
                if taken <= length * 8 and all(grade in grades[piece] for piece in own):
                    costs.append(price + least(left - own))
        return min(costs, default=10**9)

    return least(frozenset(range(len(lengths))))


GRADES = ("No.1", "No.2", "No.3")


@settings(max_examples=80)
@given(
    pieces=st.lists(
        st.tuples(st.integers(8, 40), st.sets(st.sampled_from(GRADES), min_size=1)), min_size=1, max_size=6
    ),
    boards=st.lists(
        st.tuples(st.integers(20, 60), st.integers(100, 900), st.sampled_from(GRADES)), min_size=1, max_size=4
    ),
)
def test_no_way_to_buy_is_cheaper_where_every_part_has_its_own_grades(
    pieces: list[tuple[int, set[str]]], boards: list[tuple[int, int, str]]
) -> None:
    lengths = [length for length, _ in pieces]
    cuts = kinds(lengths, *(tuple(sorted(own)) for _, own in pieces))
    offers = [offer(length, each, f"item {n}", grade=grade) for n, (length, each, grade) in enumerate(boards)]
    least = brute_kinds(lengths, [frozenset(own) for _, own in pieces], boards)
    if least >= 10**9:
        with pytest.raises(NothingFitsError):
            buy_boards(cuts, request(), offers)
        return
    found = buy_boards(cuts, request(), offers)
    assert (found.cost, found.bound) == (least, least)
    wanted = {cut.id: cut.grades for cut in cuts}
    assert all(each.wood.grade in wanted[cut.key] for each in found.cut for cut in each.board.cuts)


def test_a_board_that_measures_otherwise_than_its_section_is_another_board() -> None:
    thin = offer(96, 100, "thin", section=replace(TWO_BY_FOUR, thickness=TWO_BY_FOUR.thickness - MM))
    assert bought(buy_boards(cuts_of(60), request(), [thin, offer(96, 400)])) == {("96", 1): 1}


def test_pieces_come_out_of_the_measured_length() -> None:
    longer = offer(96, 400, measured_length=97 * INCH)
    assert buy_boards(cuts_of(97), request(), [longer]).cost == 400


def test_spare_boards_are_the_cheapest_that_hold_the_longest_piece_and_are_in_cost_and_bound() -> None:
    offers = [offer(48, 190), offer(96, 400), offer(120, 480)]
    found = buy_boards(cuts_of(60, 20), request(replace(PLAIN, spare_boards=2)), offers)
    assert (found.cost, found.bound) == (1200, 1200)
    assert {line.offer.item_code: (line.quantity, line.spare) for line in found.bought} == {"96": (3, 2)}


def test_spare_boards_are_paid_at_the_price_their_item_is_bought_for() -> None:
    offers = [offer(96, 400), offer(96, 300, least=4)]
    found = buy_boards(cuts_of(90, 90, 90, 90), request(replace(PLAIN, spare_boards=1)), offers)
    assert [(line.quantity, line.spare, line.amount) for line in found.bought] == [(5, 1, 1500)]


def test_boards_that_reach_a_lower_price_and_are_not_cut_are_spare_boards_already() -> None:
    """Sold from seven on: one is cut and six are left. Of the seven asked for as spare ones, one is bought more."""
    offers = [offer(96, 400, least=7)]
    one, seven = (buy_boards(cuts_of(90), request(replace(PLAIN, spare_boards=n)), offers) for n in (1, 7))
    assert [(line.quantity, line.spare, line.asked, line.amount) for line in one.bought] == [(7, 6, 1, 2800)]
    assert [(line.quantity, line.spare, line.asked, line.amount) for line in seven.bought] == [(8, 7, 7, 3200)]


def test_spare_boards_come_from_limited_stock_while_it_lasts() -> None:
    spare = replace(PLAIN, spare_boards=1)
    enough = buy_boards(cuts_of(60), request(spare), [offer(96, 300, in_stock=2), offer(120, 500)])
    assert {line.offer.item_code: line.quantity for line in enough.bought} == {"96": 2}
    gone = buy_boards(cuts_of(60), request(spare), [offer(96, 300, in_stock=1), offer(120, 500)])
    assert {line.offer.item_code: line.quantity for line in gone.bought} == {"96": 1, "120": 1}


def test_spacer_blocks_come_out_of_what_is_left_of_a_wider_board() -> None:
    """2 in blocks ripped to 3/4 in: six strips out of a blank of 2x6, whose strips are as thick, in 12-7/8 in."""
    rail = CutLine("A", 0, "rail", section("2x6"), 84 * INCH, 1)
    block = CutLine("B", 0, "block", TWO_BY_FOUR, 2 * INCH, 30, ripped=INCH * 3 // 4)
    wide = offer(97, 600, section=section("2x6"))
    found = buy_boards([rail, block], request(), [wide, offer(96, 400)])
    assert found.cost == 600
    [board] = found.cut
    piece, blank = board.board.cuts
    assert (piece.key, blank.key) == ("A", "B")
    assert 12 * INCH <= blank.length <= 97 * INCH - 84 * INCH - INCH // 8
    assert blank.parts >= 30


# ---- what cannot be had


def test_no_cut_list_needs_no_boards() -> None:
    assert buy_boards([], request(), [offer(96, 400)]) == Boards((), (), 0, 0, late=False, stage="nothing to cut")


def test_a_piece_longer_than_every_board_is_named_with_both_lengths() -> None:
    [(code, parts, message)] = lacking(cuts_of(84), request(), [offer(72, 400), offer(48, 200)])
    assert (code, parts) == ("no-board-long-enough", ("A",))
    assert message == "No stock is long enough for the 84 in piece 0: the longest 2x4 is 72 in."


def test_the_end_trim_is_named_where_it_is_what_is_missing() -> None:
    [(_, _, message)] = lacking(cuts_of(96), request(replace(PLAIN, end_trim=INCH // 2)), [offer(96, 400)])
    assert message == (
        "No stock is long enough for the 96 in piece 0: the longest 2x4 is 96 in (95 1/2 in after end trim)."
    )


def test_a_section_that_is_not_sold_is_named() -> None:
    [(code, parts, message)] = lacking(cuts_of(20, section=section("4x4")), request(), [offer(96, 400)])
    assert (code, parts) == ("section-not-sold", ("A",))
    assert "4x4" in message
    assert "piece 0" in message


def test_too_few_boards_say_how_many_pieces_are_missing() -> None:
    [(code, parts, message)] = lacking(cuts_of(60, quantity=5), request(), [offer(96, 400, in_stock=3)])
    assert (code, parts) == ("too-few-boards", ("A",))
    assert "2 of 5" in message


def test_a_piece_that_only_fits_with_a_sliver_says_so() -> None:
    """15-15/16 in out of 16 in leaves 1/16 in, half of the saw's 1/8 in."""
    [cut] = cuts_of(16)
    short = replace(cut, length=cut.length - INCH // 16)
    [(code, parts, message)] = lacking([short], request(replace(PLAIN, no_slivers=True)), [offer(16, 90)])
    assert (code, parts) == ("only-with-sliver", ("A",))
    assert "1/8 in" in message
    assert "no_slivers" in message


def test_everything_that_is_lacking_is_said_at_once() -> None:
    cuts = [
        *cuts_of(100, 90, quantity=2),
        CutLine("Z", 0, "post", section("4x4"), 20 * INCH, 1),
    ]
    found = lacking(cuts, request(), [offer(96, 400, in_stock=1)])
    assert [(code, parts) for code, parts, _ in found] == [
        ("no-board-long-enough", ("A",)), ("too-few-boards", ("B",)), ("section-not-sold", ("Z",)),
    ]  # fmt: skip


# ---- a checker that is not the solver


def plan_faults(quote: Quote) -> list[str]:
    """Everything wrong with how a quote's boards are cut and bought, worked out afresh."""
    shop, found = quote.request.shop, quote.purchase.boards
    lines = {cut.id: cut for cut in quote.take_off.cut_list}
    had: Counter[str] = Counter()
    cut: Counter[LumberOffer | None] = Counter()
    faults = []
    for each in found.cut:
        free = 0
        cut[each.wood.offer] += each.board.count
        if each.wood.trim != (0 if each.wood.offer is None else shop.end_trim):
            faults.append(f"a board has {each.wood.trim} nm of trim")
        for piece in each.board.cuts:
            line = lines[piece.key]
            had[piece.key] += piece.parts * each.board.count
            if piece.at < free:
                faults.append(f"{piece.key} overlaps, or lies closer than the kerf")
            free = piece.at + piece.length + shop.kerf
            if line.ripped is None:
                good = (piece.length, piece.parts, each.wood.section) == (line.length, 1, line.section)
            else:
                rows = (piece.length + shop.kerf) // (line.length + shop.kerf)
                strips = (each.wood.section.width + shop.kerf) // (line.ripped + shop.kerf)
                good = piece.length >= LEAST_BLANK and piece.parts <= rows * strips
                good &= each.wood.section.thickness == line.section.thickness
            if not good:
                faults.append(f"{piece.key} is cut as {piece}")
        usable = each.wood.length - each.wood.trim
        if free - shop.kerf > usable or each.board.leftover != max(0, usable - free):
            faults.append(f"a board of {each.wood.length} nm ends at {free} nm, leftover {each.board.leftover} nm")
        sawn = each.kerf + each.board.leftover + sum(piece.length for piece in each.board.cuts)
        if sawn != usable or not 0 <= each.kerf <= shop.kerf * len(each.board.cuts):
            faults.append(f"kerf, cuts and leftover are {sawn} of {usable} nm")
    for line in lines.values():
        if (had[line.id] != line.quantity) if line.ripped is None else (had[line.id] < line.quantity):
            faults.append(f"{line.id} is cut {had[line.id]} times for {line.quantity}")
    for line in found.bought:
        if line.quantity - line.spare != cut[line.offer] or not 0 <= line.spare <= line.quantity:
            faults.append(f"{line.quantity} of {line.offer.item_code} are bought, {cut[line.offer]} cut")
        if line.offer.in_stock is not None and line.quantity > line.offer.in_stock:
            faults.append(f"{line.offer.item_code} has {line.offer.in_stock} in stock")
        if line.quantity < line.offer.least_quantity:
            faults.append(f"{line.offer.item_code} is bought below the quantity of its price")
    if {each for each in cut if each} - {line.offer for line in found.bought}:
        faults.append("a board is cut that is not bought")
    for own in {each.wood.length for each in found.cut if each.wood.offer is None}:
        there = sum(hand.quantity for hand in quote.request.on_hand if hand.length == own)
        if sum(each.board.count for each in found.cut if each.wood.offer is None and each.wood.length == own) > there:
            faults.append(f"more boards of {own} nm are used than are on hand")
    return faults


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
@pytest.mark.parametrize(
    "rest",
    [
        pytest.param({}, id="as the shop is"),
        pytest.param({"shop": {"kerf": "0 in", "end_trim": "0 in"}}, id="no kerf, no trim"),
        pytest.param({"shop": {"kerf": "10 mm", "end_trim": "150 mm", "spare_boards": 2}}, id="wide kerf, long trim"),
        pytest.param(
            {"on_hand": [{"section": name, "length": "2 m", "quantity": 3} for name in ("2x4", "45x95", "22x95")]},
            id="boards on hand",
        ),
    ],
)
def test_a_checker_that_is_not_the_solver_finds_no_fault(
    samples: Mapping[str, PriceBook], quote: Make, book: str, rest: dict[str, Any]
) -> None:
    lines = [
        {"design": "slatted-bed", "options": {"mattress": "twin"}},
        {"parts": [{"section": "2x4" if book == "sample-inch" else "45x95", "length": "610 mm", "quantity": 7}]},
    ]
    made = quote(samples[book], {"lines": lines, **rest})
    assert plan_faults(made) == []


def test_the_checker_finds_each_fault(inch: PriceBook, quote: Make) -> None:
    good = quote(inch, {"lines": [{"parts": [{"section": "2x4", "length": "30 in", "quantity": 3}]}]})
    assert plan_faults(good) == []
    [cut], [line] = good.purchase.boards.cut, good.purchase.boards.bought
    first, *others = cut.board.cuts
    assert cut.board.count == 1

    def broken(**changes: Any) -> Quote:
        boards = replace(good.purchase.boards, **changes)
        return replace(good, purchase=replace(good.purchase, boards=boards))

    def recut(*cuts: Any, leftover: int = cut.board.leftover) -> Quote:
        board = replace(cut.board, cuts=cuts, leftover=leftover)
        return broken(cut=(replace(cut, board=board),))

    assert plan_faults(recut(replace(first, at=first.at + 1), *others))
    assert plan_faults(recut(replace(first, length=first.length + 1), *others))
    assert plan_faults(recut(*others))
    assert plan_faults(recut(first, *others, leftover=cut.board.leftover + 1))
    assert plan_faults(broken(cut=(cut, cut)))
    assert plan_faults(broken(bought=(replace(line, quantity=line.quantity + 1),)))
    assert plan_faults(broken(bought=()))


def test_a_blank_of_just_the_safe_length_may_be_partly_waste() -> None:
    """A 97 in 2x6 gives the 84-7/8 in rail and a 12 in blank: five 2 in lengths of six strips, 1-1/2 in of it waste."""
    rail = CutLine("A", 0, "rail", section("2x6"), 84 * INCH + 7 * INCH // 8, 1)
    block = CutLine("B", 0, "block", section("2x4"), 2 * INCH, 30, ripped=3 * INCH // 4)
    wide = offer(97, 600, section=section("2x6"))
    found = buy_boards([rail, block], request(), [wide, offer(96, 400)])
    assert (found.cost, found.bound) == (600, 600)
    (board,) = (each.board for each in found.cut)
    assert [(cut.key, cut.length, cut.parts) for cut in board.cuts] == [
        ("A", rail.length, 1),
        ("B", 12 * INCH, 30),
    ]


def test_boards_whose_plan_a_clock_left_untidy_are_late_though_what_they_cost_is_proven(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """So nobody holds the quote for one that comes out alike whenever it is asked for."""
    cuts = cuts_of(*(9, 23, 26, 31, 32, 33, 38, 39, 55) * 3)
    [wanted] = parts_of(cuts, request(), [offer(96, 400), offer(144, 590)])
    found = module.best_deal(wanted, time.monotonic() + 60)
    assert not isinstance(found, Infeasible)
    with monkeypatch.context() as over:
        over.setattr(module, "SHORTEST_SEARCH", -60)
        late = told(wanted, *found, time.monotonic() - 60)
    in_time = told(wanted, *found, time.monotonic() + 60)
    assert late.cost == late.bound == in_time.cost and late.cut != in_time.cut, "else this shows nothing"
    assert late.late and not in_time.late
