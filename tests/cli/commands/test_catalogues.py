"""The commands that list what there is to ask for, used as in a terminal."""

import csv
import io
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from sawbill.cli.main import main
from sawbill.cli.output.ending import USAGE
from sawbill.web.app import create_app


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.mark.parametrize(
    ("words", "address"),
    [
        (("designs",), "/v1/designs.json"),
        (("options", "bench"), "/v1/designs/bench?price_book=sample-inch"),
        (("options", "loft-bed", "--prices", "sample-metric"), "/v1/designs/loft-bed?price_book=sample-metric"),
        (("lumber", "--units", "inch"), "/v1/lumber.json?units=inch"),
        (("mattresses",), "/v1/mattresses.json"),
        (("fasteners", "--units", "metric"), "/v1/fasteners.json?units=metric"),
    ],
)
def test_a_list_as_json_has_the_bytes_of_the_service(words: tuple[str, ...], address: str) -> None:
    assert run(*words, "--format", "json").stdout_bytes == create_app().test_client().get(address).data


def test_the_options_of_a_design_have_ranges_words_and_the_defaults_of_the_price_book() -> None:
    found = {
        book: {row["name"]: row for row in csv.DictReader(io.StringIO(
            run("options", "bench", "--prices", book, "--format", "csv").stdout
        ))}
        for book in ("sample-inch", "sample-metric")
    }  # fmt: skip
    inch, metric = found["sample-inch"], found["sample-metric"]
    assert (inch["length"]["default"], inch["length"]["least"], inch["length"]["most"]) == ("48 in", "16 in", "96 in")
    assert metric["length"]["least"].endswith(" mm")
    assert inch["rail"]["default"] == "2x6" and metric["rail"]["default"] != "2x6"
    assert inch["middle_legs"]["choices"] == "auto, none" and inch["back"]["default"] == "no"


def test_a_list_goes_to_a_file_in_the_form_that_its_name_ends_with(tmp_path: Path) -> None:
    page, book = tmp_path / "options.html", tmp_path / "options.xlsx"
    for file in (page, book):
        assert run("options", "bench", "-o", str(file)).output == ""
    assert "<td>seat_gap</td>" in page.read_text() and "href" not in page.read_text().replace('href="data:,"', "")
    assert openpyxl.load_workbook(book).sheetnames == ["options"]


def test_a_design_that_there_is_not_is_answered_with_the_nearest() -> None:
    result = run("options", "bnch")
    assert result.exit_code == USAGE and "did you mean bench or workbench?" in result.output
