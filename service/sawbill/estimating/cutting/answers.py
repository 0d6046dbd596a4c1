"""How a programme is asked for and answered; shared by both sides of the helper process."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Outcome(Enum):
    """What the solver can stand by: the best there is, the best it came to, that there is none, or nothing."""

    BEST = "best"
    STOPPED = "stopped"
    IMPOSSIBLE = "impossible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Effort:
    """Where the solver stops: nodes make equal runs stop alike, seconds are for emergencies."""

    nodes: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Answer:
    """Counts of the columns, in the order they were given; empty unless there is a plan."""

    outcome: Outcome
    counts: tuple[int, ...] = ()
    timed_out: bool = False


@dataclass(frozen=True, slots=True)
class Programme:
    """An integer programme: least sum costs x with lowers <= A x <= uppers, x >= 0 whole; None is no bound.

    columns: of A, each as (row, value).
    """

    costs: tuple[int, ...]
    columns: tuple[tuple[tuple[int, int], ...], ...]
    lowers: tuple[int | None, ...]
    uppers: tuple[int | None, ...]
