"""Columns of notes in a price book: nothing is read of them, and every form gives them back."""

import copy
import io

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.prices.conftest import SMALL

from sawbill.prices.forms.archive import read_archive, write_archive
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.workbook import read_workbook, write_workbook
from sawbill.prices.pricebook import content
from sawbill.prices.rows.columns import MOST_NOTES, is_note
from sawbill.prices.rows.faults import BookFaultsError

FORMS = {
    "workbook": lambda book: read_workbook("again", write_workbook(book)),
    "zip": lambda book: read_archive("again", write_archive(book)),
    "json": lambda book: read_json("again", content(book)),
}


def noted(**notes):
    """The small book with notes at its first board and its first supplier."""
    data = copy.deepcopy(SMALL)
    data["lumber"][0] |= notes
    data["suppliers"][0] |= notes
    return data


@pytest.mark.parametrize("form", FORMS)
def test_notes_come_back_in_every_form_and_change_nothing_else(form):
    plain, book = read_json("small", SMALL), read_json("small", noted(note="best in spring", Notes_bay="7"))
    again = FORMS[form](book)
    assert again.revision == book.revision != plain.revision, "a note is part of what a book holds"
    assert dict(again.lumber[0].notes) == dict(again.suppliers[0].notes) == {"note": "best in spring", "Notes_bay": "7"}
    assert again.lumber == plain.lumber and again.suppliers == plain.suppliers, "nothing is bought otherwise for them"


@given(st.text(max_size=30))
def test_any_note_that_may_stand_in_a_book_comes_back_from_a_workbook_and_a_zip(text):
    try:
        book = read_json("small", noted(note=text))
    except BookFaultsError as error:
        assert {fault.column for fault in error.faults} == {"note"}
        return
    assert FORMS["workbook"](book).revision == FORMS["zip"](book).revision == book.revision


def test_a_note_on_several_lines_is_kept_on_one():
    assert read_json("small", noted(note="dry\n  and straight")).lumber[0].notes == (("note", "dry and straight"),)


@pytest.mark.parametrize(
    ("name", "kept"),
    [("note", True), ("Notes", True), ("note: bay", False), ("notes bay", True), ("note_2", True), ("notch", False)],
)
def test_only_a_name_that_begins_with_note_is_one_of_notes(name, kept):
    assert is_note(name) is kept


def test_another_unknown_column_is_a_fault_that_tells_of_notes():
    with pytest.raises(BookFaultsError) as raised:
        read_json("small", noted(treted="yes"))
    assert {fault.code for fault in raised.value.faults} == {"unknown-column"}
    assert "did you mean treated?" in str(raised.value.faults[1]) and "begin its name with note" in str(raised.value)


def test_there_are_no_more_columns_of_notes_than_a_sheet_shows():
    read_json("small", noted(**{f"note {n}": "x" for n in range(MOST_NOTES)}))
    with pytest.raises(BookFaultsError, match="at most 10 columns of notes"):
        read_json("small", noted(**{f"note {n}": "x" for n in range(MOST_NOTES + 1)}))


def test_a_formula_that_no_program_has_worked_out_is_told_as_that_and_one_that_gives_no_text_is_not():
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(read_json("small", SMALL))))
    head = [cell.value for cell in book["lumber"][1]]
    book["lumber"].cell(2, head.index("price") + 1, "=2*2.14")
    book["lumber"].cell(2, head.index("in_stock") + 1, '=""')
    settings = [cell.value for cell in book["book"]["A"]]
    book["book"].cell(settings.index("tax_rate") + 1, 2, '=8.25&" %"')
    out = io.BytesIO()
    book.save(out)
    with pytest.raises(BookFaultsError) as raised:
        read_workbook("small", out.getvalue())
    found = {(fault.table, fault.line, fault.column, fault.code) for fault in raised.value.faults}
    told = "formula-without-value"
    assert found == {
        ("book", settings.index("tax_rate") + 1, "value", told), ("lumber", 2, "price", told),
        ("lumber", 2, "in_stock", told),
    }  # fmt: skip
    assert "open the workbook in your spreadsheet and save it" in str(raised.value.faults[0])
