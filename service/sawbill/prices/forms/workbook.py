"""Price books as workbooks (Office Open XML, ISO/IEC 29500): a sheet for the settings, and one for each table."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from sawbill.prices.forms.toml import NO_SETTINGS
from sawbill.prices.offers import HARDWARE, LUMBER, SUPPLIERS, SUPPLY, Money
from sawbill.prices.pricebook import PriceBook, content
from sawbill.prices.rows.assemble import assemble
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.columns import OPTIONAL, TABLES, Columns
from sawbill.prices.rows.csvtable import Words, row_records
from sawbill.prices.rows.faults import Fault, Faults
from sawbill.prices.rows.record import Record
from sawbill.prices.rows.settings import FAULTY, FLAGS, GROUPS, Settings, read_settings
from sawbill.trade.declaring.kinds import Whole

if TYPE_CHECKING:
    from sawbill.prices.forms.sheets import Row, Sheets

SETTINGS_SHEET: Final = "book"
SETTINGS_COLUMNS: Final = ("setting", "value")
_COLUMNS: Final = {**SUPPLIERS, **LUMBER, **HARDWARE, **SUPPLY}
MONEY: Final = frozenset(name for name, each in _COLUMNS.items() if isinstance(each.kind, Money))
NUMBERS: Final = MONEY | {name for name, each in _COLUMNS.items() if isinstance(each.kind, Whole)}
"""The columns that are written as numbers; item codes are text, so that no leading 0 is lost."""

_COMPUTE: Final = (
    "this formula has no value stored with it; open the workbook in your spreadsheet and save it there, or write the "
    "value itself"
)
_SHEET: Final = Words(
    "row",
    "start with a row of column names, each in its own cell: {columns}",
    "keep to the {count} columns of the first row; what is to the right of them has no heading",
)


def read_workbook(name: str, data: bytes) -> PriceBook:
    """Read a price book from a workbook: of a formula, what it gave last counts.

    Raises BookFaultsError: with every fault of every sheet, a fault's line being its row in the sheet.
    """
    from sawbill.prices.forms.sheets import read_sheets  # what it imports is heavy, and needed by nothing else

    sheets = read_sheets(data, (SETTINGS_SHEET, *TABLES))
    faults = Faults()
    settings = _settings(sheets, faults)
    tables: dict[str, list[Record]] = {}
    for table, columns in TABLES.items():
        if table in OPTIONAL and table not in sheets.rows:
            continue
        if table not in sheets.rows:
            faults.add(Fault(table, "missing-sheet", f"add the sheet {table}; {nearest(table, sheets.titles)}"))
            continue
        rows = _records(sheets, table, table, columns, faults)
        if rows is not None:
            tables[table] = rows
    return assemble(name, settings, tables, faults)


def _filled(rows: Iterable[Row]) -> Iterator[Row]:
    """Make each row as long as the header where it ends in empty cells."""
    width = 0
    for number, cells in rows:
        width = width or len(cells)
        yield number, cells + [""] * (width - len(cells))


def _records(sheets: Sheets, sheet: str, table: str, known: Columns, faults: Faults) -> list[Record] | None:
    """Read a sheet's rows; where a formula has no value, that is the fault, and not that nothing stands there."""
    rows, empty = row_records(_filled(sheets.rows[sheet]), table, faults, known, _SHEET), sheets.empty[sheet]
    if rows and empty:
        names = [name.strip() for name in sheets.rows[sheet][0][1]]
        for row in rows:
            for i, name in enumerate(names, 1):
                if (row.line, i) in empty and not row.text(name):
                    row.fault(name, "formula-without-value", _COMPUTE)
    return rows


def _settings(sheets: Sheets, faults: Faults) -> Settings:
    if SETTINGS_SHEET not in sheets.rows:
        remedy = f"add the sheet {SETTINGS_SHEET} with the settings; {nearest(SETTINGS_SHEET, sheets.titles)}"
        faults.add(Fault("book", "missing-sheet", remedy))
        return NO_SETTINGS
    rows = _records(sheets, SETTINGS_SHEET, "book", Columns(SETTINGS_COLUMNS), faults)
    if rows is None:
        return NO_SETTINGS
    data: dict[str, Any] = {group: {} for group in GROUPS}
    lines: dict[str, int] = {}
    for row in rows:
        name, line = row.text("setting"), row.line or 0
        if name in lines:
            faults.add(Fault("book", "duplicate", f"row {lines[name]} already has this setting", name, line=line))
            continue
        lines[name] = line
        group, _, key = name.partition(".")
        within = data[group] if group in GROUPS and key else data
        within[key if within is not data else name] = FAULTY if row.faulty else _value(name, row.text("value"))
    return read_settings(data, faults, lines)


def _value(name: str, text: str) -> object:
    """Give a cell's text as TOML would give the value."""
    return {"true": True, "false": False}.get(text.lower(), text) if name in FLAGS else text


def write_workbook(book: PriceBook) -> bytes:
    """Write a price book as the workbook that read_workbook reads back to the same revision; always the same bytes."""
    import xlsxwriter  # heavy, and needed by nothing else

    whole = content(book)
    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(out, options) as workbook:
        # The creation date is pinned: it would be all that differs between two workbooks of one revision.
        workbook.set_properties({"title": book.title, "created": datetime(2000, 1, 1)})
        bold = workbook.add_format({"bold": True, "bottom": 1})
        money = workbook.add_format({"num_format": f"0.{'0' * book.decimals}####" if book.decimals else "0"})
        plain = {key: value for key, value in whole.items() if key not in TABLES}
        settings = [{"setting": key, "value": value} for key, value in _flat(plain)]
        _write_sheet(workbook, SETTINGS_SHEET, SETTINGS_COLUMNS, settings, bold, money)
        for table, columns in TABLES.items():
            if table not in whole:
                continue
            rows: list[dict[str, str]] = whole[table]  # type: ignore[assignment]  # a table
            _write_sheet(workbook, table, columns.of(rows), rows, bold, money)
    return out.getvalue()


def _flat(settings: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    for key, value in settings.items():
        if isinstance(value, Mapping):
            yield from ((f"{key}.{name}", text) for name, text in _flat(value))
        else:
            yield key, str(value).lower() if isinstance(value, bool) else str(value)


def _write_sheet(workbook: Any, name: str, columns: tuple[str, ...], rows: Any, bold: Any, money: Any) -> None:
    sheet = workbook.add_worksheet(name)
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    for column, title in enumerate(columns):
        texts = [row.get(title, "") for row in rows]
        sheet.set_column(column, column, max(map(len, [title, *texts])) + 2)
        sheet.write_string(0, column, title, bold)
        for number, text in enumerate(texts, 1):
            if title in NUMBERS and text:
                sheet.write_number(number, column, float(text), money if title in MONEY else None)
            elif text:
                sheet.write_string(number, column, text)
