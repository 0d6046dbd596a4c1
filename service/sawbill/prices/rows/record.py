"""One row of a table, or one group of settings, being read: its cells, its place and its faults."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from sawbill.prices.rows.cells import CellError, clean, nearest
from sawbill.prices.rows.columns import Columns, is_note
from sawbill.prices.rows.faults import Fault, Faults

T = TypeVar("T")


def unknown(name: str, columns: Columns, kind: str = "column") -> str:
    """Say what a name may be in place of one that is not known."""
    notes = "; for notes of your own, begin its name with note" if kind == "column" else ""
    return f"this {kind} is not known; {nearest(name[:80], columns.all)}{notes}"


class Record:
    """Cells as trimmed text, by column; a faulty cell is reported once and reads as None."""

    def __init__(
        self,
        table: str,
        cells: Mapping[str, str],
        faults: Faults,
        *,
        line: int | None = None,
        row: int | None = None,
        lines: Mapping[str, int] | None = None,
        group: str = "",
        called: str = "line",
    ) -> None:
        """Take a row's cells; lines: the line of each column, if several; group: what precedes its name.

        called: what a line is called where the row comes from.
        """
        self.table, self.line, self.row, self._called = table, line, row, called
        self.faulty = False
        self._faults, self._lines, self._group = faults, lines or {}, group
        self._reported: set[str] = set()
        self._cells: dict[str, str] = {}
        for column, text in cells.items():
            self._cells[column] = text
            try:
                self._cells[column] = clean(" ".join(text.split()) if is_note(column) else text)
            except CellError as error:
                self.fault(column, error.code, error.remedy)

    @property
    def place(self) -> str:
        """Where the row stands, for a message about another one."""
        return f"{self._called} {self.line}" if self.line is not None else f"row {self.row}"

    def fault(self, column: str, code: str, remedy: str, value: str | None = None) -> None:
        """Report a fault of a column that has none yet; value: what stands there, if not the cell."""
        self.faulty = True
        if column in self._reported:
            return
        self._reported.add(column)
        name = self._group + column
        shown = self._cells.get(column, "") if value is None else value
        line = self._lines.get(name, self.line)
        self._faults.add(Fault(self.table, code, remedy, name, shown, line, self.row))

    def skip(self, column: str) -> None:
        """Leave a column out whose fault was reported elsewhere."""
        self.faulty = True
        self._reported.add(column)

    def text(self, column: str) -> str:
        """Give a cell as it stands, trimmed; empty where there is none."""
        return self._cells.get(column, "")

    @property
    def notes(self) -> tuple[tuple[str, str], ...]:
        """What stands in the columns of notes."""
        return tuple((column, text) for column, text in self._cells.items() if text and is_note(column))

    def check_names(self, columns: Columns, kind: str = "column") -> None:
        """Report every unknown name and every required one that is not there."""
        others = set(self._cells) - set(columns.all)
        for name in sorted(name for name in others if kind != "column" or not is_note(name)):
            self.fault(name, f"unknown-{kind}", unknown(name, columns, kind))
        for name in columns.required:
            if name not in self._cells:
                self.fault(name, f"missing-{kind}", f"add the {kind} {self._group}{name}")

    def has(self, column: str) -> bool:
        """Tell whether something stands in a column that has no fault so far."""
        return bool(self._cells.get(column)) and column not in self._reported

    def read(self, column: str, reader: Callable[[str], T]) -> T | None:
        """Read a cell that must be filled."""
        if column in self._reported:
            return None
        if not self._cells.get(column):
            self.fault(column, "missing-value", "fill it in; it may not be empty")
            return None
        try:
            return reader(self._cells[column])
        except CellError as error:
            self.fault(column, error.code, error.remedy)
            return None

    def read_or(self, column: str, reader: Callable[[str], T], default: T) -> T:
        """Read a cell that may be empty or absent, and then stands for the default."""
        value = self.read(column, reader) if self.has(column) else None
        return default if value is None else value

    def read_if_any(self, column: str, reader: Callable[[str], T]) -> T | None:
        """Read a cell that may be empty or absent."""
        return self.read(column, reader) if self.has(column) else None

    def build(self, kind: Callable[..., T], **values: object) -> T | None:
        """Make what the row stands for, or nothing if any of its cells is at fault."""
        return None if self.faulty else kind(**values)
