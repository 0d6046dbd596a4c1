"""The command `quote`, used as in a terminal."""

import csv
import io
import json
import re
import shutil
import zipfile
from decimal import Decimal
from importlib.util import find_spec
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from sawbill.answer.tables import TABLES
from sawbill.cli.main import main
from sawbill.cli.output.ending import INPUT, NO, USAGE
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


REQUEST = {
    "price_book": "sample-inch",
    "lines": [
        {"design": "bench", "label": "hall", "quantity": 2, "options": {"length": "40 in"}},
        {"design": "bench", "label": "bench", "options": {"back": "yes"}},
        {"label": "own parts", "parts": [{"name": "shelf", "section": "2x6", "length": "30 in", "quantity": 3}]},
    ],
    "shop": {"kerf": "3 mm", "spare_boards": 1, "yard_cuts": "yes"},
    "lumber": {"grades": ["No.2", "Stud", "fifths"], "must_hold": "no"},
    "site": {"ceiling": "8 ft", "one_person": "20 kg"},
    "pricing": {"contingency": "10 %", "markup": "30 %"},
    "rates": {"drill": "1 min"},
    "on_hand": [{"section": "2x4", "length": "36 in", "quantity": 5}],
    "owned_hardware": [{"item": "wood screw", "size": "#8", "length": "2 in", "quantity": 40}],
    "owned_supplies": [{"item": "wood glue", "amount": "200 ml"}],
    "units": "metric", "placed": True, "trace": ["bending"],
}  # fmt: skip


@pytest.fixture(scope="module")
def answer() -> bytes:
    """What the service answers to that request."""
    return create_app(Settings()).test_client().post("/v1/quotes", json=REQUEST).data


def test_a_quote_as_json_has_the_bytes_of_the_service(answer: bytes, tmp_path: Path) -> None:
    tables = {
        "parts": "name,section,length,quantity\nshelf,2x6,30 in,3\n",
        "on-hand": "section,length,quantity\n2x4,36 in,5\n",
        "owned-hardware": "item,size,length,quantity\nwood screw,#8,2 in,40\n",
        "owned-supplies": "item,amount\nwood glue,200 ml\n",
    }
    files = []
    for name, text in tables.items():
        (tmp_path / name).write_text(text)
        files += [f"--{name}", str(tmp_path / name)]
    written = run(
        "quote", "bench", "--label", "hall", "--quantity", "2", "--set", "length=40 in", "--also", "bench back=yes",
        *files, "--kerf", "3 mm", "--spare-boards", "1", "--yard-cuts", "yes", "--grades", "No.2, Stud,fifths",
        "--must-hold", "no", "--ceiling", "8 ft", "--one-person", "20 kg", "--contingency", "10 %", "--markup", "30 %",
        "--rate", "drill=1 min", "--units", "metric", "--placed", "--trace", "bending", "--format", "json",
    )  # fmt: skip
    assert written.stdout_bytes == answer, written.stderr


def test_a_request_comes_from_standard_input_and_options_go_before_it(answer: bytes) -> None:
    request = json.dumps({**REQUEST, "units": "inch"})
    words = ["quote", "--request", "-", "--units", "metric", "--format", "json"]
    assert CliRunner().invoke(main, words, input=request).stdout_bytes == answer


def test_leftovers_of_a_quote_are_on_hand_for_the_next_as_json_and_as_csv(answer: bytes, tmp_path: Path) -> None:
    (tmp_path / "quote.json").write_bytes(answer)
    shown = CliRunner().invoke(main, ["quote", "--request", "-", "--table", "leftovers", "--format", "csv"],
                               input=json.dumps(REQUEST))  # fmt: skip
    (tmp_path / "left.csv").write_text(shown.stdout)
    found = [
        run("quote", "bench", "--on-hand", str(tmp_path / file), "--format", "json").stdout_bytes
        for file in ("quote.json", "left.csv")
    ]
    assert json.loads(answer)["leftovers"] and found[0] == found[1]
    assert any(row["on_hand"] for row in json.loads(found[0])["cutting_plan"])


def test_lines_come_from_a_table_with_the_options_for_columns(tmp_path: Path) -> None:
    file = tmp_path / "order.csv"
    file.write_text("design,label,quantity,length,back\nbench,hall,2,40 in,\nbench,,,,yes\n")
    result = run("quote", "--lines", str(file), "--format", "json")
    assert [(line["label"], line["quantity"]) for line in json.loads(result.stdout)["lines"]] == [
        ("hall", 2),
        ("bench", 1),
    ]
    file.write_text("design,label,quantity,length,back\nbench,hall,2,40,\nbnch,,,,yes\n")
    result = run("quote", "--lines", str(file))
    assert result.exit_code == INPUT
    assert "order.csv, line 2, options/length" in result.stderr and "order.csv, line 3, design" in result.stderr


def test_what_matters_comes_first() -> None:
    words = ("quote", "low-platform", "--set", "mattress=eu-80", "--must-hold", "no", "--ways-out", "--markup", "30 %")
    lines = run(*words).stdout.splitlines()
    told = lines[: lines.index("")]
    assert told[0] == "1 check fails:"
    assert told[1].startswith("  bending (") and "asked <= 100 %." in told[1]
    assert any(line.startswith("A way out of bending: ") for line in told)
    assert any(line.startswith("Total ") for line in told)
    assert told[-1].startswith("Sell for ") and told[-1].endswith("+ 30 % of them.")


def test_one_value_is_printed_alone() -> None:
    assert run("quote", "bench", "--value", "longest_piece", "--unit", "ft").stdout == "4\n"
    for words, told in (
        (("--value", "totl"), "did you mean total?"),
        (("--value", "total", "--unit", "ft"), "no unit"),
    ):
        result = run("quote", "bench", *words)
        assert result.exit_code == USAGE and told in result.stderr


def test_a_page_is_a_file_by_itself_and_a_workbook_has_every_table(tmp_path: Path) -> None:
    page, book = tmp_path / "bench.html", tmp_path / "bench.xlsx"
    for file in (page, book):
        assert run("quote", "bench", "-o", str(file)).output == ""
    html = page.read_text()
    assert "Shopping list" in html and "<style>" in html and "<svg" in html
    assert not re.findall(r'(?:href|src)="(?!#|data:)[^"]*"', html)
    made = openpyxl.load_workbook(book)
    assert set(made.sheetnames) > set(TABLES)
    with zipfile.ZipFile(book) as packed:
        pictures = [name for name in packed.namelist() if name.startswith("xl/media/")]
    assert len(pictures) == (find_spec("resvg_py") is not None), "where sawbill[png] is installed"


def test_a_file_that_cannot_be_written_leaves_what_was_there(tmp_path: Path) -> None:
    result = run("quote", "bench", "-o", str(tmp_path / "none" / "bench.csv"))
    assert result.exit_code == INPUT and "No such file or directory" in result.stderr
    assert "end its name with .txt, .csv" in run("quote", "bench", "-o", "bench.doc").output


def test_units_choose_how_lengths_are_printed() -> None:
    output = run("quote", "slatted-bed", "--prices", "sample-metric", "--units", "inch", "--format", "json").output
    assert all(row["length"]["text"].endswith(" in") for row in json.loads(output)["cut_list"])


def test_a_bed_is_held_against_its_site() -> None:
    output = run("quote", "slatted-bed", "--ceiling", "8 ft", "--vehicle-length", "4 ft").output
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
    assert result.exit_code == USAGE
    assert sorted(result.stderr.splitlines()) == [
        "--set clear_hight: slatted-bed has no option clear_hight; did you mean clear_height?",
        "--set slat_gap is 1 km; it may be 1/2 in to 4 in",
    ]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--set", "mattress"), "--set mattress: write it as NAME=VALUE"),
        (("--set", "rail=2x6", "--set", "rail=2x8"), "rail is set twice"),
        (("--celing", "8 ft"), "--ceiling"),
        (("--one-person", "1 kg"), "--one-person is 1 kg; it may be 5 kg to 100 kg"),
        (("--rate", "dril=1 min"), "--rate dril: rates has no"),
        (("--trace", "bending,sagging"), '--trace: trace is "sagging"; it may be bearing, bending'),
        (("--also", "bench 'length=1"), "each value with a space in it in quotes"),
        (("--on-hand", "no-such-file.csv"), "no-such-file.csv: No such file"),
        (("--prices", "no-such-book"), "no-such-book is not a folder"),
    ],
)
def test_a_faulty_word_is_said_with_what_would_do(words: tuple[str, ...], message: str) -> None:
    result = run("quote", "slatted-bed", *words)
    assert result.exit_code == (INPUT if words[0] == "--on-hand" else USAGE)
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
    assert result.exit_code == NO
    assert "No stock is long enough for the 85 in side rail: the longest 2x6 is 72 in" in result.output


def test_one_table_is_printed_alone_in_any_form() -> None:
    words = ("quote", "slatted-bed", "--prices", "sample-inch")
    text, data = (run(*words, "--table", "cut-list", "--format", form).output for form in ("text", "csv"))
    rows = json.loads(run(*words, "--table", "cut-list", "--format", "json").output)["rows"]
    assert text.splitlines()[0] == "Cut list"
    assert [row["part"] for row in csv.DictReader(io.StringIO(data))] == [row["part"] for row in rows]
    assert len(text.splitlines()) == len(rows) + 2


def test_csv_without_a_table_is_the_costs() -> None:
    rows = list(csv.DictReader(io.StringIO(run("quote", "slatted-bed", "--format", "csv").output)))
    total = next(row["amount"] for row in rows if row["cost"] == "total")
    assert sum(Decimal(row["adds"]) for row in rows if row["adds"]) == Decimal(total)
