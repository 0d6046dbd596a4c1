"""The forms in which a whole price book is one file: each with its suffix, its media type, its reader and writer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sawbill.prices.forms.archive import read_archive, write_archive
from sawbill.prices.forms.workbook import read_workbook, write_workbook
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import Fault


@dataclass(frozen=True, slots=True)
class Form:
    """A form of a price book as one file.

    holder, line: what a fault's table and its line in it are called there.
    """

    suffix: str
    media_type: str
    read: Callable[[str, bytes], PriceBook]
    write: Callable[[PriceBook], bytes]
    holder: str
    line: str

    def place(self, fault: Fault) -> dict[str, str | int]:
        """Tell where a fault is, as far as it has a place."""
        table = fault.file if self.holder == "file" else fault.table
        found: dict[str, str | int | None] = {self.holder: table, self.line: fault.line, "column": fault.column}
        return {name: value for name, value in found.items() if value}

    def told(self, fault: Fault) -> str:
        """Tell a fault with its place, in one line."""
        place = self.place(fault)
        table = place.get(self.holder, "")
        return fault.within(f"sheet {table}" if table and self.holder == "sheet" else str(table), self.line)


WORKBOOK: Final = Form(
    ".xlsx",
    # As its standard registers it (ISO/IEC 29500, IANA).
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    read_workbook,
    write_workbook,
    "sheet",
    "row",
)
ARCHIVE: Final = Form(".zip", "application/zip", read_archive, write_archive, "file", "line")
BY_SUFFIX: Final[Mapping[str, Form]] = MappingProxyType({form.suffix: form for form in (WORKBOOK, ARCHIVE)})
BY_MEDIA_TYPE: Final[Mapping[str, Form]] = MappingProxyType({form.media_type: form for form in BY_SUFFIX.values()})


def saved_otherwise(file: str) -> str:
    """What to do with a file that holds a workbook of a kind that is not read, to go on a sentence; empty for others.

    Libraries that read ODF sheets (ISO/IEC 26300) take 7.5 % for 0.075 and an error for nothing, so none of ours does.
    """
    return "; an .ods workbook is not read: save it as .xlsx" if file.lower().endswith((".ods", ".fods")) else ""
