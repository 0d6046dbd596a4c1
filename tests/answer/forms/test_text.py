"""Aligned text for terminals."""

import re

from sawbill.answer.forms.text import quote_text, table_text
from sawbill.answer.tables import TABLES


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
    several = len(answer["lines"]) > 1
    for table in TABLES.values():
        expected = bool(table.rows(answer)) and not (several and table.name == "cut-list")
        assert (table.title in told.splitlines()) == expected
    assert f"Amounts in {answer['price_book']['currency']}" in told
    assert f"Lumber cost {answer['proof']['status'].replace('_', ' ')}" in told
    assert all(len(line) == len(line.rstrip()) for line in told.splitlines())


def test_of_several_lines_each_has_its_own_cut_list_under_its_name_and_share(hostile):
    told = quote_text(hostile).splitlines()
    shares = [share["total"] for share in hostile["shares"]]
    labels = [line["label"] for line in hostile["lines"]]
    heads = [told.index(f"{each}: its share is USD {share}") for each, share in zip(labels, shares, strict=True)]
    letters = [[row["part"] for row in hostile["cut_list"] if row["line"] == line] for line in (0, 1)]
    for head, own in zip(heads, letters, strict=True):
        assert [row.split()[0] for row in told[head + 2 : head + 2 + len(own)]] == own
    assert not {*letters[0]} & {*letters[1]}, "every part has a letter of its own"


def test_a_reader_of_inches_is_told_no_metric_measure(bed):
    told = quote_text(bed)
    assert not re.search(r"\d (mm|kg|m2|ml)\b", told.replace("20 kg", ""))
    assert " lb, the longest" in told and "fl oz" in told and "sq ft" in str(bed["steps"])


def test_sources_are_listed_once_and_checks_have_their_numbers(bed):
    told = quote_text(bed)
    for number, source in enumerate(dict.fromkeys(check["source"] for check in bed["checks"]), 1):
        assert sum(line.endswith(f"  {source}") for line in told.splitlines()) == 1 and f"[{number}]" in told


def test_text_of_several_lines_stays_in_one_row(bed):
    steps = [{**bed["steps"][0], "title": "first\nsecond"}]
    assert len(table_text(TABLES["steps"], {**bed, "steps": steps}).splitlines()) == 3
