"""Answers that are spoilt in one place: the referee tells each."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest
from tests.referee import request_claims
from tests.referee.test_by_hand import purchase

Json = dict[str, Any]


def request() -> Json:
    """Two pieces that take a board each, and may be so short that both come out of one; ten washers."""
    found = purchase()
    part = {"section": "45x95", "length": "1300 mm", "shortest": "1190 mm", "quantity": 2}
    found["lines"][0]["parts"] = [part]
    return found


def told(spoil: Callable[[Json], object], monkeypatch: pytest.MonkeyPatch) -> tuple[str, ...]:
    status, honest = request_claims.ask("/v1/quotes", request())
    assert status == 200
    answer = copy.deepcopy(honest)
    spoil(answer)
    monkeypatch.setattr(request_claims, "ask", lambda *_: (200, answer))
    return request_claims.judge("/v1/quotes", request()).differences


def test_an_honest_answer_passes() -> None:
    verdict = request_claims.judge("/v1/quotes", request())
    assert (verdict.differences, verdict.proven, verdict.judged) == ((), True, True)


@pytest.mark.parametrize(
    ("kind", "spoil"),
    [
        ("saw", lambda answer: answer["cutting_plan"][0]["cuts"][0]["at"].update(mm=1101)),
        ("saw", lambda answer: answer["cutting_plan"][0]["cuts"][0]["length"].update(mm=1299)),
        ("saw", lambda answer: answer["cutting_plan"][0]["leftover"].update(mm=1100)),
        ("saw", lambda answer: answer["cutting_plan"][0].update(species="pine", section="45x145")),
        ("saw", lambda answer: answer["cutting_plan"].pop()),
        ("saw", lambda answer: answer["leftovers"].clear()),
        ("till", lambda answer: answer["shopping_list"][0].update(quantity=1, amount="10.00")),
        ("till", lambda answer: answer["shopping_list"][0].update(amount="19.00")),
        ("till", lambda answer: answer["shopping_list"][0].update(each="9.00", amount="18.00")),
        ("till", lambda answer: answer["totals"].update(total="26.15")),
        ("till", lambda answer: answer["totals"].update(tax="2.10")),
        ("delivery", lambda answer: answer["trips"][0].update(by="delivery")),
        ("delivery", lambda answer: answer["trips"].clear()),
        ("credited", lambda answer: answer["proof"].update(credited="0.01")),
    ],
)
def test_what_cannot_be_sawn_or_paid_is_told(
    kind: str, spoil: Callable[[Json], object], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert any(difference.startswith(f"{kind}:") for difference in told(spoil, monkeypatch))


def test_a_dearer_purchase_is_not_the_cheapest(monkeypatch: pytest.MonkeyPatch) -> None:
    """A third board, paid for as it should be."""

    def spoil(answer: Json) -> None:
        answer["shopping_list"][0].update(quantity=3, amount="30.00", spare=1)
        answer["leftovers"].append({**answer["leftovers"][0], "length": {"mm": 2400, "text": ""}, "quantity": 1})
        answer["trips"][0].update(goods="31.05")
        answer["totals"].update(lumber="30.00", tax="3.11", total="37.16")

    assert [each.split(":")[0] for each in told(spoil, monkeypatch)] == ["cost", "bound"]


def test_a_refusal_of_what_can_be_had_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    refusal = {"type": "/problems/cannot-be-bought", "detail": "no"}
    monkeypatch.setattr(request_claims, "ask", lambda *_: (422, refusal))
    (difference,) = request_claims.judge("/v1/quotes", request()).differences
    assert difference.startswith("refusal:")


def test_a_near_miss_that_saves_less_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A board less saves 10.00 and its tax of 1.00."""
    _, honest = request_claims.ask("/v1/quotes", request())
    assert [miss["saves"] for miss in honest["near_misses"]] == ["11.00"]

    def spoil(answer: Json) -> None:
        answer["near_misses"][0]["saves"] = "11.01"

    (difference,) = told(spoil, monkeypatch)
    assert difference.endswith("saves 1100, not 1101")
