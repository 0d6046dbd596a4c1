"""The command `compare`, used as in a terminal."""

import csv
import io
import json

import pytest
from click.testing import CliRunner, Result

from sawbill.cli import main
from sawbill.web.app import create_app

BEDS = ("compare", "low-platform", "slatted-bed", "--set", "mattress=twin,queen")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def test_a_comparison_as_json_is_the_same_as_over_http() -> None:
    result = run(
        *BEDS, "--prices", "sample-inch", "--prices", "sample-metric", "--quantity", "1,2", "--sort", "-total",
        "--judge-by", "total,boards", "--baseline", "0", "--most", "boards=40", "--least", "total=1",
        "--site", "ceiling=8 ft", "--format", "json",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    address = (
        "/v1/comparisons?designs=low-platform,slatted-bed&mattress=twin,queen&price_book=sample-inch,sample-metric"
        "&quantity=1,2&sort=-total&judge_by=total,boards&baseline=0&most=boards:40&least=total:1&ceiling=8ft"
    )
    assert json.loads(result.stdout) == create_app().test_client().get(address).json


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
    assert run("compare", "low-platform", "--set", "mattress=no such size").exit_code == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["low-platfrm"], "did you mean low-platform?"),
        (["bench", "--set", "lenth=40 in"], "did you mean length?"),
        (["bench", "--set", "length"], "OPTION=VALUE,..."),
        (["bench", "--sort", "totl"], "did you mean total?"),
        (["bench", "--quantity", "1,x"], "a whole number from 1 to 1000"),
        (["bench", "--most", "total"], "CRITERION=NUMBER"),
        (["bench", "--most", "total=few"], "write a plain number"),
        (["bench", "--baseline", "7"], "0 to 0"),
        (["bench", "--site", "cieling=8 ft"], "did you mean ceiling?"),
        (["bench", "--prices", "sample-inc"], "did you mean sample-inch"),
    ],
)
def test_a_faulty_request_says_what_would_be_right(words: list[str], told: str) -> None:
    result = run("compare", *words)
    assert result.exit_code == 2
    assert told in result.output


def test_nothing_but_the_rows_is_printed_where_there_is_no_terminal() -> None:
    result = run("compare", "bench", "--quantity", "1,2,3,4,5,6", "--format", "json")
    assert result.stderr == ""
    assert json.loads(result.stdout)["counts"]["rows"] == 6
