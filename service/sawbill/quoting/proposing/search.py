"""The best combinations, exactly: what may be best is looked at first, and known better until nothing can beat it.

Best first with bounds that are made sharper as they are needed (A*: Hart, Nilsson and Raphael, 1968; lazily). Nothing
is bought for unless its bound says it may be in the answer.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from types import MappingProxyType
from typing import Final

from sawbill.quoting.proposing.grid import Spot
from sawbill.quoting.proposing.looking import Step
from sawbill.quoting.proposing.measures import Number, Wish
from sawbill.quoting.proposing.pool import Pool, Progress

TOGETHER: Final[Mapping[Step, int]] = MappingProxyType({"plan": 100, "work": 40, "check": 8, "buy": 2})
"""How many combinations are looked at together, whoever does it: so that what is counted is always the same."""
DEARER: Final = (5, 4)
"""The trade-off is told of what costs at most so much as the best does: by a quarter more."""
OF_THREE: Final = ("total", "mass", "hands_on")
"""What the trade-off is between."""
Key = tuple[Number, ...]


@dataclass(frozen=True, slots=True)
class Sought:
    """What is sought: what keeps to wishes and is least by a key, so many of them, each apart from those before.

    by: the key of a combination, from what is known of it; names: the measures it is made of.
    """

    wishes: tuple[Wish, ...]
    names: tuple[str, ...]
    by: Callable[[int], Key]
    number: int = 1
    apart: int = 1


@dataclass
class Best:
    """What was found, the best first, by number; open: a bound of what was left when the steps ran out, else None;
    alike: those set aside because they are like one that is better."""

    numbers: list[int] = field(default_factory=list)
    open: Key | None = None
    alike: set[int] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Limits:
    """How much is done for a proposal: purchases in all, and steps for its trade-off."""

    purchases: int
    trade_off: int


@dataclass
class _Round:
    """Combinations that are looked at together, all by one step; step: None while there is none."""

    step: Step | None = None
    numbers: list[int] = field(default_factory=list)

    @property
    def full(self) -> bool:
        return self.step is not None and len(self.numbers) == TOGETHER[self.step]

    def takes(self, number: int, step: Step) -> bool:
        """Add one, if what is to be done with it is the same as with those before."""
        if self.step not in (None, step):
            return False
        self.step = step
        self.numbers.append(number)
        return True


class Search:
    """Searches of one pool, which share what is found out; limits: how much they may do together."""

    def __init__(self, pool: Pool, limits: Limits) -> None:
        self.pool, self._limits = pool, limits

    def usual_key(self, *names: str) -> Callable[[int], Key]:
        """The key by measures, then by how many options are changed, then in the order of the grid."""
        pool = self.pool

        def key(number: int) -> Key:
            return (*(pool.at_least(number, name) for name in names), len(pool.spots[number].changed), number)

        return key

    def best(self, sought: Sought) -> Best:
        """The best there are."""
        pool, found = self.pool, Best()
        waiting = [(sought.by(n), n) for n in range(pool.grid.size) if pool.may(n, sought.wishes)]
        heapify(waiting)
        ready = {n: key for key, n in waiting if pool.known[n].found is not None}
        while waiting and len(found.numbers) < sought.number:
            round_ = self._next_round(sought, waiting, found)
            for number in (*found.numbers, *found.alike):
                ready.pop(number, None)
            if round_.numbers and self.spent:
                found.open = sought.by(round_.numbers[0])
                break
            self._look(round_, sought, min(ready.values(), default=None))
            for number in round_.numbers:
                if pool.may(number, sought.wishes):
                    heappush(waiting, (sought.by(number), number))
                    if pool.known[number].found is not None:
                        ready[number] = sought.by(number)
            self._tell(sought, waiting, [*found.numbers, *ready])
        return found

    def _next_round(self, sought: Sought, waiting: list[tuple[Key, int]], found: Best) -> _Round:
        """What may be best and must be known better; what is known to be best goes to what was found."""
        pool, round_ = self.pool, _Round()
        while waiting and not round_.full and len(found.numbers) < sought.number:
            key, number = heappop(waiting)
            if not pool.may(number, sought.wishes):
                continue
            if (now := sought.by(number)) > key:
                heappush(waiting, (now, number))
            elif self._alike(number, found.numbers, sought.apart):
                found.alike.add(number)
            elif pool.known[number].found is not None:
                if round_.numbers:  # what is before it must be known first
                    heappush(waiting, (key, number))
                    break
                found.numbers.append(number)
            elif not round_.takes(number, pool.next_step(number, sought.names, sought.wishes)):
                heappush(waiting, (key, number))
                break
        return round_

    @property
    def spent(self) -> bool:
        """Whether all purchases that may be made were made."""
        return self.pool.bought >= self._limits.purchases

    def _look(self, round_: _Round, sought: Sought, least: Key | None) -> None:
        """Find out more of some; least: the key of the best that is quoted and waits."""
        dear = least is not None and sought.names[0] == "total" and _must_hold(sought.wishes)
        enough = int(least[0]) if least is not None and dear else None
        if round_.step is not None:
            self.pool.look(round_.step, [(number, enough) for number in round_.numbers], sought.wishes)

    def _tell(self, sought: Sought, waiting: Sequence[tuple[Key, int]], known: Sequence[int]) -> None:
        pool, best, gap = self.pool, None, None
        if known and sought.names[0] == "total":
            best = min(int(pool.at_least(n, "total")) for n in known)
            gap = max(0, best - int(waiting[0][0][0])) if waiting else 0
        pool.told(Progress(pool.grid.size, pool.grid.size - len(waiting), pool.grid.size, best, gap))

    def _alike(self, number: int, chosen: Sequence[int], apart: int) -> bool:
        """Whether one is too like one that is chosen: few options differ, or nothing that people would see."""
        pool = self.pool
        return any(_near(pool.spots[number], pool.spots[n], apart) or self._same(number, n) for n in chosen)

    def _same(self, one: int, other: int) -> bool:
        mine, its = self.pool.known[one].found, self.pool.known[other].found
        return mine is not None and its is not None and self.pool.spots[one].table is self.pool.spots[other].table \
            and (mine.figures, mine.heaviest_piece) == (its.figures, its.heaviest_piece)  # fmt: skip

    def trade_off(self, wishes: tuple[Wish, ...], best: int) -> Best:
        """All that nothing beats in total, mass and time at once, of what costs not much more than the best."""
        pool, found = self.pool, Best()
        ceiling, until = best * DEARER[0] // DEARER[1], pool.steps + self._limits.trade_off
        wishes = (*wishes, Wish("total", most=ceiling))
        order = sorted((n for n in range(pool.grid.size) if pool.may(n, wishes)), key=self._shares(best))
        points = {n for n in order if pool.known[n].found is not None}
        waiting = deque(n for n in order if n not in points)
        while waiting:
            round_ = self._next_of_trade_off(wishes, waiting, points)
            if round_.step is None:
                break
            if self.spent or pool.steps >= until:
                found.open = tuple(pool.at_least(round_.numbers[0], name) for name in OF_THREE)
                break
            holds = round_.step == "buy" and _must_hold(wishes)
            enough = [self._matters(n, points, ceiling) if holds else None for n in round_.numbers]
            pool.look(round_.step, list(zip(round_.numbers, enough, strict=True)), wishes)
            left = [n for n in round_.numbers if pool.may(n, wishes)]
            points |= {n for n in left if pool.known[n].found is not None}
            waiting.extendleft(n for n in reversed(left) if pool.known[n].found is None)
            pool.told(Progress(pool.grid.size, pool.grid.size - len(waiting), pool.grid.size, best, 0))
        found.numbers = sorted((n for n in points if not self._beaten(n, points)), key=self.usual_key(*OF_THREE))
        return found

    def _next_of_trade_off(self, wishes: Sequence[Wish], waiting: deque[int], points: set[int]) -> _Round:
        """The next that nothing beats as far as is known."""
        pool, round_ = self.pool, _Round()
        while waiting and not round_.full:
            number = waiting.popleft()
            if not pool.may(number, wishes) or self._beaten(number, points):
                continue
            if not round_.takes(number, pool.next_step(number, OF_THREE, wishes)):
                waiting.appendleft(number)
                break
        return round_

    def _matters(self, number: int, points: set[int], ceiling: int) -> int:
        """What one may cost and not be beaten for sure: what others cost that weigh no more, and take no longer."""
        rest, pool = OF_THREE[1:], self.pool
        mine = [pool.at_least(number, name) for name in rest]
        costs = [
            int(pool.at_least(other, "total")) for other in points
            if all(pool.at_least(other, name) <= value for name, value in zip(rest, mine, strict=True))
        ]  # fmt: skip
        return min([ceiling, *costs])

    def _shares(self, best: int) -> Callable[[int], Key]:
        def key(number: int) -> Key:
            pool = self.pool
            return pool.at_least(number, "total") * 1000 // max(1, best) + pool.at_least(number, "mass") // 100, number

        return key

    def _beaten(self, number: int, points: set[int]) -> bool:
        """Whether one that is quoted is nowhere worse and somewhere better; of two that are equal, the first."""
        mine = tuple(self.pool.at_least(number, name) for name in OF_THREE)
        for other in points:
            its = tuple(self.pool.at_least(other, name) for name in OF_THREE)
            no_worse = all(b <= a for a, b in zip(mine, its, strict=True))
            if other != number and no_worse and (its != mine or other < number):
                return True
        return False


def _near(one: Spot, other: Spot, apart: int) -> bool:
    differ = one.apart(other)
    return differ is not None and differ < apart


def _must_hold(wishes: Sequence[Wish]) -> bool:
    """Whether nothing may fail: then a bound on what boards cost that hold is one on what matters."""
    return any(wish.name == "failed_checks" and wish.most == 0 for wish in wishes)
