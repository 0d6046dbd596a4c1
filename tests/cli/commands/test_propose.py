"""`sawbill propose`: the forms that a proposal is written in."""

import csv
import io
import json

import openpyxl
import pytest
from click.testing import CliRunner

from sawbill.cli.main import main

ASKED = ("propose", "slatted-bed", "--set", "mattress=twin", "--open", "rail=2x6,2x8", "--most", "mass=60 kg")


def told(*words):
    """Run the command, and give what it writes."""
    answer = CliRunner().invoke(main, [*ASKED, *words])
    assert answer.exit_code == 0, answer.output
    return answer.stdout


@pytest.fixture(scope="module")
def answer():
    return json.loads(told("--format", "json"))


def test_csv_is_the_best_a_row_each(answer):
    rows = list(csv.DictReader(io.StringIO(told("--format", "csv"))))
    assert [(row["total"], row["option_rail"]) for row in rows] == [
        (row["total"], row["options"]["rail"]) for row in answer["proposals"]
    ]


def test_a_workbook_has_all_that_the_answer_has(answer, tmp_path):
    told("--output", str(tmp_path / "best.xlsx"))
    book = openpyxl.load_workbook(tmp_path / "best.xlsx")
    assert book.sheetnames == ["proposals", "trade-off", "wishes", "proof"]
    for name, key in (("proposals", "proposals"), ("trade-off", "trade_off"), ("wishes", "wishes")):
        assert book[name].max_row == 1 + len(answer[key])
    [names, cells] = book["proof"].iter_rows(values_only=True)
    proof = {name: {"yes": True, "no": False}.get(cell, cell) for name, cell in zip(names, cells, strict=True)}
    assert proof == answer["proof"]


def test_a_page_is_the_services(answer):
    refused = CliRunner().invoke(main, [*ASKED, "--format", "html"])
    assert refused.exit_code == 2 and "a proposal is written as text, csv, xlsx or json" in refused.output
