"""The rows of a comparison: its request read, and each row worked out by as many processes as this machine has."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from contextlib import nullcontext
from functools import partial
from typing import Final

import click

from sawbill.backroom import Room, Task, opened, packed, several
from sawbill.cli.requests.asking import Asking
from sawbill.cli.requests.designs import designs
from sawbill.cli.requests.reckoned import books_of
from sawbill.cutting.solver.helper import HELPER
from sawbill.quoting.comparing.comparison import Common, Figures, NoQuote, Question, Row, compare, in_turn
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning import readiness
from sawbill.web.reckoning.comparisons import Comparing, comparing, row
from sawbill.web.reckoning.several import Asked
from sawbill.web.work.comparing import AHEAD

FEW: Final = 4
"""Up to how many rows it is not worth to start processes."""
FOR_EVER: Final = 86_400.0


def compared(asking: Asking) -> Comparing:
    """Read a request for a comparison, or end the command with every fault of it."""
    designs()
    named, shared = books_of(asking.raw.get("price_books"))
    read = comparing(shared, Asked(asking.raw, named, tuple(asking.faults), at_once=False))
    if isinstance(read, Problem):
        asking.refuse(read)
    return Comparing(read.raw, read.wanted, read.with_books(shared))


def made(asked: Comparing) -> list[Row]:
    """Make the rows, with a bar on the error stream where that is a terminal."""
    combinations = asked.compared.combinations
    if len(combinations) > FEW:
        readiness.load()
    with opened(prepare=HELPER.warm) if len(combinations) > FEW else nullcontext() as room:
        run = in_turn if room is None else partial(_run, room)
        rows = compare(combinations, asked.compared.common, asked.books, run)
        bar = click.progressbar(
            rows, length=len(combinations), label="Quoting", file=sys.stderr, hidden=not sys.stderr.isatty()
        )
        with bar as shown:
            return list(shown)


def _run(room: Room, _: object, common: Common, questions: Iterable[Question]) -> Iterator[Figures | NoQuote]:
    """Have rows worked out by as many processes as this machine has work for; here none is too late."""
    shared = [packed(str(place), book) for place, book in enumerate(common.books)]
    tasks = (
        Task(row, (dict(common.asked), line), (shared[place],), seconds=FOR_EVER) for place, line in questions
    )  # fmt: skip
    return (answer.value for answer in several(room, tasks, AHEAD))
