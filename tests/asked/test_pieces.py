import pytest

from sawbill.asked.lines import MOST_PARTS, MOST_QUANTITY, OwnPart
from sawbill.asked.pieces import read_pieces_file
from sawbill.asked.request import RequestFaultsError
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section

HEADER = "name,section,length,quantity"
ROW = "leg,2x4,28 1/2 in,4"
LEG = OwnPart("leg", section("2x4"), 57 * INCH // 2, 4)


@pytest.fixture
def read(tmp_path, inch):
    """Read the pieces of a file of this text."""

    def pieces(text, **asked):
        path = tmp_path / "cuts.csv"
        path.write_text(text)
        return read_pieces_file(path, inch, asked)

    return pieces


@pytest.fixture
def faults(read):
    """The faults of a file of this text, as (line, column, code)."""

    def told(text):
        with pytest.raises(BookFaultsError) as error:
            read(text)
        return [(fault.line, fault.column, fault.code) for fault in error.value.faults]

    return told


def test_pieces_are_one_line_of_own_parts(read):
    request = read(f"{HEADER}\n{ROW}\n\nshelf,1x8,30 in,2\n", units="metric")
    assert request.units == "metric"
    (line,) = request.lines
    assert line.design is None and line.quantity == 1
    assert line.parts == (LEG, OwnPart("shelf", section("1x8"), 30 * INCH, 2))


def test_a_least_length_may_be_given_for_some(read):
    request = read(f"{HEADER},shortest\n{ROW},\nleg,2x4,28 1/2 in,4,28 in\n")
    assert [part.least for part in request.lines[0].parts] == [None, 28 * INCH]


def test_the_species_and_grades_that_will_do_may_be_named_for_some(read):
    request = read(f"{HEADER},grades,species\n{ROW},No.2 | No.1,SPF\n{ROW},,\n")
    assert [(part.species, part.grades) for part in request.lines[0].parts] == [(("SPF",), ("No.2", "No.1")), ((), ())]


def test_a_species_that_is_none_is_told_with_its_column(faults):
    text = f"{HEADER},species,grades\n{ROW},SPF | Oakum,No.1 |\n"
    assert sorted(faults(text)) == [(2, "grades", "missing-value"), (2, "species", "unknown-name")]


def test_columns_may_come_in_any_order_and_with_semicolons(read):
    assert read("quantity;length;section;name\n4;28 1/2 in;2x4;leg\n").lines[0].parts == (LEG,)


def test_every_fault_is_told_with_its_line_and_column(faults):
    text = (
        f"{HEADER},shortest\n"
        f"{ROW},29 in\n"
        ",2x5000,28 1/2,0,\n"
        "leg,2x4,1 km,four,\n"
        "leg,,,,\n"
        "leg,2x4,30 in\n"
        f"{ROW},\n"
        'leg,2x4,"1,5 m",1,28\n'
    )
    assert sorted(faults(text)) == [
        (2, "shortest", "out-of-range"),
        (3, "length", "not-a-length"),
        (3, "name", "missing-value"),
        (3, "quantity", "out-of-range"),
        (3, "section", "unknown-section"),
        (4, "length", "out-of-range"),
        (4, "quantity", "not-a-whole-number"),
        (5, "length", "missing-value"),
        (5, "quantity", "missing-value"),
        (5, "section", "missing-value"),
        (6, "", "wrong-cell-count"),
        (8, "length", "not-a-length"),
        (8, "shortest", "not-a-length"),
    ]


def test_a_fault_says_its_value_once_and_what_would_be_right(read):
    with pytest.raises(BookFaultsError) as error:
        read(f"{HEADER}\nleg,2x5000,30,4\n")
    lines = [fault.within("cuts.csv") for fault in error.value.faults]
    assert lines[0].startswith("cuts.csv, line 2, section: there is no section '2x5000'")
    assert lines[1].startswith('cuts.csv, line 2, length: length is "30": ')
    assert "write a number and its unit" in lines[1]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", [(1, "", "missing-header")]),
        (f"{ROW}\n", [(1, "", "missing-header")]),
        (f"{HEADER}\n", [(None, "", "no-rows")]),
        (f"{HEADER}\n,,,\n", [(None, "", "no-rows")]),
        ("name,section,lenght,quantity\nleg,2x4,30 in,4\n",
         [(1, "lenght", "unknown-column"), (1, "length", "missing-column")]),
        (f"{HEADER}\n{ROW}\nleg,2x4,\"30 in,4\n", [(3, "", "broken-row")]),
        (f"{HEADER}\nleg\0,2x4,30 in,4\n", [(2, "name", "control-character")]),
    ],
)  # fmt: skip
def test_a_file_that_is_no_table_of_pieces_is_told_once(faults, text, expected):
    assert faults(text) == expected


@pytest.mark.parametrize("quantity", [1, MOST_QUANTITY])
def test_a_quantity_is_taken_at_its_limits(read, quantity):
    assert read(f"{HEADER}\nleg,2x4,30 in,{quantity}\n").lines[0].parts[0].quantity == quantity


@pytest.mark.parametrize("quantity", [0, MOST_QUANTITY + 1, 10**30])
def test_a_quantity_beyond_its_limits_is_refused(faults, quantity):
    assert faults(f"{HEADER}\nleg,2x4,30 in,{quantity}\n") == [(2, "quantity", "out-of-range")]


def test_rows_may_be_as_many_as_the_parts_of_a_request(read, faults):
    assert len(read(HEADER + f"\n{ROW}" * MOST_PARTS).lines[0].parts) == MOST_PARTS
    assert faults(HEADER + f"\n{ROW}" * (MOST_PARTS + 1)) == [(MOST_PARTS + 2, "", "too-many-rows")]


def test_a_fault_of_the_rest_of_the_request_is_not_the_file_s(read):
    with pytest.raises(RequestFaultsError) as error:
        read(f"{HEADER}\n{ROW}\n", units="feet")
    assert [fault.pointer for fault in error.value.faults] == [("units",)]
