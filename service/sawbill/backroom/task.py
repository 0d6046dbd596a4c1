"""What the back room is asked, what it answers, and what can become of a task instead."""

from __future__ import annotations

import copyreg
import pickle
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from types import MappingProxyType
from typing import Any, Final, Protocol

USUAL_SECONDS: Final = 20.0


class Rank(IntEnum):
    """What goes first: a single answer that somebody waits for, one of many, or work that nobody waits for."""

    SINGLE = 0
    ROW = 1
    JOB = 2


@dataclass(frozen=True, slots=True)
class Shared:
    """What many tasks need, such as a price book: handed to each engine once; key: the same for the same content."""

    key: str
    packed: bytes


@dataclass(frozen=True)
class Task:
    """A function of a module, called with all that is shared as one tuple, and with its own arguments.

    caller: who asks, for nobody may take all; label: how the log calls it; seconds: how long the answer may take from
    when it is asked for, waiting included [s].
    """

    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    shared: tuple[Shared, ...] = ()
    caller: str = ""
    label: str = ""
    rank: Rank = Rank.SINGLE
    seconds: float = USUAL_SECONDS

    @cached_property
    def work(self) -> bytes:
        """Its function and arguments, packed: what it comes to depends on nothing beside but what is shared."""
        return pickle.dumps((self.function, self.arguments), pickle.HIGHEST_PROTOCOL)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a function gave; seconds: how long an engine was at it [s]."""

    value: Any
    seconds: float


@dataclass(frozen=True, slots=True)
class Limits:
    """How many may do how much.

    engines: tasks at work at once; bench: how many more have lost their seat, having used `seat` of the processor [s];
    guests: how many more may have one where all are taken: single answers, for who has nothing else at work;
    queue: how many of one rank may wait, share: how many of those may be one caller's; memory: by how much an engine
    may grow [bytes].
    """

    engines: int = 2
    bench: int = 2
    guests: int = 0
    seat: float = 1.0
    queue: int = 48
    share: int = 24
    memory: int = 400 * 2**20


class RoomError(Exception):
    """A task has no answer."""


class FullError(RoomError):
    """Too many wait, or too many of this caller's: ask later."""


class TookTooLongError(RoomError):
    """The time for it ran out, or it had to make room for others; it has been ended."""


class TooLargeError(RoomError):
    """It asked for more memory than an engine may have."""


class GoneError(RoomError):
    """Whoever was at it ended, or there is nobody to ask."""


class FailedError(RoomError):
    """The function raised; the message is the trace of its error, for the log alone."""


class Room(Protocol):
    """Where tasks are done."""

    def submit(self, task: Task) -> Future[Answer]:
        """Have a task done. The future raises RoomError; cancelling it ends the work."""
        ...

    def told(self) -> Future[Answer]:
        """Tell how many tasks and engines there are and have been."""
        ...


def packed(key: str, value: object) -> Shared:
    """Pack what many tasks share."""
    return Shared(key, pickle.dumps(value, pickle.HIGHEST_PROTOCOL))


def _proxy(content: Mapping[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(content)


def _reduced(proxy: MappingProxyType[Any, Any]) -> tuple[Any, ...]:
    return _proxy, (dict(proxy),)


copyreg.pickle(MappingProxyType, _reduced)  # a price book holds some
