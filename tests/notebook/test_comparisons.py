"""A comparison asked for in Python is the one that the service gives."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import sawbill

BODY = {
    "designs": ["bench", {"design": "bench", "label": "deep", "options": {"depth": "16 in"}}],
    "options": {"length": ["40 in", "48 in"]},
    "price_books": ["sample-inch", "sample-metric"],
    "sort": "-total",
    "baseline": 0,
    "filter": {"total": {"most": 300}},
}


@pytest.fixture(scope="module")
def sizes() -> sawbill.Comparison:
    return sawbill.compare(
        ["bench", {"design": "bench", "label": "deep", "options": {"depth": "16 in"}}],
        ["sample-inch", sawbill.price_book("sample-metric")],
        length=["40 in", "48 in"], sort="-total", baseline=0, filter={"total": {"most": 300}},
    )  # fmt: skip


def test_it_has_the_bytes_of_the_services_answer(service: Any, sizes: sawbill.Comparison, tmp_path: Path) -> None:
    answer = service.post("/v1/comparisons", json=BODY)
    assert answer.status_code == 200
    assert sizes.to_json().encode() == answer.data
    sizes.to_excel(tmp_path / "sizes.xlsx")
    accept = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    workbook = service.post("/v1/comparisons", json=BODY, headers={"Accept": accept})
    assert (tmp_path / "sizes.xlsx").read_bytes() == workbook.data


def test_its_rows_can_be_turned_into_a_table_of_sizes_and_books(sizes: sawbill.Comparison) -> None:
    deep = sizes.rows[sizes.rows["label"] == "deep"]
    table = deep.pivot(index="option_length", columns="price_book", values="total")
    assert table.shape == (2, 2) and (table.loc["48 in"] > table.loc["40 in"]).all()


def test_a_row_gives_its_whole_quote(sizes: sawbill.Comparison) -> None:
    row = sizes.rows.set_index("row").loc[3]
    assert float(sizes.quote(3).total) == row["total"]


def test_a_fault_of_one_row_is_told_in_that_row_and_one_of_all_is_raised() -> None:
    some = sawbill.compare("bench", length=["40 in", "9 km"])
    assert some.rows["status"].tolist() == ["quoted", "refused"]
    with pytest.raises(sawbill.FaultsError, match="length is 9 km"):
        some.quote(1)
    with pytest.raises(sawbill.FaultsError) as caught:
        sawbill.compare("bench", lenght="40 in", shop={"kerf": "x"}, sort="totl")
    assert [fault.field for fault in caught.value.faults] == ["lenght", "shop.kerf", "sort"]


def test_it_tells_itself_shortly(sizes: sawbill.Comparison) -> None:
    assert repr(sizes) == "<Comparison 8 rows, 8 quoted; sample-inch, sample-metric>"
    assert "deep" in sizes._repr_html_() and "option" not in sizes._repr_html_()
