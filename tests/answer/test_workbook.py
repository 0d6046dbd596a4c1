"""Workbooks, read back by another reader than the writer's."""

import io
from datetime import datetime
from decimal import Decimal

import openpyxl
import pytest

from sawbill.answer.tables import ALL, TABLES
from sawbill.answer.workbook import workbook_bytes


def load(data, **more):
    return openpyxl.load_workbook(io.BytesIO(data), **more)


@pytest.fixture
def data(answer):
    return workbook_bytes(ALL, answer, "Quote")


def test_there_is_a_sheet_for_each_table_with_its_columns_frozen_and_set_up_to_print(answer, data):
    book = load(data)
    assert book.sheetnames == list(TABLES)
    for sheet in book:
        assert [cell.value for cell in sheet[1]] == [column.name for column in TABLES[sheet.title].columns]
        assert sheet.freeze_panes == "A2"
        assert sheet.print_title_rows == "$1:$1"
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.page_setup.fitToHeight == 0
        assert sheet.page_setup.paperSize == (9 if answer["units"] == "metric" else 1), "A4, or letter"


def test_numbers_are_numbers_with_their_format_and_texts_are_texts(answer, data):
    for sheet in load(data, data_only=True):
        table = TABLES[sheet.title]
        for cells, row in zip(sheet.iter_rows(min_row=2), table.rows(answer), strict=True):
            for column, cell, ours in zip(table.columns, cells, row, strict=True):
                if ours is None or ours == "":
                    assert cell.value in (None, "")
                elif column.is_number:
                    assert cell.data_type == "n" and Decimal(str(cell.value)) == Decimal(ours)
                else:
                    assert cell.data_type == "s"
                if column.kind == "money" and ours is not None:
                    assert cell.number_format == "#,##0.00"


def test_the_total_is_a_formula_over_what_adds_and_shows_ours_till_it_is_computed(answer, data):
    sheet, shown = load(data)["costs"], load(data, data_only=True)["costs"]
    costs = {row[0].value: row for row in sheet.iter_rows(min_row=2)}
    assert costs["total"][1].value == "=ROUND(SUM(C2:C6),2)"
    added = [shown.cell(row, 3).value or 0 for row in range(2, 7)]
    assert [costs_row[0].row for name, costs_row in costs.items() if name in ("lumber", "tax")] == [2, 6]
    assert f"{sum(added):.2f}" == answer["totals"]["total"]
    assert f"{shown.cell(costs['total'][1].row, 2).value:.2f}" == answer["totals"]["total"]


def test_a_label_that_looks_like_a_formula_stays_text(hostile):
    book = load(workbook_bytes(ALL, hostile, "Quote"))
    cells = [cell for sheet in book for row in sheet.iter_rows(min_row=2) for cell in row]
    assert [cell.coordinate for cell in cells if cell.data_type == "f"] == ["B7"], "the total alone is a formula"
    names = [row[2] for row in book["cut-list"].iter_rows(min_row=2)]
    assert [(cell.data_type, cell.value) for cell in names if str(cell.value).startswith("=")] == [("s", "=1+2")]


def test_the_same_quote_gives_the_same_bytes(answer, data):
    assert workbook_bytes(ALL, answer, "Quote") == data
    assert load(data).properties.created == datetime(2000, 1, 1)


def test_rows_are_as_high_as_the_longest_text_in_them_wrapped(bed):
    sheet = load(workbook_bytes([TABLES["steps"]], bed, "Steps"))["steps"]
    for row, step in enumerate(bed["steps"], 2):
        least = 15 * (len(step["text"]) // 40)
        assert sheet.row_dimensions[row].height >= least, step["text"]
    stops = load(workbook_bytes([TABLES["saw-stops"]], bed, "Stops"))["saw-stops"]
    assert stops.row_dimensions[2].height in (None, 15), "one line, which is the usual height"


def test_one_table_makes_a_workbook_of_one_sheet(bed):
    assert load(workbook_bytes([TABLES["cut-list"]], bed, "Cut list")).sheetnames == ["cut-list"]


def test_a_currency_without_decimals_has_none_in_its_cells(bed):
    totals = {name: amount.partition(".")[0] for name, amount in bed["totals"].items()}
    sheet = load(workbook_bytes([TABLES["costs"]], {**bed, "totals": totals}, "Costs"))["costs"]
    assert sheet["B2"].number_format == "#,##0"
    assert sheet["B7"].value == "=ROUND(SUM(C2:C6),0)"
