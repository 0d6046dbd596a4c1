"""What a comparison came to as a job, sent some rows at a time: all of them, or those from one number on."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import Any, Final

from flask import Response

from sawbill.answer.forms import parquet
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.backroom import Rank, Task
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.store import Job, Store
from sawbill.store.kept.parts import TOLD
from sawbill.web.http.media import CSV, JSON, Media
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning import sweeping
from sawbill.web.work import handing_in
from sawbill.web.work.handing_in import Asker
from sawbill.web.work.quoting import Service

LINES: Final = Media("ndjson", "application/x-ndjson", "", "The rows, a JSON object a line.")
PARQUET: Final = Media(
    "parquet", "application/vnd.apache.parquet", "",
    "The rows as columns, Apache Parquet; takes the extra sawbill[parquet].",
)  # fmt: skip
IN_PARTS: Final = (JSON, CSV, LINES, PARQUET)
"""The forms that any number of rows is to be had in."""
AHEAD: Final = 2
"""How many parts are handed in before the first of them is written."""


@dataclass(frozen=True)
class Swept:
    """The rows of a job from `first` on up to `end`, or all."""

    store: Store
    job: Job
    first: int = 0
    most: int | None = None

    @cached_property
    def held(self) -> Mapping[str, Any]:
        """What is kept beside the rows."""
        found: Mapping[str, Any] = json.loads(self.job.result or b"{}")
        return found

    @property
    def shown(self) -> int:
        """How many rows there are."""
        return int(self.held["comparison"]["counts"]["shown"])

    @property
    def end(self) -> int:
        """The number after the last."""
        return self.shown if self.most is None else min(self.shown, self.first + self.most)

    def whole(self) -> bytes:
        """Give it as JSON, all at once."""
        return b"".join(self.json())

    def json(self) -> Iterator[bytes]:
        """Give it as JSON."""
        head, _, tail = json_bytes(self.held["comparison"]).rpartition(b'"rows":[]')
        yield head + b'"rows":['
        between = b""
        for rows in self._rows():
            yield between + b",".join(rows)
            between = b","
        yield b"]" + tail

    def lines(self) -> Iterator[bytes]:
        """Give the rows, a line each."""
        for rows in self._rows():
            yield b"\n".join(rows) + b"\n"

    def csv(self, asker: Asker, service: Service, *, bom: bool) -> Iterator[bytes]:
        """Give the rows as CSV, written by engines."""
        options = tuple(self.held["options"])

        def task(place: int, data: bytes) -> Task:
            return asker.task(sweeping.csv, (data, options, place == 0, bom and place == 0))

        return self._written(asker, service, task)

    def parquet(self, asker: Asker, service: Service) -> Iterator[bytes]:
        """Give the rows as Parquet, their columns made by engines. Raises Problem: it takes what is not installed."""
        if not parquet.is_there():
            raise Problem("not-installed", "Parquet takes the extra sawbill[parquet]; ask for .csv or .ndjson")
        options = tuple(self.held["options"])
        parts = self._written(asker, service, lambda _, data: asker.task(sweeping.columns, (data, options)))
        return parquet.file_of(parts)

    def _written(self, asker: Asker, service: Service, task: Callable[[int, bytes], Task]) -> Iterator[bytes]:
        packed = (sweeping.packed(rows) for rows in self._rows(at_least_once=True))
        tasks = (task(place, data) for place, data in enumerate(packed))
        return asker.each(service.room, tasks, AHEAD)

    def _rows(self, *, at_least_once: bool = False) -> Iterator[list[bytes]]:
        """The rows as they are kept, some at a time; at_least_once: also where there are none."""
        row, end = self.first, self.end
        if row >= end and at_least_once:
            yield []
        while row < end:
            part = self.store.parts.at(self.job.id, TOLD, row)
            rows = sweeping.lines_of(part.data)[row - part.first : end - part.first]
            yield rows
            row += len(rows)


def in_parts(swept: Swept, form: Media, service: Service, *, bom: bool) -> Response:
    """Send it in a form that any number of rows is to be had in. Raises Problem."""
    asker = handing_in.asker(Rank.ROW, at_once=False)
    body: Iterable[bytes]
    if form in (CSV, PARQUET):
        asker.begin()
        made = swept.csv(asker, service, bom=bom) if form is CSV else swept.parquet(asker, service)
        body = _paid(_begun(made), asker)
    elif swept.end - swept.first <= MOST_ROWS:
        body = [b"".join(swept.json() if form is JSON else swept.lines())]
    else:
        body = swept.json() if form is JSON else swept.lines()
    response = Response(body, content_type=form.content_type)
    if form in (CSV, PARQUET):
        response.headers["Content-Disposition"] = f'attachment; filename="comparison.{form.suffix}"'
    return response


def _begun(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """The same pieces, the first of them made now: what keeps it from being made can still be told."""
    first = next(pieces, b"")
    return chain((first,), pieces)


def _paid(pieces: Iterator[bytes], asker: Asker) -> Iterator[bytes]:
    try:
        yield from pieces
    finally:
        asker.settle()
