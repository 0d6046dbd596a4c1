import copy
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import PriceBook, content
from sawbill.prices.rows.columns import TABLES
from sawbill.prices.rows.csvtable import MAX_ROWS
from sawbill.prices.rows.faults import MAX_FAULTS, BookFaultsError
from sawbill.prices.shelf import sample_folder
from sawbill.trade.lengths import format_length


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_book_given_as_json_text_reads_back_to_the_same_book(name):
    book = read_folder(sample_folder() / name)
    again = read_json(name, json.loads(json.dumps(content(book))))
    assert again == book
    assert again.revision == book.revision


def shortened(name):
    """A sample as JSON with a part of its rows, to read many times."""
    data = content(read_folder(sample_folder() / name))
    lumber = data["lumber"][-30:]
    hardware, supplies = data["hardware"][-6:], data["supplies"][-6:]
    other = {"usual_sections": {"other": lumber[-1]["section"]}}
    return data | other | {"lumber": lumber, "hardware": hardware, "supplies": supplies}


SHORT = {"inch": shortened("sample-inch"), "metric": shortened("sample-metric")}


@given(st.integers(0, 25_400_000), st.sampled_from(["inch", "metric"]))
def test_any_length_reads_back_exactly_in_either_system(nanometres, units):
    data = copy.deepcopy(SHORT[units])
    data["shop"]["kerf"] = format_length(nanometres, "metric", step=1)
    book = read_json("x", data)
    assert book.shop.kerf == nanometres
    assert read_json("x", content(book)) == book


def test_what_an_answer_adds_is_passed_over(small):
    book = read_json("small", small)
    assert read_json("small", {"name": "other", "revision": "0", **small}) == book


def test_numbers_that_lose_nothing_may_be_numbers(small):
    book = read_json("small", small)
    small["hardware"][0]["pack"] = 10
    small["lumber"][2]["in_stock"] = 6
    small["lumber"][0]["in_stock"] = None
    assert read_json("small", small) == book


@pytest.mark.parametrize("value", [5.4, float("nan"), float("inf"), True, [], {}, [["5.40"]]])
def test_a_value_of_another_type_is_told(small, faults_of, value):
    small["hardware"][0]["price"] = value
    assert {pointer: code for pointer, (code, _) in faults_of(small).items()} == {"/hardware/0/price": "wrong-type"}


def test_a_number_of_ten_thousand_digits_is_told(small, faults_of):
    small["hardware"][0]["price"] = 10**10_000
    assert {pointer: code for pointer, (code, _) in faults_of(small).items()} == {"/hardware/0/price": "too-large"}


@pytest.mark.parametrize("data", [None, [], "sample-inch", 5, True])
def test_what_is_no_object_is_told(data):
    with pytest.raises(BookFaultsError, match="JSON object"):
        read_json("x", data)


def test_an_empty_object_is_told_all_it_lacks():
    with pytest.raises(BookFaultsError) as error:
        read_json("x", {})
    missing = {fault.pointer for fault in error.value.faults}
    assert missing >= {"/title", "/currency", "/shop", "/suppliers", "/lumber", "/hardware", "/supplies"}


@pytest.mark.parametrize(
    ("rows", "pointer", "code"),
    [
        (None, "/lumber", "missing-table"),
        ({}, "/lumber", "wrong-type"),
        ("x", "/lumber", "wrong-type"),
        (["2x4"], "/lumber/0", "wrong-type"),
        ([{}] * (MAX_ROWS + 1), "/lumber", "too-many-rows"),
    ],
)
def test_a_table_at_fault_is_told(small, faults_of, rows, pointer, code):
    small["lumber"] = rows
    assert faults_of(small)[pointer][0] == code


def test_an_unknown_column_is_told_in_its_row(small, faults_of):
    small["lumber"][2]["instock"] = "6"
    assert faults_of(small) == {"/lumber/2/instock": ("unknown-column", "6")}


def test_rows_of_another_kind_stop_the_reading(small, faults_of):
    small["lumber"] = [{"price": "x"}] * MAX_ROWS
    assert len(faults_of(small)) <= MAX_FAULTS + 1


CELL = st.text(max_size=30) | st.sampled_from(
    ["2x4", "SPF", "No.2", "8 ft", "4.28", "each", "m3", "hex bolt", "M8", "1"]
)
PLACES = [(table, column) for table, columns in TABLES.items() for column in columns.all]


@given(st.data())
@settings(max_examples=300, deadline=None)
def test_any_text_in_any_cell_is_a_book_or_its_faults(data):
    small = copy.deepcopy(SHORT["metric"])
    small["sections"] = [{"name": "43x121", "thickness": "43 mm", "width": "121 mm"}]
    for table, column in data.draw(st.lists(st.sampled_from(PLACES), min_size=1, max_size=5)):
        row = data.draw(st.sampled_from(small[table]))
        row[column] = data.draw(CELL)
    try:
        book = read_json("x", small)
    except BookFaultsError as error:
        assert error.faults
        assert all(fault.remedy and fault.code for fault in error.faults)
        json.dumps([(fault.pointer, fault.value, str(fault)) for fault in error.faults]).encode()
    else:
        assert isinstance(book, PriceBook)
        assert all(offer.each > 0 for offer in (*book.lumber, *book.hardware, *book.supplies))
        assert read_json("x", content(book)) == book
