"""The sheets of a workbook as rows of text: what a hostile or damaged one can cost is bounded before it is read."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, Final

from openpyxl.cell.read_only import EMPTY_CELL
from openpyxl.reader.excel import ExcelReader
from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.worksheet._read_only import ReadOnlyWorksheet

from sawbill.prices.forms.archive import unpacked
from sawbill.prices.rows.csvtable import MAX_ROWS
from sawbill.prices.rows.faults import BookFaultsError, Fault

MOST_TAGS: Final = 200_000
"""Tags, or their attributes, of a workbook's sheets and texts together: about a second, and some 4,000 full rows."""
MOST_OTHER_TAGS: Final = 20_000
"""Of its styles and whatever else it holds."""
MOST_COLUMNS: Final = 40
"""Of any sheet; what stands to the right of them is not read."""
LAST_ROW: Final = 1_048_576
"""Of any sheet, as spreadsheets have it."""

Row = tuple[int, list[str]]


@dataclass(frozen=True, slots=True)
class Sheets:
    """The filled rows of sheets by name, each with its number; titles: of all sheets, in small letters.

    empty: of each sheet the cells, as row and column from 1, whose formula has no value stored with it: programs that
    do not compute leave it out.
    """

    rows: Mapping[str, list[Row]]
    titles: list[str]
    empty: Mapping[str, frozenset[tuple[int, int]]]


_KIND: Final = "an XLSX workbook with the sheets book, suppliers, lumber, hardware and supplies"
_BULK: Final = ("xl/worksheets/", "xl/sharedStrings")
# A document type declares entities, which may grow without end; no workbook needs one. In UTF-16 a sign has a zero
# byte before or after it.
_DECLARATION: Final = re.compile(rb"<\0?!\0?(?:D\0?O\0?C\0?T|E\0?N\0?T)")
_QUOTED: Final = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
"""What a number format shows as it stands."""
_LONG: Final = re.compile(rb"(?:\br=\"([A-Z]{1,3}[0-9]{1,7})\"[^<>]{0,200}>\s*)?<(?:\w{1,20}:)?v>\s*([0-9.eE+-]{100,})")
"""A cell's number that no spreadsheet writes: one of theirs takes some 25 signs (IEEE 754), whatever it is."""
_PREFIX: Final = rb"(?:\w{1,20}:)?"
_EMPTY: Final = re.compile(
    rb"<%(p)bc\b([^<>]{0,200})>\s*<%(p)bf\b(?:[^<>]*/>|[^<>]*>[^<]*</%(p)bf>)\s*"
    rb"(?:<%(p)bv\s*/>|<%(p)bv>\s*</%(p)bv>)?\s*</%(p)bc>" % {b"p": _PREFIX}
)
"""A cell with a formula and no value; one of text (t="str") that is empty has a value, which is that text."""
_PLACE: Final = re.compile(rb'\br="([A-Z]{1,3}[0-9]{1,7})"')
_LARGEST: Final = 10**18
"""What stands for whatever is larger, and is too large for every column: thousands of digits take long to write."""
_DIGITS: Final = 15
"""How many digits of a number a spreadsheet keeps; those after it are noise of its arithmetic."""


class _Sheet(ReadOnlyWorksheet):
    """A sheet that is read once, by the bounds it is asked for and not by those it states."""

    def _get_size(self) -> None:
        """Look for no stated size: where there is none, the whole sheet would be read for it."""


class _Workbook(ExcelReader):
    """A workbook of which only some sheets are opened, each part of the file once."""

    def __init__(self, data: bytes, wanted: Collection[str]) -> None:
        super().__init__(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        self.wanted = wanted
        self.titles: list[str] = []
        self.sheets: list[_Sheet] = []
        self.parts: dict[str, str] = {}

    def read_worksheets(self) -> None:
        """Open the sheets that are wanted, the first of each name."""
        opened: set[str] = set()
        for sheet, rel in self.parser.find_sheets():
            title = _plain_title(sheet.name)
            known = title in self.wanted and title not in self.titles
            self.titles.append(title)
            if known and rel.target not in opened and rel.target in self.valid_files:
                opened.add(rel.target)
                self.parts[title] = rel.target
                self.sheets.append(_Sheet(self.wb, title, rel.target, self.shared_strings))


def read_sheets(data: bytes, wanted: Collection[str]) -> Sheets:
    """Read those sheets. Raises BookFaultsError: it is no workbook, or not a safe one."""
    parts = unpacked(data, _KIND)
    _check(parts)
    try:
        # It warns of what it leaves out, such as charts; none of that is a price.
        warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
        book = _Workbook(data, wanted)
        book.read()
        rows = {sheet.title: list(_rows(sheet)) for sheet in book.sheets}
        return Sheets(rows, book.titles, {title: _empty(parts[part]) for title, part in book.parts.items()})
    except Exception as error:  # whatever a damaged workbook makes its reader raise
        raise _refused("not-a-workbook", f"it cannot be opened; give {_KIND}") from error


def _check(parts: Mapping[str, bytes]) -> None:
    if any(_DECLARATION.search(part) for part in parts.values()):
        raise _refused("unsafe-workbook", "save the workbook anew from your spreadsheet, without a document type")
    for name, part in parts.items():
        if name.startswith(_BULK) and (long := _LONG.search(part)):
            cell, number = (found or b"" for found in long.groups())
            where = f"the cell {cell.decode()}" if cell else "a cell"
            detail = f"{where} has a number of {len(number)} digits; a spreadsheet keeps {_DIGITS}: write it so"
            raise _refused("number-too-long", detail)
    # Each tag and each attribute costs some microseconds; an attribute has an equals sign, and few else have.
    tags = {name: max(part.count(b"<"), part.count(b"=")) for name, part in parts.items()}
    bulk = sum(count for name, count in tags.items() if name.startswith(_BULK))
    if bulk > MOST_TAGS or sum(tags.values()) - bulk > MOST_OTHER_TAGS:
        remedy = "the workbook holds too many cells or styles; give so large a price book as a zip of CSV files"
        raise _refused("workbook-too-large", remedy)


def _rows(sheet: Any) -> Iterator[Row]:
    """Read a sheet's filled rows, less the empty cells at their ends; one more than may be is enough to tell."""
    left_out = None
    found, nothing = 0, {id(EMPTY_CELL)}
    for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, max_row=LAST_ROW), 1):
        if cells is left_out or set(map(id, cells)) == nothing:
            left_out = cells  # of rows that the file leaves out there may be a million, all one object
            continue
        texts = [_text(cell) for cell in cells]
        while texts and not texts[-1].strip():
            texts.pop()
        if texts:
            yield number, texts
            found += 1
        if found > MAX_ROWS + 1:
            return


def _empty(part: bytes) -> frozenset[tuple[int, int]]:
    """Find the cells whose formula has no value."""
    bare = (cell for cell in _EMPTY.findall(part) if b't="str"' not in cell)
    return frozenset(coordinate_to_tuple(place[1].decode()) for cell in bare if (place := _PLACE.search(cell)))


def _text(cell: Any) -> str:
    """Write a cell's value as its row would be written in a CSV file."""
    value = cell.value
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        return _number(value if abs(value) < _LARGEST else _LARGEST, cell.number_format or "")
    if isinstance(value, datetime) and value.time() == time():
        return value.date().isoformat()
    return value.isoformat() if isinstance(value, date) else str(value)


def _number(value: float, number_format: str) -> str:
    """Write a number with its percent sign, if it is shown with one: in most formats that stands for hundredths."""
    exact = Decimal(value if isinstance(value, int) else f"{value:.{_DIGITS}g}")
    if "%" in _QUOTED.sub("", number_format):
        return f"{_plain(exact * 100)} %"
    return f"{_plain(exact)} %" if "%" in number_format else _plain(exact)


def _plain(number: Decimal) -> str:
    """Write a number without an exponent or zeros that say nothing."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _plain_title(title: str) -> str:
    return title.strip().lower()


def _refused(code: str, remedy: str) -> BookFaultsError:
    return BookFaultsError([Fault("", code, remedy)])
