"""Answers of the planner that are kept: they are what it would say again; what a clock cut short is none of them."""

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import count
from types import SimpleNamespace

import pytest

from sawbill import cutting
from sawbill.buying import planned
from sawbill.cutting import CuttingPlan, Draft, Order, Piece, SmallPart, Status, Stock
from sawbill.trade.lengths import INCH

NUMBERS = count(1)


def order(*lengths: int) -> Order:
    """An order that nobody has put before: its kerf is its own [nm]."""
    return Order(
        (Stock("0", "2x4", 96 * INCH, 400), Stock("1", "2x4", 144 * INCH, 590)),
        tuple(Piece(f"{i}", length * INCH, 3, frozenset({"2x4"})) for i, length in enumerate(lengths)),
        kerf=INCH // 8 + next(NUMBERS),
    )


def soon() -> float:
    return time.monotonic() + 60


def told(found: object) -> tuple[dict[str, int], int, int, CuttingPlan]:
    assert isinstance(found, Draft)
    return found.stocks, found.net, found.bound, cutting.finished(found, soon())


def test_what_is_said_again_is_what_the_planner_itself_says(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, real = [], cutting.draft
    monkeypatch.setattr(cutting, "draft", lambda *given, **how: asked.append(given) or real(*given, **how))
    mine = order(30, 41, 17)
    first, again = (told(planned.draft(mine, soon())) for _ in range(2))
    assert len(asked) == 1
    assert first == again == told(real(mine, soon()))
    assert planned.worths(mine, soon()) == planned.worths(mine, soon()) == cutting.worths(mine, soon())


def test_another_order_or_another_price_that_is_enough_is_asked_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    asked, real = [], cutting.draft
    monkeypatch.setattr(cutting, "draft", lambda *given, **how: asked.append(given) or real(*given, **how))
    mine = order(30, 41, 17)
    dearer = replace(mine, stocks=tuple(replace(each, price=each.price + 1) for each in mine.stocks))
    strips = [replace(mine, small_parts=(SmallPart("s", INCH, 9, {"2x4": n}, 12 * INCH),)) for n in (2, 3)]
    for each in (mine, dearer, *strips):
        assert told(planned.draft(each, soon()))[-1] == told(real(each, soon()))[-1]
    planned.draft(mine, soon(), 10**6)
    planned.draft(mine, soon(), brief=True)
    assert len(asked) == 6


def test_what_a_clock_has_cut_short_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    mine = order(30, 41, 17)
    late = planned.draft(mine, time.monotonic() - 1)
    assert planned.draft(mine, soon()) is not late
    planned.worths(mine, time.monotonic() - 1)
    found = cutting.worths(mine, soon())
    assert planned.worths(mine, soon()) == found


def test_a_draft_that_may_be_gone_on_from_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    drafts = [SimpleNamespace(bound=99, net=100), SimpleNamespace(bound=100, net=100)]
    monkeypatch.setattr(cutting, "draft", lambda *_, **__: drafts[0] if len(asked) == 1 else drafts[1])
    mine, asked = order(20), [1]
    assert planned.draft(mine, soon()) is drafts[0]
    asked.append(2)
    assert planned.draft(mine, soon()) is drafts[1]
    asked.pop()
    assert planned.draft(mine, soon()) is drafts[1]


def test_a_plan_that_a_clock_left_untidy_is_not_given_to_whoever_asks_later() -> None:
    """It costs no more, so it is proven; but of plans that cost as much it is not the best."""
    mine = order(9, 23, 26, 31, 32, 33, 38, 39, 55)
    late = cutting.finished(kept(mine), time.monotonic() - 1)
    right = told(cutting.draft(mine, soon()))[-1]
    assert late.status is right.status is Status.PROVEN and late.boards != right.boards, "else this shows nothing"
    assert late.late and not right.late, "and a quote says so"
    assert cutting.finished(kept(mine), soon()) == right == cutting.finished(kept(mine), time.monotonic() - 1)


def test_no_two_threads_finish_the_same_draft() -> None:
    """A solver that two run at once ends the process."""
    mine = order(9, 23, 26, 31, 32, 33, 38, 39, 55)
    with ThreadPoolExecutor(1) as one, ThreadPoolExecutor(1) as other:
        drafts = [thread.submit(kept, mine).result() for thread in (one, other, one)]
        plans = [thread.submit(told, each).result()[-1] for thread, each in zip((one, other), drafts, strict=False)]
    assert drafts[0] is drafts[2] is not drafts[1]
    assert not {id(each.relaxation) for each in drafts[0].found} & {id(each.relaxation) for each in drafts[1].found}
    assert plans[0] == plans[1]


def kept(mine: Order) -> Draft:
    found = planned.draft(mine, soon())
    assert isinstance(found, Draft) and found is planned.draft(mine, soon())
    return found
