"""The command `compare`, used as in a terminal."""

import csv
import io
import json
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from sawbill.cli.commands.compare import CRITERIA as TOLD
from sawbill.cli.main import main
from sawbill.cli.output.ending import INPUT, NO, USAGE
from sawbill.quoting.comparing.criteria import CRITERIA
from sawbill.quoting.comparing.grid import MOST_ROWS, MOST_SWEPT
from sawbill.store.kept.jobs import MOST_OPEN, MOST_ROWS_KEPT
from sawbill.web.app import create_app
from sawbill.web.reckoning.comparisons import MOST_AT_ONCE
from sawbill.web.routes.jobs import HOURS
from sawbill.web.written.guide import pages

BEDS = ("compare", "low-platform", "bench", "--set", "mattress=twin,queen")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def test_a_comparison_as_json_has_the_bytes_of_the_service() -> None:
    result = run(
        *BEDS, "--prices", "sample-inch", "--prices", "sample-metric", "--quantity", "1,2", "--sort", "-total",
        "--judge-by", "total,boards", "--baseline", "0", "--most", "boards=40", "--least", "total=1",
        "--ceiling", "8 ft", "--grades", "No.2,C24,fifths", "--format", "json",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    address = (
        "/v1/comparisons?designs=low-platform,bench&mattress=twin,queen&price_book=sample-inch,sample-metric"
        "&quantity=1,2&sort=-total&judge_by=total,boards&baseline=0&most=boards:40&least=total:1&ceiling=8ft&grades=No.2,C24,fifths"
    )
    assert result.stdout_bytes == create_app().test_client().get(address).data


def test_the_help_names_every_criterion() -> None:
    assert TOLD.split(", ") == [*CRITERIA]


def test_a_comparison_comes_from_standard_input_and_goes_to_a_workbook(tmp_path: Path) -> None:
    file = tmp_path / "benches.xlsx"
    asked = {"designs": ["bench"], "price_books": ["sample-metric"], "quantities": [1, 2]}
    words = ["compare", "--request", "-", "--sort", "-total", "-o", str(file)]
    assert CliRunner().invoke(main, words, input=json.dumps(asked)).exit_code == 0
    sheet = openpyxl.load_workbook(file)["comparison"]
    assert [row[0].value for row in sheet.iter_rows(min_row=2)] == [1, 0]
    faulty = CliRunner().invoke(
        main, words, input=json.dumps({**asked, "designs": ["bnch"], "filter": {"x": {"most": "1"}}})
    )
    assert faulty.exit_code == INPUT
    assert "standard input, /designs/0: " in faulty.stderr and "standard input, /filter/x" in faulty.stderr


def test_a_comparison_as_csv_has_a_row_each() -> None:
    result = run("compare", "bench", "--quantity", "1,4", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert [(row["design"], row["quantity"], row["price_book"]) for row in rows] == [
        ("bench", "1", "sample-inch"), ("bench", "4", "sample-inch"),
    ]  # fmt: skip


def test_a_comparison_in_a_table_says_how_many_rows_have_no_quote() -> None:
    result = run("compare", "low-platform", "--set", "mattress=twin,no such size")
    assert result.exit_code == 0
    assert "2 of 2 rows; 1 have no quote." in result.stdout
    assert "no mattress size" in result.stdout


def test_no_quote_in_a_whole_comparison_is_the_answer_no() -> None:
    assert run("compare", "low-platform", "--set", "mattress=no such size").exit_code == NO


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["low-platfrm"], "did you mean low-platform?"),
        (["bench", "--set", "lenth=40 in"], "did you mean length?"),
        (["bench", "--set", "length"], "--set length: write it as NAME=VALUE"),
        (["bench", "--sort", "totl"], "did you mean total?"),
        (["bench", "--quantity", "1,x"], "it must be a whole number"),
        (["bench", "--most", "total"], "--most total: write it as NAME=VALUE"),
        (["bench", "--most", "total=few"], "write a plain number"),
        (["bench", "--baseline", "7"], "0 to 0"),
        (["bench", "--cieling", "8 ft"], "--ceiling"),
        (["bench", "--prices", "sample-inc"], "did you mean sample-inch"),
    ],
)
def test_a_faulty_request_says_what_would_be_right(words: list[str], told: str) -> None:
    result = run("compare", *words)
    assert result.exit_code == USAGE
    assert told in result.output


def test_nothing_but_the_rows_is_printed_where_there_is_no_terminal() -> None:
    result = run("compare", "bench", "--quantity", "1,2,3,4,5,6", "--format", "json")
    assert result.stderr == ""
    assert json.loads(result.stdout)["counts"]["rows"] == 6


def test_the_limits_of_the_guide_are_those_that_hold() -> None:
    told = " ".join(pages()["comparing"].source.split())
    assert f"Up to {MOST_AT_ONCE} rows are sent at once. Up to {MOST_ROWS} come one by one" in told
    assert f"The result is kept for {HOURS} hours" in told
    assert f"Up to {MOST_SWEPT:,} are made as a job" in told
    assert f"{MOST_OPEN} jobs waiting or running, and {MOST_ROWS_KEPT:,} rows in jobs that are still kept" in told
