"""What is wrong with a price book, or another table: every fault at once, with its place, value and remedy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

MAX_FAULTS: Final = 500
"""Where reading stops: a file of another kind has a fault in every cell."""

_SHOWN: Final = 60
_GROUPS: Final = ("usual_sections", "shop")
_TABLES: Final = ("", "book", "suppliers", "lumber", "hardware", "supplies", "sections")


class SawbillError(Exception):
    """Something the user can mend; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a price book, or of another table.

    table: book, suppliers, lumber, hardware or supplies; empty for an archive or workbook as a whole, or another table;
    code: the kind of fault;
    remedy: what would be right; column: the column or key, empty for the whole table;
    value: what stands there, shortened and made printable as the column is;
    line: in its file, counted from 1; row: in its list, counted from 0, where the book came as JSON.
    """

    table: str
    code: str
    remedy: str
    column: str = ""
    value: str = ""
    line: int | None = None
    row: int | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "column", shown(self.column))
        object.__setattr__(self, "value", shown(self.value))

    @property
    def file(self) -> str:
        """The file that holds the table, as a price book's folder names it."""
        return "book.toml" if self.table == "book" else self.table and f"{self.table}.csv"

    @property
    def pointer(self) -> str:
        """The JSON pointer (RFC 6901) to the value in the book as JSON."""
        steps = [] if self.table == "book" else [self.table]
        steps += [] if self.row is None else [str(self.row)]
        group, _, key = self.column.partition(".")
        steps += [group, key] if self.table == "book" and group in _GROUPS and key else [self.column]
        return "".join("/" + step.replace("~", "~0").replace("/", "~1") for step in steps if step)

    @property
    def detail(self) -> str:
        """What stands there, if anything does, and what would be right."""
        return f"{self.value!r}: {self.remedy}" if self.value else self.remedy

    def within(self, file: str, line: str = "line") -> str:
        """Tell the fault with its place in a file of that name, whose lines are called so."""
        place = [file, "" if self.line is None else f"{line} {self.line}", self.column]
        return ": ".join(filter(None, (", ".join(filter(None, place)), self.detail)))

    def __str__(self) -> str:
        return self.within(self.file) if self.row is None else f"{self.pointer or '/'}: {self.detail}"


class BookFaultsError(SawbillError):
    """A price book, or another table, that cannot be used: all faults in the order of tables and lines."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(sorted(faults, key=_order))
        super().__init__("\n".join(map(str, self.faults)))


class Faults:
    """The faults found so far."""

    def __init__(self) -> None:
        self._found: list[Fault] = []

    def add(self, fault: Fault) -> None:
        """Note a fault.

        Raises BookFaultsError: there are so many that reading on would help nobody.
        """
        self._found.append(fault)
        if len(self._found) == MAX_FAULTS:
            remedy = f"reading stopped here, after {MAX_FAULTS} mistakes; there may be more"
            self._found.append(Fault(fault.table, "too-many-faults", remedy, line=fault.line, row=fault.row))
            raise BookFaultsError(self._found)

    def raise_if_any(self) -> None:
        """Raise BookFaultsError when a fault was noted."""
        if self._found:
            raise BookFaultsError(self._found)


def _order(fault: Fault) -> tuple[bool, int, int, int]:
    stopped = fault.code == "too-many-faults"
    return stopped, _TABLES.index(fault.table), fault.line or 0, -1 if fault.row is None else fault.row


def shown(value: str) -> str:
    """Shorten a value and make what does not print visible, for a message."""
    start = value[: _SHOWN + 1]
    text = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in start[:_SHOWN])
    return f"{text} …" if len(start) > _SHOWN else text
