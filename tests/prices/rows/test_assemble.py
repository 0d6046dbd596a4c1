import pytest

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.rows.assemble import MAX_SUPPLIERS
from sawbill.prices.rows.faults import BookFaultsError


def codes(faults):
    return {pointer: code for pointer, (code, _) in faults.items()}


def test_the_order_of_the_rows_changes_nothing(small):
    book = read_json("small", small)
    for table in ("suppliers", "lumber", "hardware", "supplies"):
        small[table].reverse()
    assert read_json("small", small) == book
    assert read_json("small", small).revision == book.revision


def test_the_same_row_twice_is_told_with_the_first_ones_place(small):
    small["lumber"].append(dict(small["lumber"][0]))
    with pytest.raises(BookFaultsError, match="row 0 has the same item") as error:
        read_json("small", small)
    assert [(fault.pointer, fault.code) for fault in error.value.faults] == [("/lumber/3/item_code", "duplicate")]


@pytest.mark.parametrize("table", ["hardware", "supplies"])
def test_a_row_of_any_table_twice_is_told(small, faults_of, table):
    small[table].append(dict(small[table][0]))
    assert codes(faults_of(small)) == {f"/{table}/{len(small[table]) - 1}/item_code": "duplicate"}


def test_a_supplier_twice_is_told(small, faults_of):
    small["suppliers"].append({"name": "Yard A", "trip": "1.00"})
    assert codes(faults_of(small)) == {"/suppliers/2/name": "duplicate"}


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("section", "2x6"),
        ("species", "pine"),
        ("grade", "No.1"),
        ("length", "10 ft"),
        ("measured_width", "3 7/16 in"),
    ],
)
def test_one_item_code_for_two_items_is_told(small, faults_of, column, value):
    small["lumber"][1][column] = value
    assert codes(faults_of(small)) == {"/lumber/1/item_code": "item-code-reused"}


def test_two_suppliers_may_use_the_same_item_code(small):
    small["lumber"].append({**small["lumber"][0], "supplier": "Yard B"})
    assert len(read_json("small", small).lumber) == 4


def test_the_rows_of_one_item_agree_on_how_many_are_in_stock(small, faults_of):
    small["lumber"][1]["in_stock"] = "5"
    assert codes(faults_of(small)) == {"/lumber/1/in_stock": "stock-disagrees"}


def test_a_book_without_a_supplier_is_told(small, faults_of):
    small["suppliers"] = []
    assert codes(faults_of(small)) == {"/suppliers": "no-rows"}


def test_a_book_with_too_many_suppliers_is_told(small, faults_of):
    small["suppliers"] += [{"name": f"Yard {number}"} for number in range(MAX_SUPPLIERS)]
    assert codes(faults_of(small)) == {"/suppliers": "too-many-rows"}


def test_a_supplier_with_a_faulty_price_is_still_a_known_supplier(small, faults_of):
    small["suppliers"][1]["trip"] = "x"
    assert codes(faults_of(small)) == {"/suppliers/1/trip": "not-a-number"}


def test_a_usual_section_of_a_row_with_another_fault_is_still_sold(small, faults_of):
    small["lumber"][2]["price"] = "x"
    assert codes(faults_of(small)) == {"/lumber/2/price": "not-a-number"}


def test_a_book_may_sell_no_hardware_and_no_supplies(small):
    small["hardware"] = small["supplies"] = []
    assert read_json("small", small).hardware == ()
