"""How an integer programme is asked for and answered; shared by both sides of the helper process."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum


class Outcome(Enum):
    """What the solver can stand by: the best there is, the best it came to if any, that there is none, or nothing."""

    BEST = "best"
    STOPPED = "stopped"
    IMPOSSIBLE = "impossible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Effort:
    """Where the solver stops: nodes make equal runs stop alike, seconds are for emergencies.

    proof: whether what it stands by must be found a second time, in another way; else a solution is all that is wanted.
    """

    nodes: int
    seconds: float
    proof: bool = True


@dataclass(frozen=True, slots=True)
class Answer:
    """Counts of the columns, in the order they were given; empty unless there is a solution."""

    outcome: Outcome
    counts: tuple[int, ...] = ()
    timed_out: bool = False


@dataclass(frozen=True, slots=True)
class Programme:
    """An integer programme: least sum costs x with lowers <= A x <= uppers, x >= 0 whole; None is no bound.

    columns: of A, each as (row, value); most: what a solution may cost, said to the solver beside the rows that say so.
    """

    costs: tuple[int, ...]
    columns: tuple[tuple[tuple[int, int], ...], ...]
    lowers: tuple[int | None, ...]
    uppers: tuple[int | None, ...]
    most: int | None = None

    def cost(self, counts: tuple[int, ...]) -> int:
        """What a solution costs."""
        return sum(cost * count for cost, count in zip(self.costs, counts, strict=True))

    def up_to(self, cost: int) -> Programme:
        """The same, for solutions that cost no more than so much."""
        last = len(self.lowers)
        columns = tuple(
            (*column, (last, cost)) if cost else column for column, cost in zip(self.columns, self.costs, strict=True)
        )
        return replace(self, columns=columns, lowers=(*self.lowers, None), uppers=(*self.uppers, cost), most=cost)

    def holds(self, counts: tuple[int, ...]) -> bool:
        """Whether counts satisfy every row exactly."""
        totals = [0] * len(self.lowers)
        for column, count in zip(self.columns, counts, strict=True):
            if count < 0:
                return False
            for row, value in column:
                totals[row] += value * count
        return all(
            (low is None or low <= total) and (high is None or total <= high)
            for total, low, high in zip(totals, self.lowers, self.uppers, strict=True)
        )
