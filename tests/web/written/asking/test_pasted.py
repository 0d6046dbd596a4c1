"""Rows pasted into a form."""

import pytest

from sawbill.asked.lines import PIECE
from sawbill.web.written.asking.pasted import read

ORDER = ("quantity", "section", "length", "name")
LEG = {"quantity": 4, "section": "2x4", "length": "28 1/2 in", "name": "leg"}


@pytest.mark.parametrize("text", [
    "4, 2x4, 28 1/2 in, leg", "4\t2x4\t28 1/2 in\tleg\n", "\n  4;2x4;28 1/2 in;leg  \r\n\n",
    "Name\tLength\tSection\tQuantity\nleg\t28 1/2 in\t2x4\t4",
    "section,length,name,quantity\n2x4,28 1/2 in,leg,4",
])  # fmt: skip
def test_rows_are_read_however_they_are_parted(text):
    found = read(text, PIECE, ORDER)
    assert (found.rows, found.faults) == ((LEG,), ())


def test_cells_that_are_empty_or_missing_are_left_out():
    assert read("4;2x4;;leg\n;1x8", PIECE, ORDER).rows == (
        {"quantity": 4, "section": "2x4", "name": "leg"}, {"section": "1x8"},
    )  # fmt: skip


def test_a_row_knows_its_line_and_a_list_in_a_cell_has_bars():
    found = read("\nsection;length;species\n\n2x4;1 m;SPF | pine", PIECE, ORDER)
    assert found.lines == (4,)
    assert found.rows[0]["species"] == ["SPF", "pine"]


def test_what_cannot_be_a_row_is_named_with_its_line():
    assert [each.detail for each in read("section;legnth\n2x4;1 m;3", PIECE, ORDER).faults] == [
        "line 1: there is no column legnth; did you mean length?",
        "line 2 has 3 cells; it may have 2: section, legnth",
    ]


def test_what_is_no_number_is_left_for_its_reader_to_refuse():
    assert read("four, 2x4, 1 m", PIECE, ORDER).rows[0]["quantity"] == "four"


def test_a_first_row_that_begins_with_an_empty_cell_keeps_it(client):
    """As the cells come from a sheet whose quantities are left out; two lines, so that both are read alike."""
    fields = {"price_book": "sample-inch", "pieces": "\t2x4\t20 in\tleg\n\t2x4\t21 in\tarm\n", "kerf": " \t"}
    page = client.post("/cutting", data=fields, content_type="multipart/form-data")
    assert page.status_code == 200, page.text
    assert "<td>leg</td>" in page.text and "<td>arm</td>" in page.text


def test_a_field_that_the_form_has_not_is_a_fault_beside_those_of_the_rows(client):
    fields = {"price_book": "sample-inch", "pieces": "4, 2x4, 20 in, leg", "kref": "1/8 in"}
    page = client.post("/cutting", data=fields, content_type="multipart/form-data")
    assert page.status_code == 422
    assert "there is no parameter kref; did you mean kerf?" in page.text
    assert "4, 2x4, 20 in, leg</textarea>" in page.text
