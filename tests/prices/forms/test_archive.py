import copy
import io
import random
import struct
import time
import zipfile
import zlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.prices.conftest import SMALL

from sawbill.prices.forms.archive import MOST_ENTRIES, MOST_UNPACKED, read_archive, unpacked, write_archive
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.rows.csvtable import MAX_BYTES
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shelf import sample_folder


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_book_reads_back_to_the_same_revision_from_the_same_bytes(name):
    book = read_folder(sample_folder() / name)
    data = write_archive(book)
    assert write_archive(book) == data
    again = read_archive(name, data)
    assert again == book and again.revision == book.revision


@pytest.mark.parametrize("within", ["", "my-shop/", "a/b/my shop/"])
def test_a_folder_packed_as_it_is_gives_the_book_of_the_folder(folder, within):
    files = {f"{within}{file.name}": file.read_bytes() for file in folder.path.iterdir()}
    files["__MACOSX/._lumber.csv"] = b"\0"
    files[f"{within}notes.txt"] = b"to ask"
    assert read_archive("small", packed(files)) == read_folder(folder.path)


FORMULAS = ["=1+2", "+1", "-1", "@x", "'=1", "''", "'", "'+a", '=HYPERLINK("x")']
NAME = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12) | st.sampled_from(
    [*FORMULAS, "a,b", 'a "b"', "a;b", "_x0041_", "007", "1e5", "<b>&amp;", "½ in", "\ufeffa", "TRUE", "\uffff"]
)


@given(NAME, NAME, st.sampled_from(["0.01", "12.50", "100000000", "3"]))
def test_any_name_and_code_that_a_book_may_have_reads_back(supplier, code, price):
    book = with_names(supplier, code, price)
    if book is not None:
        assert read_archive("small", write_archive(book)).revision == book.revision


def with_names(supplier, code, price):
    """The small book with another supplier, item code and price; None: that may not be."""
    data = copy.deepcopy(SMALL)
    data["suppliers"].append({"name": supplier})
    data["supplies"].append(SMALL["supplies"][0] | {"supplier": supplier, "item_code": code, "price": price})
    try:
        return read_json("small", data)
    except BookFaultsError:
        return None


def test_no_cell_of_a_table_begins_as_a_formula_does():
    book = with_names("=1+2", "@code", "1")
    table = unpacked(write_archive(book), "")["supplies.csv"].decode()
    assert "'=1+2,'@code," in table


@pytest.mark.libreoffice
def test_libreoffice_computes_no_cell_of_a_table(libreoffice):
    """It does compute an unguarded one, so that this test can fail."""
    code = "=1+2"
    table = unpacked(write_archive(with_names("Yard", code, "12.50")), "")["supplies.csv"]
    saved = libreoffice(table, "csv", "fods").decode()
    assert "<text:p>&apos;=1+2</text:p>" in saved or "<text:p>'=1+2</text:p>" in saved
    assert 'office:value="12.5"' in saved
    assert 'office:value="3"' in libreoffice(table.replace(b"'=", b"="), "csv", "fods").decode()


def packed(files, method=zipfile.ZIP_DEFLATED):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


def codes(data):
    """The faults of an archive as (code, file, line, column), found in under a second of work."""
    start = time.process_time()
    with pytest.raises(BookFaultsError) as error:
        read_archive("x", data)
    assert time.process_time() - start < 1
    assert all(fault.remedy and "Error" not in fault.detail for fault in error.value.faults)
    return [(fault.code, fault.file, fault.line, fault.column) for fault in error.value.faults]


def test_faults_of_several_files_are_told_at_once_with_file_line_and_column(folder):
    folder.replace("book.toml", '"USD"', '"dollars"')
    folder.replace("lumber.csv", "2x6", "2x66")
    folder.replace("supplies.csv", "5.29", "-5.29")
    found = codes(packed({file.name: file.read_bytes() for file in folder.path.iterdir()}))
    lines = (folder.path / "book.toml").read_text().split("\n")
    assert found == [
        ("unknown-currency", "book.toml", lines.index('currency = "dollars"') + 1, "currency"),
        ("unknown-section", "lumber.csv", 4, "section"),
        ("not-positive", "supplies.csv", 2, "price"),
    ]


def test_every_file_that_lacks_is_told():
    assert codes(packed({"notes.txt": b""})) == [
        ("missing-file", file, None, "")
        for file in ("book.toml", "suppliers.csv", "lumber.csv", "hardware.csv", "supplies.csv")
    ]


@pytest.mark.parametrize("data", [b"", b"x", b"PK\3\4", b"{}", b"\0" * 10_000])
def test_what_is_no_zip_is_refused(data):
    assert codes(data) == [("not-an-archive", "", None, "")]


def test_a_zip_cut_short_anywhere_is_refused():
    data = write_archive(read_json("small", SMALL))
    for size in range(0, len(data), 97):
        assert codes(data[:size]) == [("not-an-archive", "", None, "")]


def test_a_zip_bomb_is_refused_by_what_it_unpacks_to_and_not_by_its_word():
    bomb = packed({"lumber.csv": b"0" * (MOST_UNPACKED + 1)})
    assert len(bomb) < 100_000
    assert codes(bomb) == [("file-too-large", "", None, "")]
    modest = bomb.replace(struct.pack("<I", MOST_UNPACKED + 1), struct.pack("<I", 10))
    assert codes(modest)[0][:2] in {("file-too-large", ""), ("not-an-archive", "")}


def test_many_files_that_are_too_large_together_are_refused():
    half = b"0" * (MOST_UNPACKED // 2)
    assert codes(packed({"a": half, "b": half, "c": b"00"})) == [("file-too-large", "", None, "")]


def test_one_table_that_is_too_large_is_told_by_its_file(folder):
    files = {file.name: file.read_bytes() for file in folder.path.iterdir()}
    found = codes(packed(files | {"lumber.csv": b"0" * (MAX_BYTES + 1)}))
    assert ("file-too-large", "lumber.csv", None, "") in found


def test_at_most_so_many_files_are_unpacked():
    few = {f"{number}.txt": b"" for number in range(MOST_ENTRIES)}
    assert ("missing-file", "book.toml", None, "") in codes(packed(few))
    assert codes(packed(few | {"one more": b""})) == [("too-many-files", "", None, "")]
    assert codes(packed({f"{number}": b"" for number in range(20_000)})) == [("too-many-files", "", None, "")]


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_methods_that_unpack_without_bound_are_refused(method):
    assert codes(packed({"lumber.csv": b"0" * 20_000_000}, method)) == [("unknown-compression", "", None, "")]


def test_an_archive_with_a_password_is_refused(folder):
    data = bytearray(packed({file.name: file.read_bytes() for file in folder.path.iterdir()}))
    for mark, flags in ((b"PK\3\4", 6), (b"PK\1\2", 8)):  # APPNOTE 4.4.4: bit 0 says that a file is encrypted
        at = data.find(mark)
        while at >= 0:
            data[at + flags] |= 1
            at = data.find(mark, at + 4)
    assert codes(bytes(data)) == [("not-an-archive", "", None, "")]


def test_two_files_of_one_name_are_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("book.toml", "a")
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("book.toml", "b")
    assert codes(out.getvalue()) == [("duplicate-file", "", None, "")]


def test_two_books_in_one_archive_are_refused(folder):
    files = {file.name: file.read_bytes() for file in folder.path.iterdir()}
    both = {f"{shop}/{name}": data for shop in ("a", "b") for name, data in files.items()}
    assert codes(packed(both)) == [("several-books", "", None, "")]


def test_names_that_lead_out_of_the_archive_lead_nowhere(folder, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    files = {f"../../../{file.name}": file.read_bytes() for file in folder.path.iterdir()}
    assert read_archive("small", packed(files)) == read_folder(folder.path)
    assert sorted(tmp_path.rglob("*")) == before


def test_a_zip_within_a_zip_is_not_opened():
    inner = packed({"lumber.csv": b"0" * 1_000_000})
    assert ("missing-file", "lumber.csv", None, "") in codes(packed({"inner.zip": inner}))


def test_a_table_in_another_encoding_is_told(folder):
    files = {file.name: file.read_bytes() for file in folder.path.iterdir()}
    files["lumber.csv"] = files["lumber.csv"].decode().encode("utf-16")
    assert codes(packed(files)) == [("wrong-encoding", "lumber.csv", 1, "")]


@given(st.integers(0, 2**32))
@settings(max_examples=300)
def test_a_damaged_archive_is_a_book_or_its_faults(seed):
    chance = random.Random(seed)
    data = bytearray(write_archive(read_json("small", SMALL)))
    for _ in range(chance.choice((1, 2, 8))):
        data[chance.randrange(len(data))] = chance.randrange(256)
    try:
        read_archive("x", bytes(data))
    except BookFaultsError as error:
        assert error.faults


def test_a_deflate_stream_that_never_ends_is_bounded():
    """An entry whose data goes on after what its header states."""
    data = zlib.compressobj(9, zlib.DEFLATED, -15)
    stream = data.compress(b"0" * 50_000_000) + data.flush()
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("book.toml", stream)
    whole = bytearray(out.getvalue())
    for mark, method in ((b"PK\3\4", 8), (b"PK\1\2", 10)):
        whole[whole.find(mark) + method] = zipfile.ZIP_DEFLATED
    assert codes(bytes(whole))[0][0] in ("file-too-large", "not-an-archive", "file-too-large")
