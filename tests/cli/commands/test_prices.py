"""The command `check-prices`, used as in a terminal."""

import io
import shutil
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner, Result

from sawbill.cli.main import main
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.forms import BY_SUFFIX, Form
from sawbill.prices.forms.workbook import write_workbook
from sawbill.prices.shelf import sample_folder


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_sample_book_has_no_faults(name: str) -> None:
    result = run("check-prices", name)
    assert result.exit_code == 0
    assert "no mistakes" in result.output


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
    assert "it cannot be opened; send" in result.output and "book.toml" not in result.output


def test_faults_of_a_workbook_are_printed_with_their_sheet_and_row(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(read_folder(sample_folder() / "sample-inch"))))
    book["lumber"]["C2"].value = "1x2.5"
    book.save(tmp_path / "my-shop.xlsx")
    result = run("check-prices", str(tmp_path / "my-shop.xlsx"))
    assert result.exit_code == 1
    assert "sheet lumber, row 2, section: " in result.output


def test_a_workbook_of_another_kind_is_told_how_to_be_saved(tmp_path: Path) -> None:
    (tmp_path / "shop.ods").write_bytes(b"PK")
    result = run("check-prices", str(tmp_path / "shop.ods"))
    assert result.exit_code == 2 and "an .ods workbook is not read: save it as .xlsx" in result.output
    assert ".ods" not in run("check-prices", str(tmp_path / "shop.txt")).output
