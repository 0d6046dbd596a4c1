"""A room in front of another: the same task that is asked for while it is being done is done once, for all who ask."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, InvalidStateError
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Final

from sawbill.backroom.task import Answer, Room, Task

HALF: Final = 0.5
"""Whoever asks waits for a task that has at least this share of his own time left; else he has it done anew."""


@dataclass(eq=False, slots=True)
class _Flight:
    """A task on its way, and who waits for it. late: when its time is over on the monotonic clock [s]."""

    late: float
    waiting: list[Future[Answer]] = field(default_factory=list)
    work: Future[Answer] | None = None


class Once:
    """Does the same task of one caller once, where it is asked for again before it is done. Threads may share it.

    Nobody depends on who came first: a task ends when the last who waits for it has cancelled. Its answer counts its
    time once, for the first of those who are left.
    """

    def __init__(self, room: Room) -> None:
        self._room = room
        self._lock = threading.Lock()
        self._flights: dict[tuple[Any, ...], _Flight] = {}

    def submit(self, task: Task) -> Future[Answer]:
        """Have a task done, or wait for the same that is being done."""
        key, future, now = _key(task), Future[Answer](), time.monotonic()
        with self._lock:
            flight, begins = self._flights.get(key), False
            if flight is None or flight.late - now < task.seconds * HALF:
                flight, begins = _Flight(now + task.seconds), True
                self._flights[key] = flight
            flight.waiting.append(future)
        future.add_done_callback(partial(self._left, key, flight))
        if begins:
            self._begin(key, flight, task)
        return future

    def told(self) -> Future[Answer]:
        """Tell what the room tells."""
        return self._room.told()

    def _begin(self, key: tuple[Any, ...], flight: _Flight, task: Task) -> None:
        try:
            work = self._room.submit(task)
        except Exception as error:  # those who have come meanwhile are told too
            work = Future()
            work.set_exception(error)
        with self._lock:
            flight.work = work
            wanted = bool(flight.waiting)
        work.add_done_callback(partial(self._done, key, flight))
        if not wanted:  # all have left meanwhile
            work.cancel()

    def _left(self, key: tuple[Any, ...], flight: _Flight, future: Future[Answer]) -> None:
        """Let go of one who waits no longer, and of a task that nobody waits for."""
        if not future.cancelled():
            return
        with self._lock:
            if future in flight.waiting:
                flight.waiting.remove(future)
            if flight.waiting:
                return
            self._forget(key, flight)
            work = flight.work
        if work is not None:
            work.cancel()

    def _done(self, key: tuple[Any, ...], flight: _Flight, work: Future[Answer]) -> None:
        with self._lock:
            self._forget(key, flight)
            waiting, flight.waiting, flight.work = flight.waiting, [], None
        give = _giving(work)
        for future in waiting:
            with suppress(InvalidStateError):  # cancelled in between
                give(future)

    def _forget(self, key: tuple[Any, ...], flight: _Flight) -> None:
        if self._flights.get(key) is flight:
            del self._flights[key]


def _key(task: Task) -> tuple[Any, ...]:
    """What makes two tasks the same: who asks, how urgently, and all that the answer can depend on."""
    return task.caller, task.rank, task.work, tuple(each.key for each in task.shared)


def _giving(work: Future[Answer]) -> Callable[[Future[Answer]], None]:
    """How what came of a task is given to each who waits: the first answer with its time, the others with none."""
    error = CancelledError() if work.cancelled() else work.exception()
    if error is not None:
        return lambda future: future.set_exception(error)
    answers = iter([work.result()])
    again = Answer(work.result().value, 0.0)
    return lambda future: future.set_result(next(answers, again))
