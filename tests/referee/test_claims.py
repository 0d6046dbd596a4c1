"""The engine held against the referee: cases that were wrong once, and some hundred at random."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from tests.referee import case_files, order_claims, request_claims
from tests.referee.__main__ import main
from tests.referee.random_orders import random_order
from tests.referee.random_requests import random_design_request, random_request
from tests.referee.shrinking import shrunk, smaller_orders, smaller_requests

from sawbill import cutting

ORDERS, QUOTES, DESIGNS, A_BATCH = 300, 100, 6, 20


@pytest.mark.parametrize("path", sorted(case_files.CASES.glob("*.json")), ids=lambda path: path.stem)
def test_a_case_that_was_wrong_once_holds(path: Path) -> None:
    case = case_files.load(path)
    verdict = case_files.judged(case)
    assert verdict.judged
    assert verdict.proven, case["shows"]
    assert verdict.differences == (), case["shows"]


@pytest.mark.parametrize("first", range(0, ORDERS, A_BATCH))
def test_orders_at_random_are_as_the_referee_says(first: int) -> None:
    for number in range(first, first + A_BATCH):
        verdict = order_claims.judge(random_order(Random(f"order suite {number}")))
        assert verdict.differences == (), f"python -m tests.referee --orders 1 --seed suite --only {number}"


@pytest.mark.parametrize("first", range(0, QUOTES, A_BATCH))
def test_requests_at_random_are_as_the_referee_says(first: int) -> None:
    for number in range(first, first + A_BATCH):
        verdict = request_claims.judge(*random_request(Random(f"quote suite {number}")))
        assert verdict.differences == (), f"python -m tests.referee --quotes 1 --seed suite --only {number}"


@pytest.mark.parametrize("number", range(DESIGNS))
def test_designs_at_random_are_as_the_referee_says(number: int) -> None:
    request = random_design_request(Random(f"design suite {number}"), request_claims.sample_book())
    verdict = request_claims.judge(*request)
    assert verdict.differences == (), f"python -m tests.referee --designs 1 --seed suite --only {number}"


# ---- the command and the case files


def test_the_command_judges_and_ends_well(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--orders", "3", "--quotes", "2", "--seed", "suite"]) == 0
    told = capsys.readouterr().out
    assert "order 3 cases" in told
    assert "quote 2 cases" in told


def test_the_command_ends_with_1_where_a_claim_does_not_hold(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    honest = cutting.plan

    def with_a_bound_too_high(order: cutting.Order) -> cutting.CuttingPlan | cutting.Infeasible:
        return replace(honest(order), bound=10**9)

    monkeypatch.setattr(cutting, "plan", with_a_bound_too_high)
    assert main(["--orders", "6", "--seed", "suite", "--shrink", str(tmp_path)]) == 1
    assert "bound: 1000000000 is called a bound" in capsys.readouterr().out
    assert list(tmp_path.glob("*.json"))


@pytest.mark.parametrize("number", range(20))
def test_an_order_is_written_and_read_back(number: int) -> None:
    order = random_order(Random(f"order suite {number}"))
    text = case_files.order_text("says what it shows", order)
    assert case_files.order_of(json.loads(text)["order"]) == order


def test_a_case_is_made_as_small_as_it_fails() -> None:
    order = random_order(Random("order suite 4"))
    small = shrunk(order, smaller_orders, lambda other: sum(piece.count for piece in other.pieces) >= 2)
    assert sum(piece.count for piece in small.pieces) == 2
    assert (small.stocks, small.small_parts, small.kerf) == ((), (), 0)
    request = {"pieces": [{"length": "1 m", "quantity": 9}, {"length": "2 m"}], "shop": {"no_slivers": True}}
    assert shrunk(request, smaller_requests, lambda other: bool(other.get("pieces"))) == {"pieces": [{"length": "2 m"}]}
