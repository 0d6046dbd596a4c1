"""Aligned text for terminals."""

from sawbill.answer.tables import TABLES
from sawbill.answer.text import quote_text, table_text


def test_columns_are_aligned_numbers_to_the_right(bed):
    title, header, *rows = table_text(TABLES["cut-list"], bed).splitlines()
    assert title == "Cut list"
    at = header.index("name")
    assert [row[at:].startswith(line["name"]) for row, line in zip(rows, bed["cut_list"], strict=True)]
    end = header.index("quantity") + len("quantity")
    assert [int(row[:end].split()[-1]) for row in rows] == [line["quantity"] for line in bed["cut_list"]]


def test_columns_without_a_cell_are_left_out_and_a_table_without_rows_says_so(bed):
    assert "ripped" not in table_text(TABLES["cut-list"], bed)
    ripped = [{**bed["cut_list"][0], "ripped": {"mm": 38.1, "text": "1 1/2 in"}}]
    assert "ripped" in table_text(TABLES["cut-list"], {**bed, "cut_list": ripped})
    assert table_text(TABLES["near-misses"], {**bed, "near_misses": []}) == "Savings by cutting shorter\n  none"


def test_a_whole_quote_is_its_tables_that_have_rows(answer):
    told = quote_text(answer)
    for table in TABLES.values():
        assert (table.title in told.splitlines()) == bool(table.rows(answer))
    assert f"Amounts in {answer['price_book']['currency']}" in told
    assert f"Lumber cost {answer['proof']['status'].replace('_', ' ')}" in told
    assert all(len(line) == len(line.rstrip()) for line in told.splitlines())


def test_text_of_several_lines_stays_in_one_row(bed):
    steps = [{**bed["steps"][0], "title": "first\nsecond"}]
    assert len(table_text(TABLES["steps"], {**bed, "steps": steps}).splitlines()) == 3
