import csv
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.rows.faults import BookFaultsError


def faults_in(path):
    with pytest.raises(BookFaultsError) as error:
        read_folder(path)
    return [(fault.file, fault.line, fault.column, fault.value, fault.code) for fault in error.value.faults]


def test_a_folder_and_the_same_content_as_json_are_the_same_book(folder, small):
    assert read_folder(folder.path) == read_json("small", small)


def test_a_book_takes_its_folders_name(folder, tmp_path):
    folder.path.rename(tmp_path / "renamed")
    assert read_folder(tmp_path / "renamed").name == "renamed"


def test_the_wishes_of_the_shop_are_read_and_their_faults_have_lines(folder):
    folder.replace("book.toml", "[shop]\n", '[shop]\nno_slivers = true\noffcut_value = "25 %"\n')
    shop = read_folder(folder.path).shop
    assert (shop.no_slivers, str(shop.offcut_value)) == (True, "0.25")
    folder.replace("book.toml", '"25 %"', '"75 %"')
    [(file, line, column, value, code)] = faults_in(folder.path)
    assert (file, column, value, code) == ("book.toml", "shop.offcut_value", "75 %", "not-a-rate")
    assert (folder.path / "book.toml").read_text().splitlines()[line - 1].startswith("offcut_value")


def test_a_date_may_stand_bare_in_toml(folder):
    folder.replace("book.toml", '"2026-11-01"', "2026-11-01")
    assert read_folder(folder.path).as_of.isoformat() == "2026-11-01"


def test_every_fault_of_every_file_is_told_at_once_in_order(folder):
    folder.replace("book.toml", '"8.25 %"', "8.25")
    folder.replace("book.toml", 'kerf = "1/8 in"', 'kerf = "1/8"\nblade = "thin"')
    folder.replace("book.toml", 'rail = "2x6"', 'rail = "2x8"')
    folder.replace("suppliers.csv", "6.00", "six")
    folder.replace("lumber.csv", "4.28", "0")
    folder.replace("lumber.csv", "board foot", "cubit")
    folder.replace("lumber.csv", "Hem-Fir", "Hemlock Fir")
    folder.replace("hardware.csv", "5.40", "12.50 EUR")
    folder.replace("supplies.csv", "G-1", "G\x001")
    assert faults_in(folder.path) == [
        ("book.toml", 4, "tax_rate", "8.25", "wrong-type"),
        ("book.toml", 10, "usual_sections.rail", "2x8", "not-sold"),
        ("book.toml", 14, "shop.kerf", "1/8", "not-a-length"),
        ("book.toml", 15, "shop.blade", "thin", "unknown-key"),
        ("suppliers.csv", 2, "trip", "six", "not-a-number"),
        ("lumber.csv", 2, "price", "0", "not-positive"),
        ("lumber.csv", 4, "species", "Hemlock Fir", "unknown-species"),
        ("lumber.csv", 4, "per", "cubit", "unknown-per"),
        ("hardware.csv", 2, "price", "12.50 EUR", "mixed-currency"),
        ("supplies.csv", 2, "item_code", "G\\x001", "control-character"),
    ]


def test_a_missing_file_brings_no_other_fault_with_it(folder):
    (folder.path / "suppliers.csv").unlink()
    assert faults_in(folder.path) == [("suppliers.csv", None, "", "", "missing-file")]
    (folder.path / "lumber.csv").unlink()
    assert [(file, code) for file, *_, code in faults_in(folder.path)] == [
        ("suppliers.csv", "missing-file"),
        ("lumber.csv", "missing-file"),
    ]


def test_a_folder_that_is_not_there_is_told_the_files_it_needs(tmp_path):
    assert [file for file, *_ in faults_in(tmp_path / "nowhere")] == [
        "book.toml",
        "suppliers.csv",
        "lumber.csv",
        "hardware.csv",
        "supplies.csv",
    ]


def test_a_missing_column_is_told_once_and_not_in_every_row(folder):
    folder.replace("lumber.csv", "species", "specie")
    assert faults_in(folder.path) == [
        ("lumber.csv", 1, "specie", "", "unknown-column"),
        ("lumber.csv", 1, "species", "", "missing-column"),
    ]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('title = "x\nunits = "inch"\n', 1),
        ("title = \n", 1),
        ('title = "x"\ntitle = "y"\n', 2),
        ("[shop\n", 1),
        ("as_of = 2026-13-01\n", 1),
        ('title = "x\x00"', 1),
        ('\n\ntitle = """x', 3),
        ("a = " + "[" * 4_000, None),
        ("a = " + "9" * 10_000, None),
    ],
)
def test_toml_that_cannot_be_read_is_told_its_line(folder, text, line):
    (folder.path / "book.toml").write_text(text)
    assert [(file, at, code) for file, at, _, _, code in faults_in(folder.path)] == [("book.toml", line, "toml-syntax")]


def test_toml_with_more_brackets_than_any_book_needs_is_not_even_read(folder):
    (folder.path / "book.toml").write_text("a = " + "[" * 50_000)
    assert [(file, code) for file, _, _, _, code in faults_in(folder.path)] == [("book.toml", "too-many-keys")]


def test_toml_faults_never_show_the_readers_own_words(folder):
    (folder.path / "book.toml").write_text("title = \n")
    with pytest.raises(BookFaultsError) as error:
        read_folder(folder.path)
    assert "Invalid" not in str(error.value)


def test_settings_larger_than_any_are_refused(folder):
    (folder.path / "book.toml").write_text("#" * 100_001)
    assert faults_in(folder.path) == [("book.toml", None, "", "", "file-too-large")]


@pytest.mark.parametrize("name", ["book.toml", "suppliers.csv", "lumber.csv", "hardware.csv", "supplies.csv"])
@given(data=st.binary(max_size=300))
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_bytes_in_any_file_are_a_book_or_its_faults(folder, name, data):
    whole = (folder.path / name).read_bytes()
    try:
        for content in (data, whole[: len(whole) // 2] + data + whole[len(whole) // 2 :]):
            (folder.path / name).write_bytes(content)
            try:
                read_folder(folder.path)
            except BookFaultsError as error:
                assert all(str(fault) for fault in error.faults)
    finally:
        (folder.path / name).write_bytes(whole)


@given(text=st.text(st.characters(codec="utf-8"), max_size=40), row=st.integers(1, 3), column=st.integers(0, 12))
@settings(max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_a_faulty_cell_is_told_with_the_line_it_stands_on(folder, text, row, column):
    path = folder.path / "lumber.csv"
    whole = path.read_bytes()
    rows = list(csv.reader(io.StringIO(whole.decode(), newline="")))
    rows[row][column] = text
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    path.write_text(out.getvalue(), encoding="utf-8", newline="")
    try:
        read_folder(folder.path)
    except BookFaultsError as error:
        # A line break in the cell moves the rows after it; another item's code makes its twin row differ.
        assert row + 1 in {fault.line for fault in error.faults} or any(
            fault.code in ("item-code-reused", "stock-disagrees", "not-sold") for fault in error.faults
        )
    finally:
        path.write_bytes(whole)
