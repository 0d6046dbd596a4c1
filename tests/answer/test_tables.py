"""Every table holds what the quote says, and is described column by column."""

import re
from decimal import Decimal

import pytest

from sawbill.answer.columns import columns, plain, text
from sawbill.answer.records import ADDED
from sawbill.answer.tables import TABLES

PROMISED = (
    "cut-list", "shopping-list", "cutting-plan", "hardware", "supplies", "leftovers", "checks", "costs", "steps",
)  # fmt: skip
"""The tables that the interface has had from the start."""
LISTED = {
    "shopping-list": "shopping_list", "cut-list": "cut_list", "cutting-plan": "cutting_plan", "saw-stops": "saw_stops",
    "hardware": "hardware", "supplies": "supplies", "leftovers": "leftovers", "checks": "checks", "steps": "steps",
    "tools": "tools", "shares": "shares", "near-misses": "near_misses", "warnings": "warnings",
}  # fmt: skip
"""Which list of the quote's JSON each table shows, row by row."""


def records(name, answer):
    """The rows of a table as mappings."""
    names = [column.name for column in TABLES[name].columns]
    return [dict(zip(names, row, strict=True)) for row in TABLES[name].rows(answer)]


def test_the_tables_promised_are_there():
    assert set(PROMISED) <= set(TABLES)


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.name)
def test_each_column_says_what_it_means_and_what_its_numbers_are(table):
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", table.name) and len(table.name) <= 31, "the name of a sheet too"
    assert table.meaning.endswith(".")
    for column in table.columns:
        assert re.fullmatch(r"[a-z]+(_[a-z]+)*", column.name)
        assert column.meaning.endswith("."), column.name
        assert column.unit or column.kind not in ("number", "money"), column.name
        if column.name.endswith("_mm"):
            assert column.unit == "mm"
    amounts = [column for column in table.columns if column.kind == "money"]
    assert bool(amounts) == ("currency" in [column.name for column in table.columns])


@pytest.mark.parametrize(("name", "key"), LISTED.items())
def test_a_table_has_a_row_for_each_entry_of_the_quote(answer, name, key):
    rows = records(name, answer)
    assert len(rows) == len(answer[key])
    for row, entry in zip(rows, answer[key], strict=True):
        for column, cell in row.items():
            told = entry.get(column)
            if isinstance(told, dict):
                assert cell == told["text"] and row[f"{column}_mm"] == Decimal(str(told["mm"]))
            elif column in entry and not isinstance(told, list):
                assert plain(cell) == plain(told), column


def test_what_adds_to_the_costs_is_the_total_with_tax_in_the_prices_or_not(answer):
    rows = {row["cost"]: row for row in records("costs", answer)}
    assert {cost: plain(row["amount"]) for cost, row in rows.items()} == answer["totals"]
    assert sum(row["adds"] or 0 for row in rows.values()) == Decimal(answer["totals"]["total"])
    assert (rows["tax"]["adds"] is None) == answer["price_book"]["prices_include_tax"]
    assert {cost for cost, row in rows.items() if row["adds"] is not None} <= set(ADDED)


def test_the_shopping_list_adds_up_to_lumber_hardware_and_supplies(answer):
    totals = {"lumber": Decimal(), "hardware": Decimal(), "supply": Decimal()}
    for row in records("shopping-list", answer):
        assert row["amount"] == row["each"] * row["quantity"]
        totals[row["kind"]] += row["amount"]
    assert [plain(total) for total in totals.values()] == [
        answer["totals"][name] for name in ("lumber", "hardware", "supplies")
    ]


def test_the_cutting_plan_tells_cuts_in_their_order_like_ones_together(bed):
    for row, board in zip(records("cutting-plan", bed), bed["cutting_plan"], strict=True):
        told = re.findall(r"(?:(\d+) x )?([A-Z]+) ([^+(]+?)(?: \(rip into \d+, cut \d+\))?(?: \+ |$)", row["cuts"])
        cuts = [(part, length) for count, part, length in told for _ in range(int(count or 1))]
        assert cuts == [(cut["part"], cut["length"]["text"]) for cut in board["cuts"]]


def test_every_carried_piece_has_a_row(hostile):
    rows = records("carried-pieces", hostile)
    (frame,) = hostile["frames"]
    assert [(row["name"], row["mass_kg"]) for row in rows] == [
        (piece["name"], Decimal(str(piece["mass_kg"]))) for piece in frame["carried_pieces"]
    ]


def test_a_check_names_its_line(hostile):
    assert {row["label"] for row in records("checks", hostile)} == {"@SUM(A1)"}


def test_a_number_is_written_plainly_however_small():
    assert plain(Decimal("1E-6")) == "0.000001"
    assert plain(Decimal("1E+3")) == "1000"
    assert plain(None) == ""
    assert [plain(True), plain(False)] == ["yes", "no"]


def test_no_two_columns_of_a_table_have_one_name():
    with pytest.raises(ValueError, match="two columns have one name: a, a"):
        columns(text("a", "One.", "x"), text("a", "Other.", "y"))
