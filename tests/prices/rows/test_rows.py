from decimal import Decimal
from fractions import Fraction

import pytest

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import content
from sawbill.trade.lengths import INCH
from sawbill.trade.quantities import PriceUnit, parse_quantity


def test_a_row_of_lumber_is_read_whole(small):
    offer = next(o for o in read_json("small", small).lumber if o.item_code == "007")
    assert (offer.supplier, offer.species, offer.grade) == ("Yard B", "Hem-Fir", "No.2")
    assert (offer.section.name, offer.section.thickness, offer.section.width) == (
        "2x6",
        3 * INCH // 2,
        5 * INCH + 7 * INCH // 16,
    )
    assert (offer.length, offer.measured_length) == (120 * INCH, 120 * INCH + INCH // 2)
    assert (offer.price, offer.per, offer.least_quantity, offer.in_stock) == (
        Decimal("0.845"),
        PriceUnit.BOARD_FOOT,
        1,
        6,
    )


# Board feet are nominal inches times nominal inches times feet over 12: 2x6x10 is 10 board feet.
@pytest.mark.parametrize(
    ("price", "per", "each"),
    [
        ("4.28", "each", 428),
        ("0.845", "board foot", 845),
        ("0.8455", "ft", 846),
        ("2.5", "m", 762),
        ("900", "m3", 1460),
    ],
)
def test_a_board_is_priced_by_its_stated_size_rounded_half_up(small, price, per, each):
    small["lumber"][2] |= {"price": price, "per": per}
    assert next(o for o in read_json("small", small).lumber if o.item_code == "007").each == each


def test_a_measured_length_like_the_stated_one_says_nothing_new(small):
    small["lumber"][2]["measured_length"] = "120 in"
    assert next(o for o in read_json("small", small).lumber if o.item_code == "007").measured_length is None


@pytest.mark.parametrize(("text", "held"), [("c24", "C24"), ("T2", "T2"), ("Sorted", "sorted"), ("", None)])
def test_a_board_is_as_strong_as_its_row_tells_where_it_does(small, text, held):
    plain = read_json("small", small)
    small["lumber"][2]["design_values"] = text
    book = read_json("small", small)
    assert [o.design_values for o in book.lumber if o.item_code == "007"] == [held]
    assert (book.revision == plain.revision) == (held is None), "a book that says nothing keeps its revision"


@pytest.mark.parametrize(("text", "treated"), [("yes", True), ("no", False), ("", False)])
def test_a_board_is_treated_where_its_row_says_so(small, text, treated):
    plain = read_json("small", small)
    small["lumber"][2]["treated"] = text
    book = read_json("small", small)
    assert [o.treated for o in book.lumber if o.item_code == "007"] == [treated]
    assert (book.revision == plain.revision) == (not treated), "a book that says nothing keeps its revision"
    assert read_json("small", content(book)) == book


def test_names_of_the_trade_are_read_in_any_common_spelling(small):
    small["lumber"][2] |= {"section": "2 X 6", "species": "hem fir", "grade": "#2", "per": "Board foot"}
    small["hardware"][0] |= {"item": "Hex bolt", "size": '3/8"', "length": "127 mm"}
    book = read_json("small", small)
    assert [(o.section.name, o.species, o.grade) for o in book.lumber if o.item_code == "007"] == [
        ("2x6", "Hem-Fir", "No.2")
    ]
    assert [(o.item, o.size, o.length) for o in book.hardware if o.item_code == "B-1"] == [
        ("hex bolt", "3/8 in", 5 * INCH)
    ]


def test_supplies_are_counted_in_millilitres_grams_or_pieces(small):
    small["supplies"].append(
        {"supplier": "Yard B", "item_code": "F-1", "item": "wood filler", "amount": "1/2 lb", "price": "3"}
    )
    held = {o.item: (o.amount, o.dimension, o.label) for o in read_json("small", small).supplies}
    assert held == {
        # One US fluid ounce is 29.5735295625 ml (the gallon is 231 cubic inches).
        "wood glue": (8 * Fraction("29.5735295625"), "volume", "8 fl oz"),
        "sandpaper": (Fraction(5), "count", "5"),
        "wood filler": (parse_quantity("0.5 lb", "mass"), "mass", "1/2 lb"),
    }


def test_a_supplier_with_nothing_told_costs_no_trip_and_does_not_deliver(small):
    small["suppliers"][1] = {"name": "Yard B"}
    supplier = read_json("small", small).suppliers[1]
    assert (supplier.trip, supplier.delivery, supplier.minimum_order, supplier.tax_rate) == (0, None, 0, None)


@pytest.mark.parametrize(
    ("table", "row", "column", "value", "code"),
    [
        ("suppliers", 0, "name", "", "missing-value"),
        ("suppliers", 0, "trip", "-6", "not-positive"),
        ("suppliers", 0, "trip", "6,00", "decimal-comma"),
        ("suppliers", 0, "delivery", "12.50 EUR", "mixed-currency"),
        ("suppliers", 0, "tax_rate", "8.25", "not-a-rate"),
        ("lumber", 2, "supplier", "Yard C", "unknown-supplier"),
        ("lumber", 2, "item_code", "x" * 41, "too-long"),
        ("lumber", 2, "section", "2x44", "unknown-section"),
        ("lumber", 2, "species", "balsam", "unknown-species"),
        ("lumber", 2, "grade", "No.9", "unknown-grade"),
        ("lumber", 2, "length", "10", "not-a-length"),
        ("lumber", 2, "length", "1 km", "out-of-range"),
        ("lumber", 2, "length", "0 in", "out-of-range"),
        ("lumber", 2, "price", "0", "not-positive"),
        ("lumber", 2, "price", "nan", "not-a-number"),
        ("lumber", 2, "price", "1" + "0" * 150, "too-large"),
        ("lumber", 2, "price", "12.50 EUR", "mixed-currency"),
        ("lumber", 2, "price", "0.0001", "rounds-to-nothing"),
        ("lumber", 0, "price", "4.285", "too-many-decimals"),
        ("lumber", 2, "per", "furlong", "unknown-per"),
        ("lumber", 2, "least_quantity", "0", "out-of-range"),
        ("lumber", 2, "in_stock", "-1", "not-a-whole-number"),
        ("lumber", 2, "in_stock", "many", "not-a-whole-number"),
        ("lumber", 2, "measured_thickness", "38 in", "out-of-range"),
        ("lumber", 2, "measured_width", "3 in", "out-of-range"),
        ("lumber", 2, "measured_length", "8 ft", "out-of-range"),
        ("lumber", 2, "treated", "UC4A", "not-a-flag"),
        ("lumber", 2, "design_values", "strong", "unknown-design-values"),
        ("lumber", 2, "design_values", "No.2", "unknown-design-values"),
        ("hardware", 0, "item", "hex bolts", "unknown-item"),
        ("hardware", 0, "size", "7/16 in", "unknown-size"),
        ("hardware", 0, "size", "", "missing-value"),
        ("hardware", 0, "length", "", "missing-value"),
        ("hardware", 0, "length", "2 m", "out-of-range"),
        ("hardware", 0, "pack", "0", "out-of-range"),
        ("hardware", 0, "pack", "", "missing-value"),
        ("hardware", 1, "size", "#8", "not-used"),
        ("hardware", 2, "length", "1 in", "not-used"),
        ("hardware", 0, "price", "5.405", "too-many-decimals"),
        ("supplies", 0, "item", "wod glue", "unknown-item"),
        ("supplies", 0, "amount", "8", "not-a-volume"),
        ("supplies", 0, "amount", "8 oz", "not-a-volume"),
        ("supplies", 0, "amount", "0 ml", "out-of-range"),
        ("supplies", 0, "amount", "10000 gal", "out-of-range"),
        ("supplies", 1, "amount", "5 ml", "not-a-whole-number"),
        ("supplies", 0, "price", "5.29 £", "mixed-currency"),
        ("supplies", 0, "item_code", "G\x001", "control-character"),
    ],
)
def test_a_cell_at_fault_is_the_one_fault_told(small, faults_of, table, row, column, value, code):
    small[table][row][column] = value
    told = faults_of(small)
    assert [(pointer, found) for pointer, (found, _) in told.items()] == [(f"/{table}/{row}/{column}", code)]


def test_a_metric_section_has_no_price_by_the_board_foot_whatever_else_is_wrong(small, faults_of):
    small["usual_sections"]["rail"] = "2x4"
    small["lumber"][2] |= {"section": "45x145", "price": "x", "length": "y", "measured_width": ""}
    assert {pointer: code for pointer, (code, _) in faults_of(small).items()} == {
        "/lumber/2/length": "not-a-length",
        "/lumber/2/price": "not-a-number",
        "/lumber/2/per": "wrong-unit",
    }


def test_every_faulty_cell_of_a_row_is_told_with_its_value(small, faults_of):
    wrong = {
        "supplier": "?",
        "section": "9x9",
        "species": "cheese",
        "grade": "best",
        "length": "long",
        "price": "dear",
        "per": "lot",
        "least_quantity": "few",
        "in_stock": "some",
        "measured_thickness": "thin",
        "measured_width": "wide",
        "measured_length": "short",
        "treated": "wet",
    }
    small["usual_sections"]["rail"] = "2x4"
    small["lumber"][2] |= wrong
    told = faults_of(small)
    assert {pointer.rpartition("/")[2]: value for pointer, (_, value) in told.items()} == wrong
