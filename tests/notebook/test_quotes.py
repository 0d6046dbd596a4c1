"""A quote asked for in Python is the one that the service gives, byte for byte."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import sawbill
from sawbill.answer.tables import TABLES

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
SHELVES = pd.DataFrame({"name": ["shelf"], "section": ["1x8"], "length": [30.0], "quantity": [3]})


def test_a_quote_of_a_design_has_the_bytes_of_the_services_answer(service: Any) -> None:
    made = sawbill.quote(
        "bench",
        "sample-metric",
        length="1200 mm",
        quantity=2,
        label="hall",
        units="inch",
        shop={"kerf": "3 mm", "no_slivers": True, "longest_board": None},
        site={"ceiling": "2.4 m", "heaviest_user": "95 kg"},
        lumber={"species": "spruce", "must_hold": True},
        on_hand=[{"section": "45x95", "length": "900 mm", "quantity": 2}],
        pricing={"contingency": "10 %", "labour_rate": 25, "factor": Decimal("2.5")},
        rates={"cut": "2 min"},
        trace="bolts",
        placed=True,
        ways_out=True,
    )
    body = {
        "price_book": "sample-metric",
        "lines": [
            {
                "label": "hall", "design": "bench", "quantity": 2, "options": {"length": "1200 mm"},
            }
        ],
        "units": "inch",
        "shop": {"kerf": "3 mm", "no_slivers": True},
        "site": {"ceiling": "2.4 m", "heaviest_user": "95 kg"},
        "lumber": {"species": ["spruce"], "must_hold": True},
        "on_hand": [{"section": "45x95", "length": "900 mm", "quantity": 2}],
        "pricing": {"contingency": "10 %", "labour_rate": "25", "factor": "2.5"},
        "rates": {"cut": "2 min"},
        "trace": ["bolts"],
        "placed": True,
        "ways_out": True,
    }  # fmt: skip
    answer = service.post("/v1/quotes", json=body)
    assert answer.status_code == 200
    assert made.to_json().encode() == answer.data
    assert made.to_dict() == answer.json


def test_several_lines_are_bought_together_as_the_service_buys_them(service: Any, tmp_path: Path) -> None:
    made = sawbill.quote(
        [
            "bench",
            sawbill.line("shelf-unit", quantity=2, label="hall"),
            sawbill.line(
                label="wall", parts=SHELVES, lengths_in="in",
                hardware=[{"item": "wood screw", "size": "#8", "length": 2, "quantity": 12}],
            ),
        ],
        owned_supplies=[{"item": "wood glue", "amount": "200 ml"}],
    )  # fmt: skip
    parts = [{"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}]
    screws = [{"item": "wood screw", "size": "#8", "length": "2 in", "quantity": 12}]
    body = {
        "price_book": "sample-inch",
        "lines": [
            {"label": "bench", "design": "bench"},
            {"label": "hall", "design": "shelf-unit", "quantity": 2},
            {"label": "wall", "parts": parts, "hardware": screws},
        ],
        "owned_supplies": [{"item": "wood glue", "amount": "200 ml"}],
    }
    assert made.to_json().encode() == service.post("/v1/quotes", json=body).data
    made.to_excel(tmp_path / "all.xlsx")
    workbook = service.post("/v1/quotes", json=body, headers={"Accept": XLSX})
    assert (tmp_path / "all.xlsx").read_bytes() == workbook.data


def test_every_table_of_an_answer_is_an_attribute_that_tells_what_it_holds(bed: sawbill.Quote) -> None:
    for name, table in TABLES.items():
        attribute = name.replace("-", "_")
        assert list(getattr(bed, attribute)) == [column.name for column in table.columns]
        assert table.meaning in getattr(sawbill.Quote, attribute).__doc__
    assert set(bed.tables) <= set(TABLES) and "cut-list" in bed.tables


def test_the_amounts_of_the_tables_add_up_to_the_total(bed: sawbill.Quote) -> None:
    costs = bed.costs.set_index("cost")["amount"]
    assert bed.shopping_list["amount"].sum() == costs[["lumber", "hardware", "supplies"]].sum()
    assert bed.costs["adds"].dropna().sum() == bed.shares["total"].sum() == bed.total
    assert isinstance(bed.total, Decimal)


def test_floats_are_the_same_numbers(bed: sawbill.Quote) -> None:
    floats = bed.table("costs", exact=False)
    assert floats["amount"].dtype == "float64"
    assert floats["amount"].tolist() == [float(amount) for amount in bed.costs["amount"]]


def test_what_is_said_of_one_design_cannot_be_said_of_several_lines() -> None:
    with pytest.raises(sawbill.FaultsError) as caught:
        sawbill.quote(["bench"], quantity=3, length="48 in")
    assert [(fault.field, fault.code) for fault in caught.value.faults] == [
        ("quantity", "not-both"), ("length", "not-both"),
    ]  # fmt: skip


def test_an_option_called_as_an_argument_is_given_among_the_options() -> None:
    assert sawbill.line("bench", options={"label": "48 in"}) == {
        "design": "bench", "label": "bench", "quantity": 1, "options": {"label": "48 in"},
    }  # fmt: skip


def test_what_is_left_over_of_one_quote_is_on_hand_for_the_next(bed: sawbill.Quote) -> None:
    board = sawbill.cut([("2x4", "50 in", 1)])
    assert len(board.leftovers) == 1
    again = sawbill.cut([("2x4", "20 in", 1)], on_hand=board.leftovers)
    assert again.shopping_list.empty and again.cutting_plan["on_hand"].all()
