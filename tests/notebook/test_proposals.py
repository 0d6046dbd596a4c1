"""A proposal asked for in Python is the one that the service gives."""

from __future__ import annotations

from typing import Any

import pytest

import sawbill

OPEN = {"rail": ["2x4", "2x6"], "doubled_middle": "any"}
BODY = {
    "designs": ["slatted-bed"], "price_books": ["sample-inch"], "options": {"mattress": "twin"}, "open": OPEN,
    "wishes": {"clear_height": {"least": "6 in"}, "heaviest_piece": {"most": "12 kg"}}, "proposals": 2,
}  # fmt: skip


@pytest.fixture(scope="module")
def bed() -> sawbill.Proposal:
    return sawbill.propose(
        "slatted-bed", mattress="twin", open=OPEN, least={"clear_height": "6 in"}, most={"heaviest_piece": "12 kg"},
        proposals=2,
    )  # fmt: skip


def test_it_has_the_bytes_of_the_services_answer(service: Any, bed: sawbill.Proposal) -> None:
    answer = service.post("/v1/proposals", json=BODY)
    assert answer.status_code == 200
    assert bed.to_json().encode() == answer.data


def test_its_best_is_a_quote_of_that_total_which_none_it_tells_is_under(bed: sawbill.Proposal) -> None:
    totals = bed.proposals["total"]
    assert float(bed.quote().total) == totals.iloc[0] == totals.min()
    assert bed.proof["proven"] and bed.proof["combinations"] == 4
    assert {"option_rail", "option_doubled_middle", "option_mattress"} <= {*bed.proposals}


def test_it_tells_what_each_wish_costs_and_is_short_in_a_line(bed: sawbill.Proposal) -> None:
    assert set(bed.wishes["wish"]) == {"clear_height", "heaviest_piece"}
    assert len(repr(bed)) < 100 and "4 combinations" in repr(bed)
    assert "<table" in bed._repr_html_()


def test_every_fault_is_told_where_it_was_written() -> None:
    with pytest.raises(sawbill.FaultsError) as refused:
        sawbill.propose("slatted-bed", make_least="luck", most={"heaviest_piece": "12"})
    assert len(refused.value.faults) == 2
