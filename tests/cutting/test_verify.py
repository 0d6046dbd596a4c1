"""The checker finds what is wrong with a plan; and when the planner is broken on purpose, tests say so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from sawbill.cutting import Board, Cut, CuttingPlan, Order, Piece, SmallPart, Stock, plan, planner, verify

PINE = frozenset({"pine"})
ORDER = Order(
    (Stock("new", "pine", 100, 30, trim=2), Stock("old", "pine", 50, 0, 1, on_hand=True), Stock("fir", "fir", 90, 1)),
    (Piece("a", 40, 3, PINE), Piece("b", 21, 4, PINE)),
    (SmallPart("block", 5, 4, {"pine": 2}, 11),),
    kerf=2,
)


def good() -> CuttingPlan:
    found = plan(ORDER)
    assert isinstance(found, CuttingPlan)
    return found


def with_cut(found: CuttingPlan, change: Callable[[Cut], Cut], blank: bool = False) -> CuttingPlan:
    """The plan with its last cut of one kind changed."""
    at = max(n for n, board in enumerate(found.boards) if any(cut.blank is blank for cut in board.cuts))
    board = found.boards[at]
    place = max(n for n, cut in enumerate(board.cuts) if cut.blank is blank)
    cuts = (*board.cuts[:place], change(board.cuts[place]), *board.cuts[place + 1 :])
    return replace(found, boards=(*found.boards[:at], replace(board, cuts=cuts), *found.boards[at + 1 :]))


BROKEN: dict[str, tuple[Callable[[CuttingPlan], CuttingPlan], str]] = {
    "a piece left out": (lambda p: replace(p, boards=p.boards[1:]), "times, not"),
    "a piece moved onto another": (lambda p: with_cut(p, lambda c: replace(c, at=max(0, c.at - 1))), "overlaps"),
    "a piece beyond the end": (lambda p: with_cut(p, lambda c: replace(c, at=c.at + 90)), "usable length"),
    "a piece cut short": (lambda p: with_cut(p, lambda c: replace(c, length=c.length - 1)), "is cut to"),
    "a blank too short": (lambda p: with_cut(p, lambda c: replace(c, length=10), True), "less than is safe"),
    "more parts than a blank gives": (lambda p: with_cut(p, lambda c: replace(c, parts=99), True), "at most"),
    "an unknown piece": (lambda p: with_cut(p, lambda c: replace(c, key="x")), "not in the order"),
    "an unknown stock": (
        lambda p: replace(p, boards=(replace(p.boards[0], stock="x"), *p.boards[1:])),
        "unknown stock",
    ),
    "a wrong material": (
        lambda p: replace(p, boards=(replace(p.boards[-1], stock="fir"), *p.boards[:-1])),
        "may not come from",
    ),
    "a board used twice": (
        lambda p: replace(p, boards=tuple(replace(b, count=b.count + (b.stock == "old")) for b in p.boards)),
        "are there",
    ),
    "a wrong price": (lambda p: replace(p, cost=p.cost - 1), "the boards cost"),
    "a wrong leftover": (
        lambda p: replace(p, boards=(replace(p.boards[0], leftover=p.boards[0].leftover + 1), *p.boards[1:])),
        "leftover is",
    ),
    "a credit out of nothing": (lambda p: replace(p, credited=5), "leftovers are worth"),
    "boards that are none": (
        lambda p: replace(p, boards=(replace(p.boards[0], count=0), *p.boards[1:])),
        "no boards, or nothing cut",
    ),
    "a board with nothing cut": (
        lambda p: replace(p, boards=(*p.boards, Board("new", 1, (), 98))),
        "no boards, or nothing cut",
    ),
    "a blank of a material it may not come from": (
        lambda p: replace(p, boards=tuple(replace(b, stock="fir") for b in p.boards)),
        "blank for 'block' may not come from",
    ),
    "too few small parts": (lambda p: with_cut(p, lambda c: replace(c, parts=1), True), "'block' is had 1 times"),
    "a board carried in lengths for no reason": (
        lambda p: replace(p, boards=(replace(p.boards[0], carried=(50, 40)), *p.boards[1:])),
        "may be carried whole",
    ),
    "a bound above the cost": (lambda p: replace(p, bound=p.cost + 1), "the bound"),
}


def test_a_good_plan_has_no_faults() -> None:
    assert verify(ORDER, good()) == []


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_plan_is_found_out(name: str) -> None:
    breaks, message = BROKEN[name]
    assert any(message in fault for fault in verify(ORDER, breaks(good())))


CARRIED = Order((Stock("long", "pine", 200, 30, carry=90),), (Piece("a", 40, 4, PINE),), kerf=2)


@pytest.mark.parametrize(
    ("carried", "message"),
    [
        ((92, 106), "92 nm cannot be carried"),
        ((0, 90, 106), "0 nm cannot be carried"),
        ((60, 60, 76), "the lengths carried hold"),
        ((90, 50), "the lengths carried end at"),
    ],
)
def test_lengths_that_a_yard_cannot_cut_or_nobody_carry_are_found_out(carried: tuple[int, ...], message: str) -> None:
    found = plan(CARRIED)
    assert isinstance(found, CuttingPlan)
    assert verify(CARRIED, found) == []
    broken = replace(found, boards=tuple(replace(board, carried=carried) for board in found.boards))
    assert any(message in fault for fault in verify(CARRIED, broken))


def test_a_sliver_is_found_out_where_it_is_forbidden() -> None:
    order = Order((Stock("s", "pine", 100, 1),), (Piece("p", 48, 2, PINE),), kerf=3)
    found = plan(order)
    assert isinstance(found, CuttingPlan)
    assert verify(order, found) == []
    assert any("leaves a sliver of 1 nm" in fault for fault in verify(replace(order, no_slivers=True), found))


def kerf_is_held() -> None:
    found = plan(Order((Stock("s", "pine", 100, 1),), (Piece("p", 50, 2, PINE),), kerf=1))
    assert isinstance(found, CuttingPlan)
    assert found.cost == 2


def trim_is_held() -> None:
    found = plan(Order((Stock("s", "pine", 100, 1, trim=1),), (Piece("p", 50, 2, PINE),)))
    assert isinstance(found, CuttingPlan)
    assert found.cost == 2


def availability_is_held() -> None:
    stocks = (Stock("cheap", "pine", 100, 1, 1), Stock("dear", "pine", 100, 5))
    found = plan(Order(stocks, (Piece("p", 60, 2, PINE),)))
    assert isinstance(found, CuttingPlan)
    assert found.cost == 6


def price_is_held() -> None:
    stocks = (Stock("cheap", "pine", 100, 1), Stock("dear", "pine", 100, 5))
    found = plan(Order(stocks, (Piece("p", 60, 2, PINE),)))
    assert isinstance(found, CuttingPlan)
    assert found.cost == 2


MUTATIONS: dict[str, tuple[Callable[[Order], Order], Callable[[], None]]] = {
    "kerf": (lambda order: replace(order, kerf=0), kerf_is_held),
    "trim": (lambda order: replace(order, stocks=tuple(replace(s, trim=0) for s in order.stocks)), trim_is_held),
    "availability": (
        lambda order: replace(order, stocks=tuple(replace(s, available=None) for s in order.stocks)),
        availability_is_held,
    ),
    "price": (
        lambda order: replace(order, stocks=tuple(replace(s, price=6 - s.price) for s in order.stocks)),
        price_is_held,
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_what_the_shop_loses_or_pays_is_held(name: str) -> None:
    MUTATIONS[name][1]()


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_planner_that_ignores_it_fails_that_test(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With the planner blind to kerf, trim, availability or price, the test above fails, through the checker or not."""
    blinding, named = MUTATIONS[name]
    seeing = planner.normalise
    monkeypatch.setattr(planner, "normalise", lambda order: seeing(blinding(order)))
    with pytest.raises(AssertionError):
        named()
