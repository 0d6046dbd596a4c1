"""What is wrong with what was asked: one exception with every fault, its field, its value and what is right."""

from __future__ import annotations

import traceback
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import sawbill
from sawbill.asked.faults import Pointer, RequestFault, first_in_order
from sawbill.buying.boards import Lacking
from sawbill.notebook.given import LENGTHS
from sawbill.prices.forms.forms import Form
from sawbill.prices.rows.faults import Fault as BookFault

MOST_SHOWN: Final = 100
"""How many faults the text of an exception has; it has all of them in `faults`."""
_PACKAGE: Final = Path(sawbill.__file__).parent


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault.

    field: where it is, as it was given: `clear_height`, `on_hand[1].length`, or a file and line of a price book;
    value: what stands there, None where nothing does; code: a stable word for the kind of fault;
    detail: what is wrong with it, and what would be right.
    """

    field: str
    value: object
    code: str
    detail: str

    def __str__(self) -> str:
        """Tell it in one line, the field first."""
        return self.detail if not self.field or self.detail.startswith(self.field) else f"{self.field}: {self.detail}"


class FaultsError(ValueError):
    """What was asked for has faults: all of them at once, in `faults`."""

    counted = "mistakes"
    """What several of them are called."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__(self.faults)

    def __str__(self) -> str:
        """Tell every fault in a line of its own."""
        lines = [str(fault) for fault in self.faults[:MOST_SHOWN]]
        if more := len(self.faults) - MOST_SHOWN:
            lines += [f"and {more} more"] if more > 0 else []
        return lines[0] if len(lines) == 1 else "\n  ".join([f"{len(self.faults)} {self.counted}", *lines])

    def _render_traceback_(self) -> list[str]:
        """Give the lines that a notebook prints (IPython asks for them): the cell's own line, and every fault."""
        steps = traceback.extract_tb(self.__traceback__)
        called = [each for each in steps if _PACKAGE not in Path(each.filename).parents]
        where = [f"line {called[-1].lineno}: {called[-1].line}"] if called and called[-1].line else []
        return [*where, f"{type(self).__name__}: {self}"]


class CannotBeBoughtError(FaultsError):
    """The price book lacks something that is needed: everything that it lacks, and what would do."""

    counted = "things cannot be bought"


def of_request(faults: Iterable[RequestFault], asked: Mapping[str, Any], bare: Sequence[Pointer] = ()) -> FaultsError:
    """Tell the faults of a request; bare: what its fields are within, where nobody wrote so, innermost first."""

    def told(fault: RequestFault) -> Fault:
        value = _at(asked, fault.pointer)
        return Fault(_field(fault.pointer, bare), value, fault.code, f"{fault.detail}{_hint(fault, value)}")

    return FaultsError(map(told, first_in_order(faults, lambda fault: fault.pointer)))


def of_book(faults: Iterable[BookFault], form: Form | None = None) -> FaultsError:
    """Tell the faults of a price book in files; form: of the file that it is, None for a folder."""
    holder, line = (form.holder, form.line) if form else ("file", "line")

    def place(fault: BookFault) -> str:
        table = f"sheet {fault.table}" if holder == "sheet" and fault.table else fault.file
        return ", ".join(filter(None, (table, f"{line} {fault.line}" if fault.line else "", fault.column)))

    return FaultsError(_of_book(each, place(each)) for each in faults)


def of_mapping(faults: Iterable[BookFault]) -> FaultsError:
    """Tell the faults of a price book that is given as a mapping."""

    def place(fault: BookFault) -> str:
        row = "" if fault.row is None else f"[{fault.row}]"
        return ".".join(filter(None, (f"{fault.table}{row}" if fault.table != "book" else "", fault.column)))

    return FaultsError(_of_book(each, place(each)) for each in faults)


def of_order(lacking: Iterable[Lacking]) -> CannotBeBoughtError:
    """Tell what a price book lacks."""
    return CannotBeBoughtError(Fault("", None, each.code, each.message) for each in lacking)


def no_choice(where: str, value: object, known: Iterable[object]) -> FaultsError:
    """Tell that a value is none of those there are."""
    told = f"{where} is {value}; it may be {', '.join(map(str, known))}"
    return FaultsError([Fault(where, value, "not-a-choice", told)])


def _field(pointer: Pointer, bare: Sequence[Pointer]) -> str:
    within = next((each for each in bare if pointer[: len(each)] == each), ())
    found = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in pointer[len(within) :])
    return found.removeprefix(".")


def _at(asked: Any, pointer: Pointer) -> object:
    """What stands there; None where nothing does."""
    found = asked
    for step in pointer:
        if isinstance(found, Mapping):
            found = found.get(step)
        else:
            found = found[step] if isinstance(found, list) and isinstance(step, int) and step < len(found) else None
    return found


def _of_book(fault: BookFault, place: str) -> Fault:
    stands = f'"{fault.value}": ' if fault.value else ""
    return Fault(place, fault.value or None, fault.code, f"{stands}{fault.remedy}")


def _hint(fault: RequestFault, value: object) -> str:
    """What else would do, in Python, for a length in a table that is a plain number."""
    number = isinstance(value, int | float) and fault.pointer[-1] in LENGTHS
    return ', or tell what numbers are in: lengths_in="in"' if number and isinstance(fault.pointer[-2], int) else ""
