"""A proposal: its request read, and every step of it done by as many processes as this machine has."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import nullcontext
from functools import partial
from typing import Any, Final

import click

from sawbill.backroom import Room, Task, opened, packed, several
from sawbill.cli.requests.asking import Asking
from sawbill.cli.requests.designs import designs
from sawbill.cli.requests.reckoned import books_of
from sawbill.cli.requests.rows import FOR_EVER
from sawbill.cutting.solver.helper import HELPER
from sawbill.quoting.comparing.comparison import Common, in_turn
from sawbill.quoting.proposing.pool import Progress
from sawbill.quoting.proposing.proposal import AT_LENGTH, Proposal, propose
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning import readiness
from sawbill.web.reckoning.proposals import proposing, step
from sawbill.web.reckoning.several import Asked
from sawbill.web.work.proposing import AHEAD, Proposing

FEW: Final = 40
"""Up to how many combinations it is not worth to start processes."""


def proposed(asking: Asking) -> Proposing:
    """Read a request for a proposal, or end the command with every fault of it."""
    designs()
    named, shared = books_of(asking.raw.get("price_books"))
    read = proposing(shared, Asked(asking.raw, named, tuple(asking.faults), at_once=False))
    if isinstance(read, Problem):
        asking.refuse(read)
    return Proposing(read.raw, read.wanted, read.with_books(shared), AT_LENGTH)


def made(asked: Proposing) -> Proposal:
    """Make it, with a bar on the error stream where that is a terminal."""
    size = asked.proposed.grid.size
    if size > FEW:
        readiness.load()
    with opened(prepare=HELPER.warm) if size > FEW else nullcontext() as room:
        run = in_turn if room is None else partial(_run, room)
        bar = click.progressbar(length=size, label="Ruled out", file=sys.stderr, hidden=not sys.stderr.isatty())
        with bar as shown:

            def told(progress: Progress) -> None:
                shown.update(max(0, progress.out - shown.pos))

            return propose(asked.proposed, asked.books, run, told, asked.limits)


def _run(
    room: Room, function: Callable[[Common, Any], Any], common: Common, items: Iterable[Any]
) -> Iterator[Any]:  # fmt: skip
    shared = tuple(packed(str(place), book) for place, book in enumerate(common.books))
    tasks = (Task(step, (function, dict(common.asked), item), shared, seconds=FOR_EVER) for item in items)
    return (answer.value for answer in several(room, tasks, AHEAD))
