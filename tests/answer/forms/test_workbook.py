"""Workbooks, read back by another reader than the writer's."""

import io
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

import openpyxl
import pytest
from openpyxl.utils import get_column_letter

from sawbill.answer.forms.workbook import Front, Picture, quote_workbook, workbook_bytes
from sawbill.answer.forms.workbook.buying import tax
from sawbill.answer.tables import ALL, TABLES

FRONT = Front("A bed", "Sample prices")
PEOPLE = ["Quote", "Buying", "Cutting", "Building", "Checking"]
ONE_PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8ffff3f0005fe02fe0def46b8"
    "0000000049454e44ae426082"
)
"""The least PNG: one white pixel (ISO/IEC 15948)."""


def load(data, **more):
    return openpyxl.load_workbook(io.BytesIO(data), **more)


@pytest.fixture
def data(answer):
    return workbook_bytes(ALL, answer, "Quote")


@pytest.fixture
def whole(answer):
    return quote_workbook(ALL, answer, FRONT)


def texts(sheet):
    return [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]


def beside(sheet, words):
    """The cells right of the one that says these words."""
    row = next(cell.row for cells in sheet.iter_rows() for cell in cells if cell.value == words)
    return [cell for cell in sheet[row] if cell.value not in (None, words)]


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
                    assert cell.data_type == ("b" if column.kind == "flag" else "s")
                if column.kind == "money" and ours is not None:
                    assert cell.number_format == "#,##0.00"
                if column.unit == "share of 1" and ours is not None:
                    assert cell.number_format == "0.0 %"


def test_the_total_is_a_formula_over_what_adds_and_shows_ours_till_it_is_computed(answer, data):
    sheet, shown = load(data)["costs"], load(data, data_only=True)["costs"]
    costs = {row[0].value: row for row in sheet.iter_rows(min_row=2)}
    assert costs["total"][1].value == "=ROUND(SUM(C2:C6),2)"
    added = [shown.cell(row, 3).value or 0 for row in range(2, 7)]
    assert [costs_row[0].row for name, costs_row in costs.items() if name in ("lumber", "tax")] == [2, 6]
    assert f"{sum(added):.2f}" == answer["totals"]["total"]
    assert f"{shown.cell(costs['total'][1].row, 2).value:.2f}" == answer["totals"]["total"]


def test_people_see_their_sheets_and_programs_find_every_table_behind_them_as_ever(answer, whole, data):
    book, alone = load(whole, data_only=True), load(data, data_only=True)
    shown = [sheet.title for sheet in book if sheet.sheet_state == "visible"]
    assert shown == PEOPLE
    assert book.sheetnames == [*PEOPLE, *TABLES]
    for name in TABLES:
        assert list(book[name].values) == list(alone[name].values)


def test_what_people_see_prints_as_wide_as_the_paper_and_nothing_empty(whole):
    for sheet in load(whole):
        if sheet.sheet_state == "visible":
            assert sheet.print_area and sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.title
            assert sheet.page_setup.fitToWidth in (None, 1), "one page wide, which is the usual"
            assert sheet.oddFooter.right.text == "&P / &N"
            assert len(texts(sheet)) > 1, sheet.title


def test_every_amount_to_buy_is_quantity_times_price_and_all_add_up_to_ours(answer, whole):
    sheet, shown = load(whole)["Buying"], load(whole, data_only=True)["Buying"]
    bought = [row for row in sheet.iter_rows(min_row=5) if isinstance(row[1].value, int)]
    assert len(bought) == len(answer["shopping_list"])
    for row in bought:
        at = row[0].row
        assert row[6].value == f"=ROUND(B{at}*F{at},2)"
        amount = Decimal(str(row[1].value)) * Decimal(str(row[5].value))
        assert amount == Decimal(str(shown.cell(at, 7).value)), "the stored value is what the formula gives"
    spent = sum(Decimal(str(shown.cell(row[0].row, 7).value)) for row in bought)
    trips = sum(Decimal(visit["amount"]) for visit in answer["trips"])
    added = Decimal(0) if answer["price_book"]["prices_include_tax"] else Decimal(answer["totals"]["tax"])
    assert spent + trips + added == Decimal(answer["totals"]["total"])
    assert f"{beside(shown, 'Total')[0].value:.2f}" == answer["totals"]["total"]
    assert beside(sheet, "Total")[0].value.startswith("=ROUND(SUM(")


def test_the_first_sheet_reads_its_costs_from_the_shopping_list(answer, whole):
    sheet, shown = load(whole)["Quote"], load(whole, data_only=True)["Quote"]
    assert sheet["A1"].value == "A bed"
    assert beside(sheet, "Total")[0].value.startswith("=Buying!G")
    assert f"{beside(shown, 'Total')[0].value:.2f}" == answer["totals"]["total"]
    assert beside(sheet, "As of")[0].value == datetime.fromisoformat(answer["price_book"]["as_of"])
    assert beside(sheet, "Prices are a sample, invented")[0].value is True
    assert any("no certificate" in text and "Local codes" in text for text in texts(sheet))


def test_the_picture_stands_on_the_first_sheet_and_one_that_cannot_be_made_is_said_to_be_lacking(bed):
    drawn = load(quote_workbook(ALL, bed, replace(FRONT, pictures=[Picture("Bed", ONE_PIXEL)])))["Quote"]
    assert len(drawn._images) == 1
    assert not any("No picture" in text for text in texts(drawn))
    lacking = load(quote_workbook(ALL, bed, replace(FRONT, pictures=None)))["Quote"]
    assert not lacking._images
    assert any("sawbill[png]" in text for text in texts(lacking))


def test_a_quote_of_an_older_engine_that_told_no_rates_of_tax_has_its_tax_as_it_was(bed):
    old = {**bed, "trips": [{k: v for k, v in each.items() if k != "tax_rate"} for each in bed["trips"]]}
    shown = load(quote_workbook(ALL, old, FRONT), data_only=True)
    assert f"{beside(shown['Buying'], 'Tax, as it was quoted')[0].value:.2f}" == bed["totals"]["tax"]
    assert f"{beside(shown['Quote'], 'Total')[0].value:.2f}" == bed["totals"]["total"]


@pytest.mark.parametrize(
    ("goods", "rate", "included", "expected"),
    [("100.00", "0.0825", False, "8.25"), ("2.00", "0.0825", False, "0.17"), ("119.00", "0.19", True, "19.00")],
)
def test_tax_is_rounded_half_up_once(goods, rate, included, expected):
    assert tax(Decimal(goods), Decimal(rate), 2, included=included) == Decimal(expected), "sums done by hand"


def test_sources_stand_once_and_each_check_has_its_number(bed):
    sheet = load(quote_workbook(ALL, bed, FRONT))["Checking"]
    found = texts(sheet)
    sources = dict.fromkeys(check["source"] for check in bed["checks"])
    for number, source in enumerate(sources, 1):
        assert found.count(source) == 1
        assert f"[{number}]" in found


def test_of_a_group_order_each_line_has_its_share_and_its_own_parts(hostile):
    sheet = load(quote_workbook(ALL, hostile, FRONT))["Cutting"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    for line, share in zip(hostile["lines"], hostile["shares"], strict=True):
        head = next(i for i, row in enumerate(rows) if row[0] == f"{line['label']}: its share is USD {share['total']}")
        own = [cut["part"] for cut in hostile["cut_list"] if cut["line"] == line["line"]]
        assert [row[0] for row in rows[head + 2 : head + 2 + len(own)]] == own


def test_no_text_for_people_stands_in_a_narrow_column(hostile):
    book = load(quote_workbook(ALL, hostile, FRONT))
    for sheet in (book[name] for name in ("Cutting", "Building", "Checking")):
        joined = {(each.min_row, each.min_col): each.max_col for each in sheet.merged_cells.ranges}
        for cell in (cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)):
            columns = range(cell.column, joined.get((cell.row, cell.column), cell.column) + 1)
            width = sum(sheet.column_dimensions[get_column_letter(i)].width for i in columns)
            least = 40 if len(cell.value) > 60 else 18 if len(cell.value) > 30 else 6
            assert width >= least or cell.font.sz == 13, f"{cell.value!r}: {width} characters; titles may reach over"


def test_steps_and_checks_stand_under_the_line_they_are_of(hostile):
    book = load(quote_workbook(ALL, hostile, FRONT))
    for line in hostile["lines"]:
        assert f"{line['label']}: steps" in texts(book["Building"])
    heads = [text for text in texts(book["Checking"]) if "checks (for planning" in text]
    assert heads == [f"{hostile['lines'][0]['label']}: checks (for planning, not a certificate)"]


def test_a_reader_of_inches_is_told_pounds_and_another_kilograms(bed, metric):
    for quote, unit, per_kg in ((bed, "lb", 1 / 0.45359237), (metric, "kg", 1)):
        sheet = load(quote_workbook(ALL, quote, FRONT))["Quote"]
        assert f"Mass of one [{unit}]" in texts(sheet)
        mass = beside(sheet, quote["lines"][0]["label"])[-1].value
        assert mass == pytest.approx(quote["frame"]["mass_kg"] * per_kg, abs=0.051)


def test_a_label_that_looks_like_a_formula_stays_text(hostile):
    book = load(quote_workbook(ALL, hostile, replace(FRONT, title="=1+2")))
    assert (book["Quote"]["A1"].data_type, book["Quote"]["A1"].value) == ("s", "=1+2")
    behind = [book[name] for name in TABLES]
    cells = [cell for sheet in behind for row in sheet.iter_rows(min_row=2) for cell in row]
    assert [cell.coordinate for cell in cells if cell.data_type == "f"] == ["B7"], "the total alone is a formula"
    names = [row[2] for row in book["cut-list"].iter_rows(min_row=2)]
    assert [(cell.data_type, cell.value) for cell in names if str(cell.value).startswith("=")] == [("s", "=1+2")]
    shown = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == "=1+2"]
    assert {cell.data_type for cell in shown} == {"s"}


def test_the_same_quote_gives_the_same_bytes(answer, data, whole):
    assert workbook_bytes(ALL, answer, "Quote") == data
    assert quote_workbook(ALL, answer, FRONT) == whole
    assert load(data).properties.created == load(whole).properties.created == datetime(2000, 1, 1)


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
