"""What a quote and a cutting plan have in common: tables, values, drawings, and the forms they are written in."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import Any, Final, overload

import pandas as pd

from sawbill.answer.columns import Cell, Table
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.forms.workbook import Front, heading_of, pictures, quote_workbook
from sawbill.answer.tables import TABLES
from sawbill.answer.values import UnknownValueError, WrongUnitError, check_path, value_of
from sawbill.drawings.catalogue import names, page
from sawbill.drawings.subject import Subject
from sawbill.notebook import shown
from sawbill.notebook.books import Book
from sawbill.notebook.faults import Fault, FaultsError, no_choice
from sawbill.notebook.frames import frame
from sawbill.quoting import quote as engine
from sawbill.quoting.drawn import cutting_pages, subjects_of


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing, as a notebook shows it; svg: its text (SVG 2)."""

    name: str
    svg: str = field(repr=False)

    def save(self, path: str | Path) -> None:
        """Write it to a file, which may be called .svg."""
        Path(path).write_text(self.svg, encoding="utf-8")

    def _repr_html_(self) -> str:
        """Show it in a notebook, black on white whatever its colours."""
        return shown.image(self.svg, self.name)


class Tabled:
    """The table of an answer that is called as the attribute is, made anew each time, so that it may be changed."""

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name.replace("_", "-")
        self.__doc__ = described(TABLES[self.name])

    @overload
    def __get__(self, answer: None, owner: type) -> Tabled: ...
    @overload
    def __get__(self, answer: Answer, owner: type) -> pd.DataFrame: ...
    def __get__(self, answer: Answer | None, owner: type) -> Tabled | pd.DataFrame:
        return self if answer is None else answer.table(self.name)


def filled(answer: Mapping[str, Any]) -> list[Table]:
    """Give the tables of an answer that have rows."""
    return [table for table in TABLES.values() if any(True for _ in table.records(answer))]


def described(table: Table) -> str:
    """Tell what a table holds: each column with its meaning, its unit in brackets."""
    columns = (f"{each.name}: {each.meaning}{f' [{each.unit}]' if each.unit else ''}" for each in table.columns)
    return "\n".join([table.meaning, "", *columns])


class Answer:
    """A quote or a cutting plan: what both have."""

    def __init__(self, made: engine.Quote, *, exact: bool) -> None:
        self._made: Final = made
        self._exact = exact

    @cached_property
    def _json(self) -> Mapping[str, Any]:
        raise NotImplementedError

    @property
    def total(self) -> Decimal:
        """All that is spent, exact [currency]."""
        return Decimal(self._json["totals"]["total"])

    @property
    def currency(self) -> str:
        """What its amounts are in (ISO 4217)."""
        return self._made.book.currency

    @property
    def proof(self) -> str:
        """How far it is proven that the lumber cannot cost less: proven, within_tolerance or time_limit."""
        return self._made.proof.status.value

    @property
    def book(self) -> Book:
        """The price book it is from."""
        return Book(self._made.book)

    @property
    def tables(self) -> dict[str, pd.DataFrame]:
        """Every table that has rows, by name."""
        return {table.name: self.table(table.name) for table in filled(self._json)}

    def table(self, name: str, *, exact: bool | None = None) -> pd.DataFrame:
        """Give one table by name, such as cut-list, its units and meanings in `attrs`.

        exact: numbers and amounts as Decimal, instead of floats; unset: as the quote was asked for.
        Raises FaultsError: there is no such table.
        """
        found = TABLES.get(name.replace("_", "-"))
        if found is None:
            raise no_choice("table", name, TABLES)
        return frame(found, self._json, exact=self._exact if exact is None else exact)

    def value(self, path: str, unit: str | None = None) -> Cell:
        """Give a single value, exact: by its name, such as waste or longest_board, or by its place in `to_dict()`.

        unit: what a length is told in (mm unless given; cm, m, in, ft) or a mass (kg unless given; lb).
        Raises FaultsError: there is no such value, or it is not measured in that unit.
        """
        try:
            check_path(path)
            return value_of(self._json, path, unit).cell
        except UnknownValueError as error:
            raise FaultsError([Fault("path", path, "unknown-value", str(error))]) from None
        except WrongUnitError as error:
            raise FaultsError([Fault("unit", unit, "not-a-choice", str(error))]) from None

    def drawing(self, view: str = "isometric", *, line: int | None = None) -> Drawing:
        """Draw the furniture of a line, or how the boards are cut.

        view: isometric, exploded, sides, front, left, right, top, behind, below, step-1 and on, apart-1 and on, or
        cutting, cutting-2 and on; line: its number from 0, unset: the first with furniture.
        Raises FaultsError: there is no such drawing.
        """
        subjects = self._subjects if line is None else {line: self._subjects[line]} if line in self._subjects else {}
        if line is not None and not subjects:
            raise no_choice("line", line, map(str, self._subjects))
        of = next(iter(subjects.values()), None)
        drawn = page(of, view) if of else None
        if drawn is None:
            cutting = {each.name: each for each in cutting_pages(self._made)}
            drawn = cutting.get(view)
            if drawn is None:
                raise no_choice("view", view, [*(names(of) if of else ()), *cutting])
        return Drawing(drawn.name, drawn.svg)

    def to_dict(self) -> dict[str, Any]:
        """Give the whole answer as the service does, in plain lists and dicts; each time a copy."""
        found: dict[str, Any] = json.loads(self.to_json())
        return found

    def to_json(self) -> str:
        """Give the whole answer as the service sends it, byte for byte in UTF-8."""
        return json_bytes(self._json).decode()

    def to_excel(self, path: str | Path) -> None:
        """Write a workbook, as the service sends it."""
        Path(path).write_bytes(quote_workbook(self._sheets(), self._json, self._front()))

    def _sheets(self) -> Sequence[Table]:
        return [*TABLES.values()]

    def _front(self) -> Front:
        return Front(heading_of(self._json), self._made.book.title, None, pictures(self._subjects.values()))

    @cached_property
    def _subjects(self) -> Mapping[int, Subject]:
        return subjects_of(self._made.request)
