import pytest

from sawbill.prices.rows.faults import MAX_FAULTS, BookFaultsError, Fault, Faults, shown


def test_a_fault_of_a_file_names_file_line_column_value_and_remedy():
    fault = Fault("lumber", "not-positive", "write a price above zero", "price", "0", line=12)
    assert str(fault) == "lumber.csv, line 12, price: '0': write a price above zero"


def test_a_fault_of_a_setting_is_in_the_toml_file():
    fault = Fault("book", "not-a-length", "write a length", "shop.kerf", "3", line=20)
    assert str(fault) == "book.toml, line 20, shop.kerf: '3': write a length"
    assert fault.pointer == "/shop/kerf"


@pytest.mark.parametrize(
    ("fault", "pointer"),
    [
        (Fault("lumber", "c", "r", "price", row=3), "/lumber/3/price"),
        (Fault("lumber", "c", "r", row=3), "/lumber/3"),
        (Fault("lumber", "c", "r"), "/lumber"),
        (Fault("book", "c", "r", "title"), "/title"),
        (Fault("book", "c", "r"), ""),
        (Fault("book", "c", "r", "usual_sections.end_board"), "/usual_sections/end_board"),
        (Fault("book", "c", "r", "tax.rate"), "/tax.rate"),
        (Fault("lumber", "c", "r", "shop.kerf", row=0), "/lumber/0/shop.kerf"),
        (Fault("lumber", "c", "r", "a/b~c", row=0), "/lumber/0/a~1b~0c"),
    ],
)
def test_a_fault_of_json_has_a_pointer(fault, pointer):
    assert fault.pointer == pointer


def test_faults_are_told_in_the_order_of_the_tables_and_lines():
    faults = Faults()
    for table, line in (("supplies", 2), ("lumber", 9), ("lumber", 3), ("book", 4)):
        faults.add(Fault(table, "c", "r", line=line))
    with pytest.raises(BookFaultsError) as error:
        faults.raise_if_any()
    assert [(f.table, f.line) for f in error.value.faults] == [
        ("book", 4),
        ("lumber", 3),
        ("lumber", 9),
        ("supplies", 2),
    ]


def test_reading_stops_at_the_most_faults_and_says_so_last():
    faults = Faults()
    with pytest.raises(BookFaultsError) as error:
        for line in range(MAX_FAULTS * 2):
            faults.add(Fault("lumber", "c", "r", line=line))
    assert len(error.value.faults) == MAX_FAULTS + 1
    assert error.value.faults[-1].code == "too-many-faults"


def test_no_fault_raises_nothing():
    Faults().raise_if_any()


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ("4,28", "4,28"),
        ("a\x00\nb", "a\\x00\\nb"),
        ("\ud800", "\\ud800"),
        ("x" * 61, "x" * 60 + " …"),
        ("x" * 60, "x" * 60),
    ],
)
def test_a_value_is_shown_short_and_printable(value, text):
    assert shown(value) == text
