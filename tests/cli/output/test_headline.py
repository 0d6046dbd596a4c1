"""What is told of a quote before its tables, in words."""

from __future__ import annotations

import pytest

from sawbill.cli.output.headline import headline


@pytest.mark.parametrize(
    ("costs", "told"), [("12.41", "for 12.41 more"), ("-73.42", "for 73.42 less"), ("0.00", "for no more")]
)
def test_a_way_out_says_whether_it_costs_more_or_less(costs: str, told: str) -> None:
    way = {"changes": [{"option": "ledger", "after": "2x4"}], "costs": costs, "total": "138.68"}
    answer = {
        "ways_out": [{"rule": "racking", "ways": [way]}],
        "totals": {"total": "212.10"}, "price_book": {"currency": "USD"},
    }  # fmt: skip
    assert headline(answer).startswith(f"A way out of racking: ledger=2x4, {told}, 138.68 in all.\n")
