"""The command line, used as in a terminal."""

import csv
import io
import json
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from sawbill.cli.main import main
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.forms import BY_SUFFIX, Form
from sawbill.prices.forms.workbook import write_workbook
from sawbill.prices.shelf import sample_folder
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def test_a_quote_in_tables_names_boards_cuts_checks_and_the_total() -> None:
    result = run("quote", "slatted-bed", "--set", "mattress=queen", "--prices", "sample-inch")
    assert result.exit_code == 0
    for word in (
        "Shopping list", "Cut list", "Cutting plan", "side rail", "2x6", "slat-gap", "total", "Lumber cost proven"
    ):  # fmt: skip
        assert word in result.output


def test_boards_need_not_hold_where_one_says_so() -> None:
    words = ("quote", "low-platform", "--set", "mattress=eu-80", "--format", "json")
    held, cheapest = (json.loads(run(*words, *more).output) for more in ((), ("--must-hold", "no")))
    assert held["holding"]["holds"] and not cheapest["holding"]["holds"]
    assert cheapest["totals"]["total"] == held["holding"]["cheapest_total"] < held["totals"]["total"]
    assert {each["rule"] for each in cheapest["checks"] if each["status"] == "fail"} == {"bending"}


def test_a_quote_as_json_is_the_same_as_over_http() -> None:
    result = run("quote", "slatted-bed", "--format", "json", "--prices", "sample-metric", "--quantity", "2")
    answer = json.loads(result.output)
    assert answer["price_book"]["name"] == "sample-metric"
    assert next(row for row in answer["cut_list"] if row["name"] == "side rail")["quantity"] == 4


def test_units_choose_how_lengths_are_printed() -> None:
    output = run("quote", "slatted-bed", "--prices", "sample-metric", "--units", "inch", "--format", "json").output
    assert all(row["length"]["text"].endswith(" in") for row in json.loads(output)["cut_list"])


def test_a_bed_is_held_against_its_site() -> None:
    output = run("quote", "slatted-bed", "--site", "ceiling=8 ft", "--site", "vehicle_length=4 ft").output
    assert "ceiling" in output and "<= 96 in" in output
    assert "Boards to fetch" in output and "A board to fetch is longer than the load space" in output


def test_only_the_lumber_that_will_do_is_bought() -> None:
    words = ("quote", "slatted-bed", "--species", "SPF,Hem-Fir", "--grades", "No.2, No.1", "--table", "shopping-list")
    rows = csv.DictReader(io.StringIO(run(*words, "--format", "csv").output))
    lumber = {(row["species"], row["grade"]) for row in rows if row["kind"] == "lumber"}
    assert lumber and lumber <= {(species, grade) for species in ("SPF", "Hem-Fir") for grade in ("No.2", "No.1")}
    refused = run("quote", "slatted-bed", "--grades", "No.22")
    assert refused.exit_code == 2 and "there is no grade 'No.22'; the nearest known are No.2" in refused.output


def test_every_faulty_option_is_named_and_nothing_is_quoted() -> None:
    result = run("quote", "slatted-bed", "--set", "slat_gap=1 km", "--set", "clear_hight=8 in")
    assert result.exit_code == 2
    assert "slat_gap is 1 km; it may be 1/2 in to 4 in" in result.output
    assert "no option clear_hight; did you mean clear_height?" in result.output


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--set", "mattress"), "write OPTION=VALUE"),
        (("--set", "rail=2x6", "--set", "rail=2x8"), "rail is set twice"),
        (("--site", "ceiling"), "write NAME=VALUE, such as --site ceiling='8 ft'"),
        (("--site", "celing=8 ft"), "did you mean ceiling?"),
        (("--site", "one_person=1 kg"), "one_person is 1 kg; it may be 5 kg to 100 kg"),
        (("--prices", "no-such-book"), "no-such-book is no folder"),
    ],
)
def test_a_faulty_word_is_said_with_what_would_do(words: tuple[str, ...], message: str) -> None:
    result = run("quote", "slatted-bed", *words)
    assert result.exit_code == 2
    assert message in result.output


def test_a_bed_the_book_has_no_board_for_is_answered_with_the_reason(tmp_path: Path) -> None:
    book = tmp_path / "short-boards"
    shutil.copytree(sample_folder() / "sample-inch", book)
    lumber = book / "lumber.csv"
    header, *rows = lumber.read_text().splitlines()
    lumber.write_text(
        "\n".join([header, *(row for row in rows if not (",2x6," in row and ",6 ft," not in row))]) + "\n"
    )
    lumber.write_text(lumber.read_text() + "Yard A,X-206-06,2x6,SPF,No.2,6 ft,4.00,each,,,,,\n")
    result = run("quote", "slatted-bed", "--prices", str(book))
    assert result.exit_code == 1
    assert "No stock is long enough for the 85 in side rail: the longest 2x6 is 72 in" in result.output


@pytest.fixture
def pieces(tmp_path: Path) -> Callable[..., str]:
    """A file of pieces with these rows."""

    def write(*rows: str) -> str:
        path = tmp_path / "cuts.csv"
        path.write_text("\n".join(("name,section,length,quantity,shortest", *rows)) + "\n")
        return str(path)

    return write


def test_a_plan_in_tables_names_boards_saw_stops_cuts_leftovers_and_the_total(pieces: Callable[..., str]) -> None:
    result = run("plan", pieces("leg,2x4,28 1/2 in,4,", "shelf,1x8,32 in,6,31 3/4 in", "rail,2x6,40 in,1,"))
    assert result.exit_code == 0
    titles = [line for line in result.output.splitlines() if line and not line.startswith(" ")]
    assert titles[:-2] == [
        "Shopping list", "Cut list", "Cutting plan", "Saw stops", "Left over, worth keeping", "A little shorter saves",
        "To know", "Costs",
    ]  # fmt: skip
    assert titles[-2] == "Amounts in USD, prices of sample-inch as of 2026-11-01."
    lines = [line.split() for line in result.output.splitlines()]
    assert ["1x8", "32", "in", "6", "B"] in lines, "the stop for the shelves, and how many"
    assert any(line[:6] == ["B", "32", "in", "31", "3/4", "in"] for line in lines), "what a little shorter saves"


def test_one_table_is_printed_alone_in_any_form() -> None:
    words = ("quote", "slatted-bed", "--prices", "sample-inch")
    text, data = (run(*words, "--table", "cut-list", "--format", form).output for form in ("table", "csv"))
    rows = json.loads(run(*words, "--table", "cut-list", "--format", "json").output)["rows"]
    assert text.splitlines()[0] == "Cut list"
    assert [row["part"] for row in csv.DictReader(io.StringIO(data))] == [row["part"] for row in rows]
    assert len(text.splitlines()) == len(rows) + 2


def test_csv_without_a_table_is_the_costs() -> None:
    rows = list(csv.DictReader(io.StringIO(run("quote", "slatted-bed", "--format", "csv").output)))
    total = next(row["amount"] for row in rows if row["cost"] == "total")
    assert sum(Decimal(row["adds"]) for row in rows if row["adds"]) == Decimal(total)


def test_a_plan_as_json_is_the_one_of_the_service(pieces: Callable[..., str]) -> None:
    result = run("plan", pieces("leg,2x4,28 1/2 in,4,"), "--format", "json", "--units", "metric")
    body = {"price_book": "sample-inch", "units": "metric"}
    piece = {"name": "leg", "section": "2x4", "length": "28 1/2 in", "quantity": 4}
    answer = create_app(Settings()).test_client().post("/v1/cutting-plans", json={**body, "pieces": [piece]})
    assert json.loads(result.output) == answer.json


def test_every_fault_of_the_pieces_is_printed_with_its_place(pieces: Callable[..., str]) -> None:
    file = pieces("leg,2x5000,28 1/2,4,", "shelf,1x8,32 in,0,33 in")
    result = run("plan", file, "--prices", "sample-inch")
    assert result.exit_code == 2
    for place in ("line 2, section", "line 2, length", "line 3, quantity", "line 3, shortest"):
        assert f"{file}, {place}: " in result.output


def test_a_file_of_pieces_that_is_not_there_is_a_faulty_request(tmp_path: Path) -> None:
    result = run("plan", str(tmp_path / "none.csv"))
    assert result.exit_code == 2
    assert "does not exist" in result.output


def test_pieces_the_book_has_no_board_for_are_answered_with_the_reason(pieces: Callable[..., str]) -> None:
    result = run("plan", pieces("ridge,2x6,20 ft,1,"))
    assert result.exit_code == 1
    assert "No stock is long enough for the 240 in ridge" in result.output


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_sample_book_has_no_faults(name: str) -> None:
    result = run("check-prices", name)
    assert result.exit_code == 0
    assert "no faults" in result.output


def test_every_fault_of_a_book_is_printed_with_its_place(tmp_path: Path) -> None:
    book = tmp_path / "my-shop"
    shutil.copytree(sample_folder() / "sample-inch", book)
    lumber = book / "lumber.csv"
    rows = lumber.read_text().splitlines()
    cells = rows[1].split(",")
    rows[1] = ",".join([*cells[:6], '"1,54"', *cells[7:]])
    rows[2] = rows[2].replace("1x2", "1x2.5")
    lumber.write_text("\n".join(rows) + "\n")
    result = run("check-prices", str(book))
    assert result.exit_code == 1
    assert "lumber.csv, line 2, price" in result.output
    assert "lumber.csv, line 3, section" in result.output


@pytest.mark.parametrize("form", BY_SUFFIX.values(), ids=lambda form: form.suffix)
def test_a_book_that_is_one_file_is_checked_and_quoted_from(tmp_path: Path, form: Form) -> None:
    book = read_folder(sample_folder() / "sample-inch")
    file = tmp_path / f"our-shop{form.suffix.upper()}"
    file.write_bytes(form.write(book))
    result = run("check-prices", str(file))
    assert result.exit_code == 0
    assert f"revision {book.revision}" in result.output
    file.write_bytes(form.write(book)[:-30])
    result = run("check-prices", str(file))
    assert result.exit_code == 1
    assert "it cannot be opened; give" in result.output and "book.toml" not in result.output


def test_faults_of_a_workbook_are_printed_with_their_sheet_and_row(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(read_folder(sample_folder() / "sample-inch"))))
    book["lumber"]["C2"].value = "1x2.5"
    book.save(tmp_path / "my-shop.xlsx")
    result = run("check-prices", str(tmp_path / "my-shop.xlsx"))
    assert result.exit_code == 1
    assert "sheet lumber, row 2, section: " in result.output
