import pytest

from sawbill.prices.forms.forms import ARCHIVE, BY_MEDIA_TYPE, BY_SUFFIX, WORKBOOK
from sawbill.prices.rows.faults import Fault


@pytest.mark.parametrize(
    ("fault", "sheet", "file"),
    [
        (
            Fault("lumber", "x", "write more", "price", "0", 3),
            ({"sheet": "lumber", "row": 3, "column": "price"}, "sheet lumber, row 3, price: '0': write more"),
            ({"file": "lumber.csv", "line": 3, "column": "price"}, "lumber.csv, line 3, price: '0': write more"),
        ),
        (
            Fault("book", "x", "add it", "shop.kerf"),
            ({"sheet": "book", "column": "shop.kerf"}, "sheet book, shop.kerf: add it"),
            ({"file": "book.toml", "column": "shop.kerf"}, "book.toml, shop.kerf: add it"),
        ),
        (Fault("", "x", "save it anew"), ({}, "save it anew"), ({}, "save it anew")),
    ],
)
def test_a_fault_is_told_with_its_place_as_far_as_it_has_one(fault, sheet, file):
    assert (WORKBOOK.place(fault), WORKBOOK.told(fault)) == sheet
    assert (ARCHIVE.place(fault), ARCHIVE.told(fault)) == file
    assert str(fault) == file[1]


def test_each_form_is_found_by_suffix_and_by_media_type():
    assert [*BY_SUFFIX] == [".xlsx", ".zip"]
    assert [*BY_MEDIA_TYPE.values()] == [*BY_SUFFIX.values()]
    assert BY_MEDIA_TYPE["application/zip"] is ARCHIVE
