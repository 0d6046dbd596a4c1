"""CSV as RFC 4180 has it, which Python's reader and a sheet read back."""

import csv
import io
import unicodedata
from decimal import Decimal

import pytest

from sawbill.answer.columns import plain
from sawbill.answer.forms.csvform import csv_bytes
from sawbill.answer.tables import TABLES
from sawbill.prices.rows.csvtable import guarded, unguarded


def read(data):
    return list(csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.name)
def test_every_table_is_read_back_cell_by_cell(table, answer):
    data = csv_bytes(table, answer)
    header, *rows = read(data)
    assert header == [column.name for column in table.columns]
    assert [[unguarded(cell) for cell in row] for row in rows] == [
        [plain(cell) for cell in row] for row in table.rows(answer)
    ]
    assert data.endswith(b"\r\n")


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.name)
def test_no_text_begins_as_a_formula_and_no_number_is_guarded(table, hostile):
    _, *rows = read(csv_bytes(table, hostile))
    for row in rows:
        for column, cell in zip(table.columns, row, strict=True):
            if column.kind == "text":
                assert cell[:1] not in tuple("=+-@\t\r＝＋－＠")  # noqa: RUF001 (meant)
            elif column.is_number and cell:
                assert Decimal(cell).is_finite()


def test_names_that_a_sheet_would_compute_stay_text(hostile):
    names = {row["name"] for row in csv.DictReader(io.StringIO(csv_bytes(TABLES["cut-list"], hostile).decode()))}
    assert {"'=1+2", "'+44 (0) 1", "'quoted"} <= names


@pytest.mark.parametrize("sign", "＝＋－＠")  # noqa: RUF001 (meant)
def test_a_wide_sign_is_guarded_as_its_narrow_one_is_and_comes_back(sign):
    """Unicode, Halfwidth and Fullwidth Forms: NFKC gives the sign of ASCII for each, which a sheet may do first."""
    assert unicodedata.normalize("NFKC", sign) in "=+-@"
    for text in (f"{sign}1+2", sign, f"'{sign}"):
        assert guarded(text) == f"'{text}"
        assert unguarded(guarded(text)) == text


def test_lines_end_in_crlf_but_for_those_within_quotes(bed):
    data = csv_bytes(TABLES["steps"], bed).decode()
    assert len(read(data.encode())) == len(bed["steps"]) + 1
    assert data.count("\r\n") == len(bed["steps"]) + 1


def test_a_mark_of_the_encoding_comes_only_where_it_is_asked_for(bed):
    table = TABLES["cut-list"]
    assert csv_bytes(table, bed, bom=True) == b"\xef\xbb\xbf" + csv_bytes(table, bed)
