"""Tables that a command reads beside its words: as a spreadsheet saves them, or as JSON."""

import io
from pathlib import Path

import pytest

from sawbill.cli.options.declared import fields
from sawbill.cli.requests.inputs import Input, Table

HEADER = "name,section,length,quantity"
ROW = "leg,2x4,28 1/2 in,4"
LEG = {"name": "leg", "section": "2x4", "length": "28 1/2 in", "quantity": 4}


def read(tmp_path: Path, text: str | bytes, group: str = "parts", answer: str = "") -> Table:
    file = tmp_path / "cuts.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return Input(str(file)).table(fields(group), answer)


@pytest.mark.parametrize(
    "text",
    [
        f"{HEADER}\n{ROW}\n",
        f"\ufeff{HEADER}\r\n\r\n{ROW}\r\n",
        "quantity;length;section;name\n4;28 1/2 in;2x4;leg\n",
        f"{HEADER},shortest,species\n{ROW},,\n",
        'name,section,length,quantity\n"leg","2x4","28 1/2 in","4"\n',
        '[{"name": "leg", "section": "2x4", "length": "28 1/2 in", "quantity": 4}]',
    ],
)
def test_a_table_may_be_written_as_any_sheet_saves_it(tmp_path: Path, text: str) -> None:
    table = read(tmp_path, text)
    assert [row for _, row in table.rows] == [LEG] and not table.faults


def test_bars_part_the_names_in_a_cell(tmp_path: Path) -> None:
    ((_, row),) = read(tmp_path, f"{HEADER},grades,species\n{ROW},No.2 | No.1,SPF\n").rows
    assert row["grades"] == ["No.2", "No.1"] and row["species"] == ["SPF"]


def test_the_millimetres_of_a_length_go_before_its_text(tmp_path: Path) -> None:
    ((_, row),) = read(tmp_path, "section,length_mm,length,quantity\n2x4,914.4,36 in,2\n", "on_hand").rows
    assert row == {"section": "2x4", "length": "914.4 mm", "quantity": 2}


def test_an_answer_of_the_service_gives_the_list_that_is_asked_for(tmp_path: Path) -> None:
    ((place, row),) = read(tmp_path, '{"leftovers": [{"section": "2x4"}]}', "on_hand", "leftovers").rows
    assert place.endswith("cuts.csv, entry 0") and row == {"section": "2x4"}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("name,section,length,quantity,colour\n", "line 1, colour: this column is not known"),
        ("name,section,quantity\nleg,2x4,4\n", "line 1, length: add the column length"),
        (f"{HEADER}\nleg,2x4\n", "line 2: '2 cells': give 4 cells as in the first line"),
        (f'{HEADER}\n"leg,2x4,28 in,4\n', "line 2: close the quotes in this row"),
        (f"{HEADER}\n".encode() + b"\xff,2x4,28 in,4\n", "line 2: 'byte 0xff': save the file in the encoding UTF-8"),
    ],
)
def test_what_is_wrong_with_a_table_is_told_with_its_place(tmp_path: Path, text: str | bytes, told: str) -> None:
    table = read(tmp_path, text)
    assert f"{tmp_path}/cuts.csv, {told}" in [f"{place}: {detail}"[: len(f"{tmp_path}/cuts.csv, {told}")]
                                              for place, detail in table.faults]  # fmt: skip


@pytest.mark.parametrize("text", ['{"lines": []}', '{"leftovers": 1}', "[1,"])
def test_what_is_no_table_ends_the_command(tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        read(tmp_path, text, "on_hand", "leftovers")
    assert ended.value.code == 1
    assert f"{tmp_path}/cuts.csv: " in capsys.readouterr().err


def test_standard_input_is_called_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(f"{HEADER}\n{ROW}\n".encode())))
    assert Input("-").table(fields("parts")).rows == [("standard input, line 2", LEG)]
