"""A table of an answer as a DataFrame: cells of the right kinds, and what they are measured in."""

from __future__ import annotations

from decimal import Decimal

import pytest

import sawbill


def test_each_column_tells_its_unit_and_meaning(bed: sawbill.Quote) -> None:
    told = bed.shopping_list.attrs
    assert told["units"] == {"length_mm": "mm", "each": "USD", "amount": "USD"}
    assert list(told["meanings"]) == list(bed.shopping_list)
    assert told["title"] == "Shopping list"


def test_a_column_is_of_one_kind_whether_or_not_it_has_empty_cells(bed: sawbill.Quote) -> None:
    empty = bed.leftovers.iloc[:0]
    for table in (bed.table("leftovers", exact=False), empty.astype({"length_mm": "float64"})):
        assert table.dtypes.astype(str).to_dict() == {
            "quantity": "Int64", "section": "str", "length_mm": "float64", "length": "str", "species": "str",
            "grade": "str", "design_values": "str",
        }  # fmt: skip
    assert str(bed.cutting_plan["on_hand"].dtype) == "boolean"
    assert bed.shopping_list["pack"].isna().any()


def test_exact_numbers_are_decimals_as_they_are_printed(bed: sawbill.Quote) -> None:
    assert [str(amount) for amount in bed.costs["amount"]] == [*bed.to_dict()["totals"].values()]
    assert all(isinstance(length, Decimal) for length in bed.cut_list["length_mm"])


def test_a_table_is_a_copy_of_ones_own(bed: sawbill.Quote) -> None:
    mine = bed.costs
    mine["amount"] = 0
    assert bed.costs["amount"].sum() > 0


def test_single_values_are_told_in_the_unit_asked_for(bed: sawbill.Quote) -> None:
    assert bed.value("longest_board", "in") == bed.value("longest_board") / Decimal("25.4")
    assert bed.value("totals.lumber") == bed.to_dict()["totals"]["lumber"]
    for path, unit in (("wast", None), ("waste", "in"), ("totals.lumbr", None)):
        with pytest.raises(sawbill.FaultsError):
            bed.value(path, unit)
    with pytest.raises(sawbill.FaultsError, match="shopping-list"):
        bed.table("shoping-list")
