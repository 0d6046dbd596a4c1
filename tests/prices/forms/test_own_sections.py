"""Sections of a price book's own, which its lumber is of as if they were listed."""

import copy
import csv

import pytest
from tests.prices.conftest import SMALL

from sawbill.asked.request import read_request
from sawbill.buying.boards import NothingFitsError
from sawbill.prices.changes import changes
from sawbill.prices.forms.archive import read_archive, write_archive
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.workbook import read_workbook, write_workbook
from sawbill.prices.pricebook import content
from sawbill.prices.rows.columns import TABLES
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.quoting.quote import make_quote
from sawbill.registry import designs
from sawbill.trade.lengths import MM

OWN = {"name": "43x121", "thickness": "43 mm", "width": "121 mm", "standard": "the sawmill's own", "note": "green"}
BOARD = {
    "supplier": "Yard A", "item_code": "OWN-1", "section": "43 x 121", "species": "SPF", "grade": "No.2",
    "length": "8 ft", "price": "5.00", "per": "each",
}  # fmt: skip


SHELF = {"design": "shelf-unit", "options": {"shelf_board": "43 x 121"}}


def data(*sections, **more):
    """The small book with sections of its own, and a board of the first."""
    made = copy.deepcopy(SMALL) | more
    made["sections"] = [*sections]
    made["lumber"].append(BOARD)
    return made


@pytest.fixture(scope="module")
def book():
    return read_json("small", data(OWN))


def in_a_folder(book, folder):
    """The book as the files of its zip, read from a folder that holds them."""
    for table in TABLES:
        rows = content(book)[table]
        names = TABLES[table].of(rows)
        with (folder / f"{table}.csv").open("w", newline="") as file:
            csv.writer(file).writerows([names, *([row.get(name, "") for name in names] for row in rows)])
    return read_folder(folder)


def test_it_comes_back_in_every_form(book, folder):
    forms = read_workbook("a", write_workbook(book)), read_archive("b", write_archive(book)), read_json(
        "c", content(book)
    )  # fmt: skip
    for again in (*forms, in_a_folder(book, folder.path)):
        assert again.revision == book.revision
        assert again.sections == book.sections and again.sections[0].notes == (("note", "green"),)


def test_a_book_without_any_says_nothing_of_them_and_keeps_its_revision():
    plain = read_json("small", SMALL)
    assert "sections" not in content(plain)
    assert read_json("small", {**SMALL, "sections": []}).revision == plain.revision


def test_pieces_of_it_are_cut_from_boards_of_its_size(book):
    pieces = [{"name": "shelf", "section": "43x121", "length": "40 in", "quantity": 3}]
    quote = make_quote(read_request({"lines": [{"parts": pieces}]}, book, designs()), book)
    (bought,) = quote.purchase.boards.bought
    assert (bought.offer.item_code, bought.quantity) == ("OWN-1", 2), "two of 40 in fit into 8 ft, a third does not"
    assert (bought.offer.section.thickness, bought.offer.section.width) == (43 * MM, 121 * MM)


def test_a_design_may_be_built_of_it_and_a_role_may_be_of_it():
    usual = {**SMALL["usual_sections"], "board": "43X121"}
    book = read_json("small", data(OWN, usual_sections=usual))
    assert book.usual_sections["board"] == "43x121"
    request = read_request({"lines": [SHELF]}, book, designs())
    assert {part.section.name for part in request.lines[0].frame.parts} > {"43x121"}


def test_changes_tell_what_became_of_it(book):
    wider = read_json("small", data({**OWN, "width": "125 mm"}))
    (change,) = changes(book, wider).settings
    assert (change.name, change.old, change.new) == (
        "sections.43x121", "43 mm x 121 mm, the sawmill's own", "43 mm x 125 mm, the sawmill's own",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("sections", "fault"),
    [
        ([OWN, {**OWN, "name": "43 X 121"}], ("sections", 1, "name", "duplicate")),
        ([OWN, {**OWN, "name": "2x4"}], ("sections", 1, "name", "listed-already")),
        ([{**OWN, "width": "40 mm"}], ("sections", 0, "width", "out-of-range")),
        ([{**OWN, "thickness": "43"}], ("sections", 0, "thickness", "not-a-length")),
        ([{**OWN, "colour": "red"}], ("sections", 0, "colour", "unknown-column")),
        ([], ("lumber", 3, "section", "unknown-section")),
    ],
)
def test_a_fault_of_it_is_told_at_its_place(sections, fault):
    with pytest.raises(BookFaultsError) as raised:
        read_json("small", data(*sections))
    found = {(each.table, each.row, each.column, each.code) for each in raised.value.faults}
    assert fault in found


def test_a_section_that_is_not_sold_is_answered_with_those_that_are(book):
    pieces = [{"name": "shelf", "section": "1x8", "length": "40 in"}]
    with pytest.raises(
        NothingFitsError, match=r"sells no 1x8, which the shelf is of; the nearest it sells are .*43x121"
    ):
        make_quote(read_request({"lines": [{"parts": pieces}]}, book, designs()), book)
