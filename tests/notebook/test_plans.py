"""Own pieces, however they are given, are cut as the service cuts them."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import sawbill

BODY = {
    "price_book": "sample-inch",
    "pieces": [
        {"section": "2x4", "length": "28.5 in", "quantity": 4},
        {"section": "1x8", "length": "32 in", "quantity": 6},
    ],
    "shop": {"kerf": "1/8 in"},
}
TUPLES = [("2x4", 28.5, 4), ("1x8", 32, 6)]
COLUMNS = ["section", "length", "quantity"]


@pytest.mark.parametrize(
    "pieces",
    [
        TUPLES,
        pd.DataFrame(TUPLES, columns=COLUMNS),
        pd.DataFrame(TUPLES, columns=COLUMNS).assign(shortest=np.nan, species=None, quantity=[4.0, 6.0]),
        [dict(zip(COLUMNS, each, strict=True)) for each in TUPLES],
        [{"section": "2x4", "length": Decimal("28.5"), "quantity": np.int64(4)}, ("1x8", "32 in", 6)],
        pd.DataFrame({"section": ["2x4", "1x8"], "length_mm": [723.9, 812.8], "quantity": [4, 6]}),
    ],
    ids=["tuples", "table", "empty cells", "mappings", "exact", "millimetres"],
)
def test_a_plan_has_the_bytes_of_the_services_answer(service: Any, pieces: Any) -> None:
    made = sawbill.cut(pieces, "sample-inch", lengths_in="in", shop={"kerf": "1/8 in"})
    assert made.to_json().encode() == service.post("/v1/cutting-plans", json=BODY).data


def test_the_workbook_of_a_plan_is_the_services(service: Any, tmp_path: Path) -> None:
    made = sawbill.cut(TUPLES, lengths_in="in", shop={"kerf": "1/8 in"})
    made.to_excel(tmp_path / "plan.xlsx")
    accept = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    answer = service.post("/v1/cutting-plans", json=BODY, headers={"Accept": accept})
    assert (tmp_path / "plan.xlsx").read_bytes() == answer.data


def test_the_cut_list_of_a_quote_is_cut_from_another_book(bed: sawbill.Quote) -> None:
    whole = bed.cut_list[bed.cut_list["ripped"].isna()]
    plan = sawbill.cut(whole, "sample-inch")
    assert plan.cut_list["quantity"].sum() == whole["quantity"].sum()
    assert sorted(plan.cut_list["length_mm"]) == sorted(whole["length_mm"].astype(float))


def test_names_in_one_cell_are_parted_by_bars() -> None:
    pieces = pd.DataFrame({"section": ["2x4"], "length": ["30 in"], "quantity": [2], "species": ["SPF | Hem-Fir"]})
    assert sawbill.cut(pieces).to_dict()["cut_list"][0]["species"] == ["SPF", "Hem-Fir"]


def test_how_boards_are_cut_is_drawn() -> None:
    assert sawbill.cut(TUPLES, lengths_in="in").drawing("cutting").svg.startswith("<svg")


@pytest.mark.parametrize(
    ("pieces", "field", "code"),
    [
        ([("2x4", 28.5, 4)], "pieces[0].length", "not-text"),
        ([{"section": "2x4", "lenght": "30 in"}], "pieces[0].length", "missing"),
        ([{"section": "2x4", "length": "30 in", "lenght": "30 in"}], "pieces[0].lenght", "unknown-key"),
        ("2x4", "pieces[0]", "not-an-object"),
        ([], "pieces", "missing"),
    ],
)
def test_a_fault_of_a_piece_is_told_with_its_row_and_column(pieces: Any, field: str, code: str) -> None:
    with pytest.raises(sawbill.FaultsError) as caught:
        sawbill.cut(pieces)
    assert (field, code) in [(fault.field, fault.code) for fault in caught.value.faults]
