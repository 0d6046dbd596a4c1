"""Tasks for the back room: handed in for whoever asks, waited for, paid, and told as a problem where they fail."""

from __future__ import annotations

import logging
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import CancelledError, Future
from dataclasses import dataclass
from threading import Lock
from typing import Any, Final

from flask import Flask, Response, current_app, g, request

from sawbill.backroom import (
    Answer,
    FailedError,
    FullError,
    GoneError,
    Rank,
    Room,
    RoomError,
    Task,
    TookTooLongError,
    several,
)
from sawbill.backroom.task import USUAL_SECONDS, Shared
from sawbill.store import StoreError
from sawbill.web.admission.limits import Budget
from sawbill.web.door.request import LEFT, Presence
from sawbill.web.http import logs
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning import prices
from sawbill.web.reckoning.prices import Body
from sawbill.web.running import telemetry

MOST_AT_WORK: Final = 128
"""How many requests of a process may have work done at once, or wait for the same to be done for others: fewer than it
has threads. How much of that is begun, the back room decides."""
MOST_OF_ONE: Final = 64
"""How many of those may be one caller's."""
_PLACES: Final = "sawbill-places"
SMALL: Final = 64_000
"""Up to how many bytes a body is looked through where it came in: more holds up others too long."""
SOON: Final = 2
"""When to ask again where too many wait [s]."""
LATER: Final = 15
"""When to ask again for what took too long just now [s]."""
_LOG: Final = logging.getLogger("sawbill.web.work.handing_in")


class BrokenError(Exception):
    """A task met a fault of ours; the message is its trace."""


class Places:
    """Who has work done: fewer at once than there are threads, so that other requests get through."""

    def __init__(self, most: int = MOST_AT_WORK, of_one: int = MOST_OF_ONE) -> None:
        self._most, self._of_one = most, of_one
        self._lock, self._taken = Lock(), Counter[str]()

    def take(self, caller: str) -> bool:
        """Take a place for a caller, and whether there was any."""
        with self._lock:
            free = self._taken.total() < self._most and self._taken[caller] < self._of_one
            self._taken[caller] += free
        return free

    def give_back(self, caller: str) -> None:
        """Give a place back."""
        with self._lock:
            self._taken -= Counter([caller])


class Work:
    """Whether one request has work done."""

    def __init__(self, places: Places, caller: str) -> None:
        self._places, self._caller, self._taken = places, caller, False

    def begin(self) -> bool:
        """Take a place, unless it has one, and whether there was any."""
        self._taken = self._taken or self._places.take(self._caller)
        return self._taken

    def end(self) -> None:
        """Give the place back."""
        if self._taken:
            self._taken = False
            self._places.give_back(self._caller)


@dataclass(frozen=True, slots=True)
class _Watched:
    """A room whose tasks are traced, and end when who asks has left."""

    room: Room
    presence: Presence | None

    def submit(self, task: Task) -> Future[Answer]:
        end = telemetry.task(task.function)
        future = self.room.submit(task)
        future.add_done_callback(end)
        if (presence := self.presence) is not None:
            presence.when_gone(future.cancel)
            future.add_done_callback(lambda done: presence.forget(done.cancel))
        return future

    def told(self) -> Future[Answer]:
        return self.room.told()


@dataclass(frozen=True, slots=True)
class Asker:
    """For whom tasks are done. caller: whose share they take; label: how the log calls them; budget: who pays.

    late: when all of it has to be done, on the monotonic clock [s]; None: each has so many `seconds`.
    """

    caller: str
    label: str
    rank: Rank = Rank.SINGLE
    budget: Budget | None = None
    work: Work | None = None
    presence: Presence | None = None
    late: float | None = None
    seconds: float = USUAL_SECONDS

    def names(self, room: Room, body: Body) -> list[str]:
        """Give the names of the price books that a request asks for. Raises Problem: also where it is no JSON."""
        if isinstance(body, bytes) and len(body) > SMALL:
            found: list[str] = self.done(room, prices.asked_names, (body,))[0]
            return found
        return prices.names(body)

    def done(
        self, room: Room, function: Callable[..., Any], arguments: tuple[Any, ...], shared: Sequence[Shared] = ()
    ) -> tuple[Any, float]:
        """Have a task done, and give what came of it and how long an engine was at it [s]. Raises Problem."""
        self.begin()
        value, seconds = self._answer(self.watched(room), self.task(function, arguments, shared))
        self.charge(seconds)
        if isinstance(value, Problem):
            try:
                raise value
            finally:
                del value  # else it holds itself, by its trace, and all that was sent
        return value, seconds

    def each(self, room: Room, tasks: Iterable[Task], ahead: int) -> Iterator[Any]:
        """Have tasks done, and give what came of them, in order; ahead: how many are handed in at once.

        Raises Problem.
        """
        try:
            for answer in several(self.watched(room), tasks, ahead):
                self.charge(answer.seconds)
                yield answer.value
        except (RoomError, CancelledError) as error:
            raise self.problem_of(error) from error

    def _answer(self, room: Room, task: Task) -> tuple[Any, float]:
        """Wait for the answer to a task. Raises Problem."""
        future, began = room.submit(task), time.monotonic()
        try:
            answer = future.result()
        except (RoomError, CancelledError) as error:
            self.charge(time.monotonic() - began if isinstance(error, TookTooLongError) else 0.0)
            raise self.problem_of(error) from error
        finally:
            del future  # it holds what is raised here
        return answer.value, answer.seconds

    def task(
        self, function: Callable[..., Any], arguments: tuple[Any, ...], shared: Sequence[Shared] = (),
    ) -> Task:  # fmt: skip
        """Write a task."""
        seconds = self.seconds if self.late is None else max(0.0, self.late - time.monotonic())
        return Task(function, arguments, tuple(shared), self.caller, self.label, self.rank, seconds)

    def watched(self, room: Room) -> Room:
        """Give the room as this one asks it."""
        return _Watched(room, self.presence)

    def begin(self) -> None:
        """See that there is something left to pay with; a job has begun already. Raises Problem."""
        if self.rank is Rank.JOB:
            return
        if self.work is not None and not self.work.begin():
            raise Problem("busy", "the request was not worked out: there are too many at once", headers=_after(SOON))
        if self.budget is not None:
            self.budget.hold()

    def charge(self, seconds: float) -> None:
        """Owe for so much of an engine's time [s]."""
        if self.budget is not None:
            self.budget.worked += seconds

    def settle(self) -> None:
        """Pay what is owed, where no answer does that."""
        if self.budget is not None:
            try:
                self.budget.settle()
            except StoreError as error:
                _LOG.error("%s is not paid: %s", self.label, error)

    def problem_of(self, error: RoomError | CancelledError) -> Problem:
        """Tell why a task has no answer. Raises BrokenError: by a fault of ours, which is logged."""
        if isinstance(error, FailedError):
            raise BrokenError(str(error)) from None
        if isinstance(error, FullError):
            return Problem("busy", f"the request was not worked out: {error}", headers=_after(SOON))
        if isinstance(error, CancelledError):
            return Problem("busy", "who asked has left")
        if isinstance(error, GoneError):
            _LOG.error("%s came to nothing: %s", self.label, error)
            return Problem("busy", "the request was not worked out: what was at it ended", headers=_after(SOON))
        return Problem("took-too-long", f"the request was worked out no further: {error}", headers=_after(LATER))


def asker(rank: Rank = Rank.SINGLE, *, at_once: bool = True) -> Asker:
    """Tell for whom the request at hand has tasks done; at_once: whether all of it has one deadline."""
    if "work" not in g:
        g.work = Work(current_app.extensions[_PLACES], g.get("bucket", ""))
        g.late = time.monotonic() + current_app.config["DEADLINE"]
    presence = request.environ.get(LEFT)
    late, seconds = g.late if at_once else None, current_app.config["DEADLINE"]
    return Asker(g.get("bucket", ""), logs.label(), rank, g.get("budget"), g.work, presence, late, seconds)


def employ(app: Flask) -> None:
    """Give an application places for requests that have work done."""
    app.extensions[_PLACES] = Places()
    app.after_request(_leave)


def _leave(response: Response) -> Response:
    if "work" in g and response.is_streamed:
        response.call_on_close(g.work.end)
    elif "work" in g:
        g.work.end()
    return response


def _after(seconds: int) -> dict[str, str]:
    return {"Retry-After": str(seconds)}
