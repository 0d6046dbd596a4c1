import os

import pytest

from sawbill.prices.rows.csvtable import MAX_BYTES, MAX_ROWS, read_text, records
from sawbill.prices.rows.faults import BookFaultsError, Faults

HEADER = "supplier,item_code,item,amount,price"
ROW = "Yard A,G-1,wood glue,8 fl oz,5.29"


def read(text, table="supplies"):
    """Give the rows as texts with their lines, and the faults as (code, line, column)."""
    faults = Faults()
    rows = records(text, table, faults)
    try:
        faults.raise_if_any()
    except BookFaultsError as error:
        found = [(fault.code, fault.line, fault.column) for fault in error.faults]
    else:
        found = []
    return rows, found


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_may_end_in_any_way(end):
    rows, faults = read(f"{HEADER}{end}{ROW}{end}{ROW}{end}")
    assert not faults
    assert [row.line for row in rows] == [2, 3]
    assert rows[0].text("amount") == "8 fl oz"


def test_a_quoted_cell_may_hold_commas_and_quotes():
    rows, faults = read(f'{HEADER}\nYard A,"a ""b"", c",wood glue,8 fl oz,5.29\n')
    assert not faults
    assert rows[0].text("item_code") == 'a "b", c'


def test_a_file_with_semicolons_is_read_when_its_header_has_no_comma():
    rows, faults = read(f"{HEADER}\n{ROW}\n".replace(",", ";"))
    assert not faults
    assert rows[0].text("price") == "5.29"


def test_a_header_with_both_marks_is_read_with_commas():
    _, faults = read(f"{HEADER};x\n{ROW}\n")
    assert faults == [("unknown-column", 1, "price;x"), ("missing-column", 1, "price")]


def test_rows_of_empty_cells_are_left_out_and_lines_still_counted():
    rows, faults = read(f"{HEADER}\n,,,,\n\n   \n{ROW}\n")
    assert not faults
    assert [row.line for row in rows] == [5]


def test_columns_may_come_in_any_order():
    rows, _ = read("price,amount,item,item_code,supplier\n5.29,8 fl oz,wood glue,G-1,Yard A\n")
    assert rows[0].text("supplier") == "Yard A"


def test_every_fault_of_the_header_is_told():
    _, faults = read("suplier,item_code,item_code,item,amount\na,b,c,d,e\n")
    assert faults == [
        ("unknown-column", 1, "suplier"),
        ("duplicate-column", 1, "item_code"),
        ("missing-column", 1, "supplier"),
        ("missing-column", 1, "price"),
    ]


@pytest.mark.parametrize("text", ["", "\n\n", ROW, "\x00\x01\x02", "supplier\titem_code\titem\tamount\tprice\n"])
def test_a_file_without_a_header_is_told_the_columns(text):
    rows, faults = read(text)
    assert rows is None
    assert faults == [("missing-header", 1, "")]


@pytest.mark.parametrize("row", ["Yard A,G-1,wood glue,8 fl oz,5,29", "Yard A,G-1"])
def test_a_row_of_too_many_or_too_few_cells_is_one_fault(row):
    _, faults = read(f"{HEADER}\n{row}\n{ROW}\n")
    assert faults == [("wrong-cell-count", 2, "")]


def test_a_line_break_in_a_cell_is_a_fault_on_the_line_the_row_starts():
    rows, faults = read(f'{HEADER}\nYard A,"G\n1",wood glue,8 fl oz,5.29\n{ROW}\n')
    assert faults == [("control-character", 2, "item_code")]
    assert [row.line for row in rows] == [2, 4]


def test_a_nul_is_a_fault_of_its_cell():
    _, faults = read(f"{HEADER}\n{ROW}\nYard A,G\x001,wood glue,8 fl oz,5.29\n")
    assert faults == [("control-character", 3, "item_code")]


@pytest.mark.parametrize("cell", ['"G-1', '"G"1', '"' + "x" * 200_000])
def test_a_quote_left_open_is_a_fault_of_its_row(cell):
    _, faults = read(f"{HEADER}\n{ROW}\nYard A,{cell},wood glue,8 fl oz,5.29\n")
    assert faults == [("broken-row", 3, "")]


def test_reading_stops_after_the_most_rows():
    rows, faults = read(HEADER + f"\n{ROW}" * (MAX_ROWS + 5))
    assert len(rows) == MAX_ROWS
    assert faults == [("too-many-rows", MAX_ROWS + 2, "")]


def file_faults(path):
    faults = Faults()
    text = read_text(path, "lumber", faults)
    assert text is None
    with pytest.raises(BookFaultsError) as error:
        faults.raise_if_any()
    return [(fault.code, fault.line, fault.value) for fault in error.value.faults]


def test_a_byte_order_mark_is_passed_over(tmp_path):
    (tmp_path / "lumber.csv").write_bytes(b"\xef\xbb\xbfsupplier\n")
    assert read_text(tmp_path / "lumber.csv", "lumber", Faults()) == "supplier\n"


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"a\nb\ncaf\xe9\n", ("wrong-encoding", 3, "byte 0xe9")),
        ("supplier\n".encode("utf-16"), ("wrong-encoding", 1, "byte 0xff")),
        (b"\xed\xa0\x80", ("wrong-encoding", 1, "byte 0xed")),
    ],
)
def test_another_encoding_is_a_fault_with_its_line(tmp_path, data, fault):
    (tmp_path / "lumber.csv").write_bytes(data)
    assert file_faults(tmp_path / "lumber.csv") == [fault]


def test_a_file_of_100_mb_is_refused_without_reading_it(tmp_path):
    path = tmp_path / "lumber.csv"
    path.touch()
    os.truncate(path, 100_000_000)
    assert file_faults(path) == [("file-too-large", None, "")]


def test_a_file_of_the_greatest_size_is_read(tmp_path):
    (tmp_path / "lumber.csv").write_bytes(b"x" * MAX_BYTES)
    assert len(read_text(tmp_path / "lumber.csv", "lumber", Faults())) == MAX_BYTES


def test_a_missing_file_is_told_the_nearest_there_is(tmp_path):
    (tmp_path / "lumbr.csv").touch()
    faults = Faults()
    read_text(tmp_path / "lumber.csv", "lumber", faults)
    with pytest.raises(BookFaultsError, match=r"did you mean lumbr\.csv"):
        faults.raise_if_any()


@pytest.mark.parametrize("make", [os.mkdir, os.mkfifo])
def test_what_is_no_plain_file_is_not_opened(tmp_path, make):
    make(tmp_path / "lumber.csv")
    assert file_faults(tmp_path / "lumber.csv") == [("missing-file", None, "")]
