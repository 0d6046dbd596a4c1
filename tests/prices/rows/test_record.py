import pytest

from sawbill.prices.rows.cells import CellError, free_text
from sawbill.prices.rows.columns import Columns
from sawbill.prices.rows.faults import BookFaultsError, Faults
from sawbill.prices.rows.record import Record


def refuse(text):
    raise CellError("refused", "write something else")


@pytest.fixture
def faults():
    return Faults()


def told(faults):
    with pytest.raises(BookFaultsError) as error:
        faults.raise_if_any()
    return [(fault.column, fault.code, fault.value, fault.line) for fault in error.value.faults]


def test_a_cell_is_reported_once_however_often_it_is_read(faults):
    record = Record("lumber", {"price": "x"}, faults, line=7)
    assert record.read("price", refuse) is None
    assert record.read("price", refuse) is None
    assert told(faults) == [("price", "refused", "x", 7)]


def test_a_cell_that_must_be_filled_is_told_when_it_is_empty_or_absent(faults):
    record = Record("lumber", {"price": "  "}, faults, line=7)
    assert record.read("price", free_text) is None
    assert record.read("per", free_text) is None
    assert [(column, code) for column, code, *_ in told(faults)] == [
        ("price", "missing-value"),
        ("per", "missing-value"),
    ]


def test_a_cell_that_may_be_empty_stands_for_its_default(faults):
    record = Record("lumber", {"in_stock": ""}, faults)
    assert record.read_or("in_stock", free_text, "many") == "many"
    assert record.read_if_any("in_stock", free_text) is None
    assert record.build(dict, a=1) == {"a": 1}


def test_a_record_with_a_fault_builds_nothing(faults):
    record = Record("lumber", {"name": "a\x00"}, faults)
    assert record.build(dict) is None


def test_a_skipped_column_is_not_reported_and_still_spoils_the_record(faults):
    record = Record("lumber", {}, faults)
    record.skip("species")
    assert record.read("species", free_text) is None
    assert record.build(dict) is None
    faults.raise_if_any()


def test_names_are_checked_both_ways(faults):
    Record("lumber", {"a": "1", "c": "2"}, faults, line=1).check_names(Columns(("a", "b")))
    assert told(faults) == [("c", "unknown-column", "2", 1), ("b", "missing-column", "", 1)]


def test_a_group_stands_before_the_names_of_its_keys(faults):
    lines = {"shop.kerf": 12}
    Record("book", {"kerf": "x"}, faults, lines=lines, group="shop.").read("kerf", refuse)
    assert told(faults) == [("shop.kerf", "refused", "x", 12)]
