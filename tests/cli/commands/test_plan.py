"""The command `plan`, used as in a terminal."""

import json
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from sawbill.cli.main import main
from sawbill.cli.output.ending import INPUT, NO
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


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
    total, *titles = [line for line in result.output.splitlines() if line and not line.startswith(" ")]
    assert total.startswith("Total ")
    assert titles[:-2] == [
        "Shopping list", "Cut list", "Cutting plan", "Saw stop settings", "Leftovers worth keeping",
        "Savings by cutting shorter", "Notes and warnings", "Costs",
    ]  # fmt: skip
    assert titles[-2] == "Amounts in USD, prices of sample-inch as of 2026-11-01."
    lines = [line.split() for line in result.output.splitlines()]
    assert ["1x8", "32", "in", "6", "B"] in lines, "the stop for the shelves, and how many"
    assert any(line[:6] == ["B", "32", "in", "31", "3/4", "in"] for line in lines), "what a little shorter saves"


BODY = {
    "price_book": "sample-inch", "units": "metric", "lumber": {"species": ["SPF"]},
    "shop": {"kerf": "3 mm", "spare_boards": 1, "no_slivers": "yes"},
    "on_hand": [{"section": "2x4", "length": "60 in", "quantity": 2, "species": "SPF", "grade": "No.2"}],
    "pieces": [{"name": "leg", "section": "2x4", "length": "28 1/2 in", "quantity": 4}],
}  # fmt: skip


def test_a_plan_as_json_has_the_bytes_of_the_service(pieces: Callable[..., str], tmp_path: Path) -> None:
    shed = tmp_path / "shed.csv"
    shed.write_text("\ufeffsection;length;quantity;species;grade\n2x4;60 in;2;SPF;No.2\n")
    asked = ("--units", "metric", "--species", "SPF", "--kerf", "3 mm", "--spare-boards", "1", "--no-slivers", "yes")
    written = run("plan", pieces("leg,2x4,28 1/2 in,4,"), *asked, "--on-hand", str(shed), "--format", "json")
    answer = create_app(Settings()).test_client().post("/v1/cutting-plans", json=BODY)
    assert written.stdout_bytes == answer.data
    piped = CliRunner().invoke(main, ["plan", "-", "--format", "json"], input=json.dumps(BODY))
    assert piped.stdout_bytes == answer.data


def test_pieces_come_from_standard_input_as_a_table_or_a_list(pieces: Callable[..., str]) -> None:
    words = ["plan", "-", "--table", "cut-list", "--format", "csv"]
    table = Path(pieces("leg,2x4,28 1/2 in,4,")).read_bytes()
    found = [CliRunner().invoke(main, words, input=each).stdout for each in (table, json.dumps(BODY["pieces"]))]
    assert found[0] == found[1] and ",leg,2x4," in found[0]


def test_a_plan_goes_to_a_file_in_the_form_that_its_name_ends_with(pieces: Callable[..., str], tmp_path: Path) -> None:
    file = tmp_path / "plan.xlsx"
    assert run("plan", pieces("leg,2x4,28 1/2 in,4,"), "-o", str(file)).output == ""
    assert {"shopping-list", "cutting-plan"} <= set(openpyxl.load_workbook(file).sheetnames)


def test_every_fault_of_the_pieces_is_printed_with_its_place(pieces: Callable[..., str]) -> None:
    file = pieces("leg,2x5000,28 1/2,4,", "shelf,1x8,32 in,0,33 in")
    result = run("plan", file, "--prices", "sample-inch")
    assert result.exit_code == INPUT
    for place in ("line 2, section", "line 2, length", "line 3, quantity", "line 3, shortest"):
        assert f"{file}, {place}" in result.stderr
    assert len(result.stderr.splitlines()) == 4


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (None, "No such file or directory"),
        ("name,section\nleg,2x4\n", "cuts.csv, line 1, length: add the column length"),
        ("leg 2x4\n", "start with a line of column names"),
        ('[{"section": "2x4",}]', "cuts.csv: not JSON that can be read: line 1, column 20"),
        ('{"pieces": [], "shop": {"kerf": "3"}}', "cuts.csv, /shop/kerf"),
    ],
)
def test_a_file_that_cannot_be_read_says_what_would_be_right(tmp_path: Path, content: str | None, told: str) -> None:
    file = tmp_path / "cuts.csv"
    if content is not None:
        file.write_text(content)
    result = run("plan", str(file))
    assert result.exit_code == INPUT
    assert told in result.stderr


def test_pieces_the_book_has_no_board_for_are_answered_with_the_reason(pieces: Callable[..., str]) -> None:
    result = run("plan", pieces("ridge,2x6,20 ft,1,"))
    assert result.exit_code == NO
    assert "No stock is long enough for the 240 in ridge" in result.output
