"""What a command reads beside its words: requests and tables, as JSON or CSV, from files or standard input."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Any, Final, NamedTuple

import click

from sawbill.cli.options.declared import Field
from sawbill.cli.output.ending import refuse
from sawbill.prices.rows.columns import Columns
from sawbill.prices.rows.csvtable import MAX_BYTES, decoded, records
from sawbill.prices.rows.faults import BookFaultsError, Faults
from sawbill.prices.rows.record import Record
from sawbill.web.http.bodies import read_json_text
from sawbill.web.http.problems import Problem

STDIN: Final = "-"


class Table(NamedTuple):
    """Rows that were read, each with its place, and what is wrong with the table, each fault with its place."""

    rows: list[tuple[str, Any]]
    faults: list[tuple[str, str]]


class Input:
    """A file, or standard input: JSON if it begins as that does, else CSV. What cannot be read ends the command."""

    def __init__(self, file: str) -> None:
        self.called = "standard input" if file == STDIN else file
        try:
            with click.open_file(file, "rb") as stream:
                self.data = stream.read(MAX_BYTES + 1)
        except OSError as error:
            refuse([f"{self.called}: {error.strerror}; name a file that can be read, or - for standard input"])
        if len(self.data) > MAX_BYTES:
            refuse([f"{self.called}: it may have at most {MAX_BYTES} bytes"])

    @property
    def is_json(self) -> bool:
        """Whether it begins as a JSON object or list does."""
        return self.data.lstrip(b" \t\r\n")[:1] in (b"{", b"[")

    @property
    def holds_object(self) -> bool:
        """Whether it is JSON, and an object."""
        return self.is_json and isinstance(self.json, dict)

    @cached_property
    def json(self) -> Any:
        """Its JSON."""
        try:
            return read_json_text(self.data)
        except Problem as problem:
            refuse([f"{self.called}: {problem.detail.removeprefix('the body is ')}"])

    def request(self) -> dict[str, Any]:
        """Its JSON, which is a request."""
        if not isinstance(self.json, dict):
            refuse([f"{self.called}: it is no request; give a JSON object, as the service takes it"])
        return self.json

    def table(self, fields: Sequence[Field], answer: str = "") -> Table:
        """Its rows; answer: the list they are in where the file is a whole answer of the service."""
        if not self.is_json:
            return self._csv(fields)
        found = self.json.get(answer) if isinstance(self.json, dict) else self.json
        if not isinstance(found, list):
            has = f", or an answer that has {answer}" if answer else ""
            refuse([f"{self.called}: give a list of objects{has}, or a CSV with the columns {_names(fields)}"])
        return Table([(f"{self.called}, entry {i}", row) for i, row in enumerate(found)], [])

    def _csv(self, fields: Sequence[Field]) -> Table:
        """Its rows as CSV: of a length `length_mm` may stand beside `length`, as in the tables of an answer."""
        faults, lengths = Faults(), [f"{each.name}_mm" for each in fields if each.is_length]
        known = Columns(
            tuple(each.name for each in fields if each.required),
            (*(each.name for each in fields if not each.required), *lengths),
        )
        found: list[Record] | None = None
        try:
            text = decoded(self.data, "", faults)
            found = None if text is None else records(text, "", faults, known)
            faults.raise_if_any()
        except BookFaultsError as error:
            return Table([], [(f.within(self.called).removesuffix(f": {f.detail}"), f.detail) for f in error.faults])
        return Table([(f"{self.called}, line {row.line}", dict(_values(row, fields))) for row in found or ()], [])


def _values(row: Record, fields: Sequence[Field]) -> Iterator[tuple[str, Any]]:
    """The filled cells of a row as JSON has them."""
    for each in fields:
        text = row.text(each.name)
        if each.is_length and (exact := row.text(f"{each.name}_mm")):
            yield each.name, f"{exact} mm"
        elif text:
            yield each.name, each.cell(text)


def _names(fields: Sequence[Field]) -> str:
    return ", ".join(each.name for each in fields)
