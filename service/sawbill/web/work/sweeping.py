"""A comparison as a job: its rows are kept as they come, then judged, and kept again as they are told.

Whoever takes the job next goes on after the last rows that were kept. Rows are held some hundreds at a time; of all of
them only the numbers that they are judged by.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

import numpy as np

from sawbill.answer.compared import comparison_without_rows
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import ENGINE
from sawbill.backroom import Task
from sawbill.backroom.task import Shared
from sawbill.quoting.comparing.standing import Ints
from sawbill.store import Job, Part, Store
from sawbill.store.kept.parts import MADE, TOLD, Stage
from sawbill.web.library import packing
from sawbill.web.reckoning import sweeping
from sawbill.web.reckoning.comparisons import Comparing
from sawbill.web.reckoning.sweeping import Made, Stood
from sawbill.web.work import comparing
from sawbill.web.work.asking import offered, tag_of
from sawbill.web.work.handing_in import Asker
from sawbill.web.work.quoting import Service

PART: Final = 500
"""How many rows are kept together at most."""
KEEP_EVERY: Final = 2.0
"""How often to keep what there is [s]: so much is made again where a process ends."""
WINDOW: Final = 20_000
"""How many rows are held at most while they are put in order."""
AHEAD: Final = 4
"""How many parts are handed in before the first of them is written."""
MOST_TOGETHER: Final = 20
SOON: Final = 0.2
"""How many rows an engine makes at a time at most, and about how long that is to take [s]."""
JUDGING: Final = 900.0
"""How long it may take to judge all rows [s]."""


@dataclass
class Sweep:
    """A comparison that is made as a job; lease: for how long it is kept from others at each sign of life."""

    service: Service
    store: Store
    job: Job
    asker: Asker
    lease: timedelta

    def done(self) -> bytes:
        """Make it, and give what it says beside its rows. Raises Problem, UnknownJobError, StoreError."""
        raw = json.loads(self.job.request)
        asked = comparing.read(raw, self.service, self.asker, as_job=True)
        self.store.jobs.go_on(self.job, tag_of(ENGINE, offered()), len(asked.compared.combinations))
        shared = tuple(packing.shared(book) for book in asked.books)
        self._make(asked)
        parts = tuple(self._parts())
        patient = replace(self.asker, seconds=JUDGING)
        task = sweeping.standing, (asked.compared, parts), shared
        stood, _ = patient.done(self.service.room, *task)
        self._tell(asked, stood, shared)
        whole = comparison_without_rows(asked.compared, asked.books, stood.counts)
        return json_bytes({"comparison": whole, "options": stood.options})

    def _make(self, asked: Comparing) -> None:
        """Make the rows that are not kept yet, and keep them."""
        start, of = self.store.parts.rows(self.job.id, MADE), len(asked.compared.combinations)
        rate, together = _Rate(start, of), _Together()
        self.store.jobs.renew(self.job, self.lease, rate.told(start))
        lines: list[bytes] = []
        kept = time.monotonic()
        tasks, ahead = self._rows(asked, start, together), self.service.in_hand(comparing.AHEAD)
        for made in self.asker.each(self.service.room, tasks, ahead):
            together.learn(made)
            for proof in made.proofs:
                self.service.meters.count_quote(proof)
            lines += made.lines
            if len(lines) >= PART or time.monotonic() - kept >= KEEP_EVERY:
                start = self._keep(MADE, start, lines, rate)
                lines, kept = [], time.monotonic()
        if lines:
            self._keep(MADE, start, lines, rate)

    def _rows(self, asked: Comparing, start: int, together: _Together) -> Iterator[Task]:
        """Have rows made, some at a time, from a number on."""
        grid = asked.compared.combinations
        while start < len(grid):
            numbers = range(start, min(len(grid), start + together.rows))
            places = sorted({each.book for each in grid[numbers.start : numbers.stop]})
            shared = [packing.shared(asked.books[place]) for place in places]
            yield self.asker.task(sweeping.made, (asked.compared, numbers, places), shared)
            start = numbers.stop

    def _keep(self, stage: Stage, first: int, lines: list[bytes], rate: _Rate) -> int:
        """Keep some rows, and give the number of the next; what they cost is paid."""
        after = first + len(lines)
        part = Part(first, len(lines), sweeping.packed(lines))
        self.store.jobs.keep(self.job, self.lease, stage, part, rate.told(after))
        self.asker.settle()
        return after

    def _parts(self) -> Iterator[bytes]:
        row, end = 0, self.store.parts.rows(self.job.id, MADE)
        while row < end:
            part = self.store.parts.at(self.job.id, MADE, row)
            yield part.data
            row = part.first + part.rows

    def _tell(self, asked: Comparing, stood: Stood, shared: tuple[Shared, ...]) -> None:
        """Keep the rows as they are told, after those that are kept so already."""
        begin, of = self.store.parts.rows(self.job.id, TOLD), len(asked.compared.combinations)
        tasks = self._tasks(asked, stood, shared, begin)
        for data in self.asker.each(self.service.room, tasks, AHEAD):
            part = Part(begin, min(PART, len(stood.standing) - begin), data)
            self.store.jobs.keep(self.job, self.lease, TOLD, part, _Rate(of, of).told(of))
            begin += part.rows

    def _tasks(self, asked: Comparing, stood: Stood, shared: tuple[Shared, ...], begin: int) -> Iterator[Task]:
        wanted = asked.compared.wishes.baseline
        baseline = None if wanted is None else next(self._lines(np.array([wanted])))[1]
        for window in range(begin, len(stood.standing), WINDOW):
            some = stood.standing[window : window + WINDOW]
            lines = dict(self._lines(np.sort(some.numbers)))
            for first in range(0, len(some), PART):
                these = some[first : first + PART]
                made = tuple(lines[number] for number in these.numbers.tolist())
                yield self.asker.task(sweeping.told, (asked.compared, made, these, baseline), shared)

    def _lines(self, numbers: Ints) -> Iterator[tuple[int, bytes]]:
        """What rows came to, by their numbers, which ascend."""
        left = iter(numbers.tolist())
        number = next(left, None)
        while number is not None:
            part = self.store.parts.at(self.job.id, MADE, number)
            lines = sweeping.lines_of(part.data)
            while number is not None and number < part.first + part.rows:
                yield number, lines[number - part.first]
                number = next(left, None)


class _Together:
    """How many rows an engine makes at a time: what hands them out is not kept busy, and no engine for long."""

    def __init__(self) -> None:
        self.rows = 1

    def learn(self, made: Made) -> None:
        """Take so many that they are likely to take a fifth of a second."""
        each = made.seconds / len(made.lines)
        self.rows = max(1, min(MOST_TOGETHER, int(SOON / each)))


class _Rate:
    """How far it is, how fast, and how long it takes yet, as a job keeps it."""

    def __init__(self, start: int, of: int) -> None:
        self._start, self._of, self._began = start, of, time.monotonic()

    def told(self, done: int) -> str:
        """Tell where so many rows are done: done/of/best/gap/rate [rows a second]/left [s]; no best, no gap."""
        seconds = time.monotonic() - self._began
        if done == self._start or not seconds:
            return f"{done}/{self._of}"
        rate = (done - self._start) / seconds
        return f"{done}/{self._of}///{rate:.1f}/{(self._of - done) / rate:.0f}"
