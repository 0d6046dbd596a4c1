import copy
import io
import random
import re
import time
import zipfile
from datetime import date, datetime

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.prices.conftest import SMALL
from tests.prices.forms.test_archive import NAME, with_names

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.sheets import MOST_OTHER_TAGS, MOST_TAGS
from sawbill.prices.forms.workbook import read_workbook, write_workbook
from sawbill.prices.rows.columns import TABLES
from sawbill.prices.rows.csvtable import MAX_ROWS
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shelf import sample_folder

SPREADSHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LUMBER = "xl/worksheets/sheet3.xml"
"""The sheets of a written book are numbered: book, suppliers, lumber, hardware, supplies."""


@pytest.fixture(scope="module")
def small_book():
    return read_json("small", SMALL)


@pytest.fixture(scope="module")
def written(small_book):
    return write_workbook(small_book)


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_book_reads_back_to_the_same_revision_from_the_same_bytes(name):
    book = read_folder(sample_folder() / name)
    data = write_workbook(book)
    assert write_workbook(book) == data
    again = read_workbook(name, data)
    assert again == book and again.revision == book.revision


@given(NAME, NAME, st.sampled_from(["0.01", "12.50", "100000000", "3", "0.29", "1.15", "4.35"]))
def test_any_name_code_and_price_that_a_book_may_have_reads_back(supplier, code, price):
    book = with_names(supplier, code, price)
    if book is not None:
        assert read_workbook("small", write_workbook(book)).revision == book.revision


@given(st.integers(1, 100_000_000_000_000))
@settings(max_examples=50)
def test_any_price_of_six_decimals_reads_back(millionths):
    data = copy.deepcopy(SMALL)
    data["lumber"][2]["price"] = f"{millionths // 10**6}.{millionths % 10**6:06}"
    try:
        book = read_json("small", data)
    except BookFaultsError:
        return
    assert read_workbook("small", write_workbook(book)).revision == book.revision


def test_numbers_are_numbers_and_codes_are_text_and_nothing_is_a_formula():
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(with_names("=1+2", "007", "12.50"))))
    row = [cell for cell in book["supplies"].iter_rows(min_row=2, values_only=True) if cell[1] == "007"]
    assert row == [("=1+2", "007", "wood glue", "8 fl oz", 12.5, 1, None)]
    kinds = {cell.data_type for sheet in book for cells in sheet.iter_rows() for cell in cells}
    assert kinds == {"s", "n"}, "text and numbers (an empty cell counts as a number), no formula"


def edited(data, change):
    """Let another program change a workbook and save it."""
    book = openpyxl.load_workbook(io.BytesIO(data))
    change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def swapped(data, **parts):
    """Change parts of a workbook as they lie in its zip: from bytes to bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            change = parts.get(name, bytes)
            new.writestr(name, change(old.read(name)))
    return out.getvalue()


def codes(data):
    """The faults of a workbook as (code, table, row, column)."""
    return [(fault.code, fault.table, fault.line, fault.column) for fault in faults_of(data)]


def faults_of(data):
    """The faults of a workbook, found in some two seconds of work at most."""
    start = time.process_time()
    with pytest.raises(BookFaultsError) as error:
        read_workbook("x", data)
    assert time.process_time() - start < 2
    assert all(fault.remedy and "Error" not in fault.detail for fault in error.value.faults)
    return error.value.faults


def column(book, sheet, title):
    """The letter of a column by its title."""
    return next(cell.column_letter for cell in book[sheet][1] if cell.value == title)


def setting(book, name):
    """The cell of a setting's value."""
    return next(value for key, value in book["book"].iter_rows(max_col=2) if key.value == name)


def test_a_workbook_saved_by_another_program_is_the_same_book(written, small_book):
    assert read_workbook("small", edited(written, lambda book: None)) == small_book


def test_settings_may_be_typed_as_a_spreadsheet_keeps_them(written, small_book):
    def change(book):
        setting(book, "tax_rate").value = 0.0825
        setting(book, "tax_rate").number_format = "0.00%"
        setting(book, "as_of").value = date(2026, 11, 1)
        setting(book, "sample").value = True
        setting(book, "prices_include_tax").value = "FALSE"
        setting(book, "shop.spare_boards").value = 0

    assert read_workbook("small", edited(written, change)) == small_book


@pytest.mark.parametrize(
    ("value", "number_format", "read"),
    [
        (0.07, "0%", "7 %"),
        (0.07, "0.00%", "7 %"),
        (7, '0"%"', "7 %"),
        (7, "0\\%", "7 %"),
        (0.0825, '0.00 %;[Red]"-"0.00 %', "8.25 %"),
        ("7%", "General", "7 %"),
        ("7 %", "@", "7 %"),
    ],
)
def test_a_rate_is_read_as_it_is_shown(written, value, number_format, read):
    def change(book):
        setting(book, "tax_rate").value = value
        setting(book, "tax_rate").number_format = number_format

    from sawbill.trade.numbers import percent_text

    assert percent_text(read_workbook("small", edited(written, change)).tax_rate) == read


def test_a_rate_without_a_percent_sign_is_told(written):
    assert codes(edited(written, lambda book: setattr(setting(book, "tax_rate"), "value", 0.0825))) == [
        ("not-a-rate", "book", 5, "tax_rate")
    ]


@pytest.mark.parametrize(
    ("value", "cents"),
    [(4.49, 449), (0.1 + 0.2, 30), (4.28 * 1.05 - 0.004, 449), (12, 1200), ("4.49", 449), (1e2, 10000)],
)
def test_a_price_is_read_to_the_digits_a_spreadsheet_keeps(written, value, cents):
    def change(book):
        book["hardware"][f"{column(book, 'hardware', 'price')}2"].value = value

    assert cents in {offer.each for offer in read_workbook("small", edited(written, change)).hardware}


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (4.494, "too-many-decimals"),
        (-1, "not-positive"),
        (0, "not-positive"),
        (1e300, "too-large"),
        (float("1e15"), "too-large"),
        (True, "not-a-number"),
        ("$ 4.49", "not-a-number"),
        ("4,49", "decimal-comma"),
        ("#REF!", "not-a-number"),
        (datetime(2026, 11, 1, 12, 30), "not-a-number"),
        (None, "missing-value"),
    ],
)
def test_a_cell_that_is_no_price_is_told_with_its_sheet_row_and_column(written, value, code):
    def change(book):
        book["hardware"][f"{column(book, 'hardware', 'price')}3"].value = value

    assert codes(edited(written, change)) == [(code, "hardware", 3, "price")]


def test_of_a_formula_what_it_gave_last_counts(written):
    formula = swapped(written, **{LUMBER: lambda part: part.replace(b"<v>4.28</v>", b"<f>2*2.16</f><v>4.32</v>", 1)})
    assert 432 in {offer.each for offer in read_workbook("small", formula).lumber}
    never = edited(written, lambda book: setattr(book["lumber"][f"{column(book, 'lumber', 'price')}2"], "value", "=1"))
    assert codes(never) == [("formula-without-value", "lumber", 2, "price")]


def test_empty_rows_and_cells_and_other_sheets_do_no_harm(written, small_book):
    def change(book):
        book["lumber"].insert_rows(3, 2)
        book["lumber"]["A40"].value = "  "
        book["suppliers"].insert_rows(1)
        book.create_sheet("Notes", 0)["A1"].value = "to ask"
        book["hardware"].title = " Hardware "

    assert read_workbook("small", edited(written, change)) == small_book


def test_rows_keep_their_numbers_where_others_are_empty(written):
    def change(book):
        book["lumber"].insert_rows(3, 5)
        book["lumber"][f"{column(book, 'lumber', 'section')}8"].value = "2x44"

    assert codes(edited(written, change)) == [("unknown-section", "lumber", 8, "section")]


def test_a_missing_sheet_is_told_the_nearest_there_is(written):
    def change(book):
        book["lumber"].title = "lumbr"
        del book["book"]

    with pytest.raises(BookFaultsError) as error:
        read_workbook("x", edited(written, change))
    told = {(fault.code, fault.table): fault.detail for fault in error.value.faults}
    assert ("missing-sheet", "book") in told
    assert "did you mean lumbr" in told["missing-sheet", "lumber"]


def test_unknown_missing_and_repeated_columns_are_told(written):
    def change(book):
        titles = {cell.value: cell for cell in book["lumber"][1]}
        titles["species"].value = "specie"
        titles["per"].value = "price"

    found = codes(edited(written, change))
    assert {(code, at) for code, _, row, at in found if row == 1} == {
        ("unknown-column", "specie"),
        ("missing-column", "species"),
        ("duplicate-column", "price"),
        ("missing-column", "per"),
    }
    assert {table for _, table, _, _ in found} == {"lumber"}


def test_an_unknown_setting_and_one_given_twice_are_told_with_their_rows(written):
    def change(book):
        book["book"].append(["curency", "USD"])
        book["book"].append(["title", "Twice"])
        book["book"].append(["shop.kerff", "1 mm"])

    last = len(openpyxl.load_workbook(io.BytesIO(written))["book"]["A"])
    assert codes(edited(written, change)) == [
        ("unknown-key", "book", last + 1, "curency"),
        ("duplicate", "book", last + 2, "title"),
        ("unknown-key", "book", last + 3, "shop.kerff"),
    ]


def test_faults_of_several_sheets_are_told_at_once(written):
    def change(book):
        setting(book, "currency").value = "dollars"
        book["suppliers"]["A2"].value = None
        book["supplies"]["C2"].value = "wood glu"

    assert [fault[:3] for fault in codes(edited(written, change))] == [
        ("unknown-currency", "book", 4),
        ("missing-value", "suppliers", 2),
        ("unknown-item", "supplies", 2),
    ]


def test_faults_are_told_in_the_words_of_a_sheet(written):
    def change(book):
        book["suppliers"]["A3"].value = book["suppliers"]["A2"].value
        book["lumber"]["Z2"].value = "stray"
        book["hardware"].delete_rows(1)

    with pytest.raises(BookFaultsError) as error:
        read_workbook("x", edited(written, change))
    told = {fault.code: fault.detail for fault in error.value.faults}
    assert "row 2 already has this name" in told["duplicate"]
    assert f"{len(TABLES['lumber'].all)} columns of the first row" in told["wrong-cell-count"]
    assert "each in its own cell" in told["missing-header"]
    assert not any("comma" in detail or "line" in detail for detail in told.values())


BOMB = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10 if n else "ha"}">' for n in range(12))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-be", "utf-16-le"])
@pytest.mark.parametrize("part", [LUMBER, "xl/sharedStrings.xml", "xl/workbook.xml", "docProps/core.xml"])
def test_an_xml_bomb_is_refused_in_any_part_and_encoding(written, part, encoding):
    def bomb(old):
        root = re.sub(r"^<\?xml.*?\?>", "", old.decode())
        return f"<!DOCTYPE x [{BOMB}]>{root}".encode(encoding)

    assert codes(swapped(written, **{part: bomb})) == [("unsafe-workbook", "", None, "")]


def test_an_entity_of_a_file_of_the_machine_is_refused(written):
    def change(old):
        return b'<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/passwd">]>' + old[old.index(b"?>") + 2 :]

    assert codes(swapped(written, **{"xl/sharedStrings.xml": change})) == [("unsafe-workbook", "", None, "")]


def sheet_of(rows):
    return f'<?xml version="1.0"?><worksheet xmlns="{SPREADSHEET}"><sheetData>{rows}</sheetData></worksheet>'.encode()


ONE = '<c t="inlineStr"><is><t>x</t></is></c>'
TOO_LARGE = [("workbook-too-large", "", None, "")]


@pytest.mark.parametrize(
    ("part", "content", "told"),
    [
        (LUMBER, sheet_of("<row>" + "<c/>" * 6_000_000 + "</row>"), TOO_LARGE),
        (LUMBER, sheet_of("<row/>" * 3_000_000), TOO_LARGE),
        (LUMBER, sheet_of("<row>" + "<c/>" * (MOST_TAGS // 2) + "</row>"), [("missing-header", "lumber", 1, "")]),
        (LUMBER, sheet_of("<row/>" * (MOST_TAGS - 2_000)), [("missing-header", "lumber", 1, "")]),
        (LUMBER, sheet_of("<row " + " ".join(f'a{n}="1"' for n in range(MOST_TAGS + 1)) + "/>"), TOO_LARGE),
        (LUMBER, sheet_of(f'<row r="1048576">{ONE}</row>'), [("missing-header", "lumber", 1, "")]),
        (LUMBER, sheet_of(f'<row r="999999999999999">{ONE}</row>'), [("missing-header", "lumber", 1, "")]),
        (LUMBER, sheet_of(f'<row r="-1">{ONE}</row>'), [("missing-header", "lumber", 1, "")]),
        (LUMBER, b"", [("not-a-workbook", "", None, "")]),
        (LUMBER, b"<worksheet", [("not-a-workbook", "", None, "")]),
        (LUMBER, b"<a>" * 100_000, [("not-a-workbook", "", None, "")]),
        ("xl/sharedStrings.xml", b"<x>" + b"<si/>" * 1_000_000, TOO_LARGE),
        ("xl/styles.xml", b"<x>" + b"<xf/>" * (MOST_OTHER_TAGS + 1), TOO_LARGE),
        ("xl/workbook.xml", b"<a/>", [("missing-sheet", "book", None, "")]),
        ("[Content_Types].xml", b"\0" * 100, [("not-a-workbook", "", None, "")]),
    ],
)
def test_a_part_made_to_cost_much_or_damaged_is_refused(written, part, content, told):
    assert codes(swapped(written, **{part: lambda old: content}))[: len(told)] == told


def test_a_sheet_that_is_listed_a_thousand_times_is_read_once(written):
    def change(old):
        again = "".join(f'<sheet name="s{n}" sheetId="{n}" r:id="rId3"/>' for n in range(10, 1000))
        return old.replace(b"</sheets>", again.encode() + b"</sheets>")

    start = time.process_time()
    read_workbook("small", swapped(written, **{"xl/workbook.xml": change}))
    assert time.process_time() - start < 1


@pytest.mark.parametrize("data", [b"", b"PK\3\4", b"{}"])
def test_what_is_no_zip_is_refused(data):
    assert codes(data) == [("not-an-archive", "", None, "")]


def test_a_zip_of_other_files_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("lumber.csv", "supplier")
    assert codes(out.getvalue()) == [("not-a-workbook", "", None, "")]


def test_a_workbook_cut_short_is_refused(written):
    for size in range(0, len(written), 499):
        assert codes(written[:size]) == [("not-an-archive", "", None, "")]


def test_more_rows_than_may_be_are_told_and_none_is_dropped_in_silence(written):
    rows = '<row><c t="inlineStr"><is><t>name</t></is></c></row>' + "<row><c><v>1</v></c></row>" * (MAX_ROWS + 5)
    found = codes(swapped(written, **{"xl/worksheets/sheet2.xml": lambda old: sheet_of(rows)}))
    assert ("too-many-rows", "suppliers", MAX_ROWS + 2, "") in found


@given(st.integers(0, 2**32))
@settings(max_examples=60)
def test_a_damaged_workbook_is_a_book_or_its_faults(seed):
    chance = random.Random(seed)
    data = write_workbook(read_json("small", SMALL))
    part = chance.choice(zipfile.ZipFile(io.BytesIO(data)).namelist())

    def damage(old):
        new = bytearray(old)
        for _ in range(chance.choice((1, 3))):
            at = chance.randrange(len(new))
            new[at : at + chance.choice((0, 1, 8))] = bytes(chance.choices(b'<>/="09azAZ&; \0\xff', k=2))
        return bytes(new)

    try:
        read_workbook("x", swapped(data, **{part: damage}))
    except BookFaultsError as error:
        assert error.faults


@pytest.mark.libreoffice
@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_workbook_saved_by_libreoffice_is_the_same_book(libreoffice, name):
    book = read_folder(sample_folder() / name)
    saved = libreoffice(write_workbook(book), "xlsx", "ods")
    assert read_workbook(name, libreoffice(saved, "ods", "xlsx")).revision == book.revision


@pytest.mark.libreoffice
def test_a_workbook_edited_in_libreoffice_has_the_new_price_tax_and_date(libreoffice, written):
    """Edited as LibreOffice's own flat XML, in which it computes the formula itself when it saves."""
    sheet = libreoffice(written, "xlsx", "fods").decode()
    number = 'office:value-type="float" office:value="4.28"'
    sheet, prices = re.subn(number, 'table:formula="of:=2*2.16"', sheet)
    percent = (
        '<number:percentage-style style:name="N10"><number:number number:decimal-places="0"/>'
        "<number:text>%</number:text></number:percentage-style>"
        '<style:style style:name="share" style:family="table-cell" style:data-style-name="N10"/>'
    )
    sheet = sheet.replace("<office:automatic-styles>", f"<office:automatic-styles>{percent}", 1)
    text = r'<table:table-cell office:value-type="string"[^>]*>\s*<text:p>{}</text:p>'
    share = 'table:style-name="share" office:value-type="percentage" office:value="0.07"'
    rate = f"<table:table-cell {share}><text:p>7%</text:p>"
    sheet, rates = re.subn(text.format("8.25 %"), rate, sheet)
    day = '<table:table-cell office:value-type="date" office:date-value="2026-12-24"><text:p>24.12.2026</text:p>'
    sheet, days = re.subn(text.format("2026-11-01"), day, sheet)
    assert (prices, rates, days) == (1, 1, 1)
    book = read_workbook("small", libreoffice(sheet.encode(), "fods", "xlsx"))
    assert 432 in {offer.each for offer in book.lumber}
    assert str(book.tax_rate) == "0.07"
    assert book.as_of == date(2026, 12, 24)


def test_a_workbook_of_numbers_of_thousands_of_digits_takes_no_time(written):
    """77 KB, which took 26.9 s: each number was written out again, which takes as much as the square of its digits."""
    row = b'<row r="%d"><c r="A%d"><v>%s</v></c></row>'
    rows = b"".join(row % (number, number, b"9" * 4_200) for number in range(1_000, 6_500))
    flood = swapped(written, **{LUMBER: lambda part: part.replace(b"</sheetData>", rows + b"</sheetData>", 1)})
    assert len(flood) < 200_000
    (fault,) = faults_of(flood)
    assert fault.code == "number-too-long"
    assert fault.detail.startswith("the cell A1000 has a number of 4200 digits; a spreadsheet keeps 15")


@pytest.mark.parametrize("number", [b"9" * 100, b"0." + b"0" * 98 + b"1", b"-1e" + b"0" * 100, b"1" * 20_000])
@pytest.mark.parametrize(
    "cell", [b"<v>%s</v>", b"<v>\n%s</v>", b"<x:v>%s</x:v>"], ids=["plain", "with a line end", "with a prefix"]
)
def test_a_number_that_no_spreadsheet_writes_is_refused_before_it_is_read(written, number, cell):
    long = swapped(written, **{LUMBER: lambda part: part.replace(b"<v>4.28</v>", cell % number, 1)})
    assert codes(long) == [("number-too-long", "", None, "")]


def test_a_text_of_many_digits_is_a_text(written):
    text = b'<c r="Z9" t="inlineStr"><is><t>%s</t></is></c>' % (b"9" * 200)
    noted = swapped(written, **{LUMBER: lambda part: part.replace(b"</row>", text + b"</row>", 1)})
    assert "number-too-long" not in {code for code, *_ in codes(noted)}


@pytest.mark.parametrize("digits", [19, 30, 99])
def test_a_number_of_more_digits_than_any_price_has_is_too_large(written, digits):
    large = swapped(written, **{LUMBER: lambda part: part.replace(b"<v>4.28</v>", b"<v>%s</v>" % (b"7" * digits), 1)})
    assert {code for code, *_ in codes(large)} == {"too-large"}
