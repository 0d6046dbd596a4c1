"""The best combinations, exactly: what may be best is looked at first, and known better until nothing can beat it.

Best first with bounds that are made sharper as they are needed (A*: Hart, Nilsson and Raphael, 1968; lazily). Nothing
is bought for unless its bound says it may be in the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from typing import Final

from sawbill.quoting.proposing.grid import Spot
from sawbill.quoting.proposing.measures import Number, Wish
from sawbill.quoting.proposing.pool import Pool, Progress

AT_ONCE: Final = 2
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


class Search:
    """Searches of one pool, which share what is found out; most: how many purchases they may make together."""

    def __init__(self, pool: Pool, most: int) -> None:
        self.pool, self._most = pool, most

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
            asked: list[int] = []
            while waiting and len(asked) < AT_ONCE:
                key, number = heappop(waiting)
                if not pool.may(number, sought.wishes):
                    continue
                if (now := sought.by(number)) > key:
                    heappush(waiting, (now, number))
                elif self._alike(number, found.numbers, sought.apart):
                    found.alike.add(number)
                    ready.pop(number, None)
                elif pool.known[number].found is None:
                    asked.append(number)
                elif asked:  # what is before it must be known first
                    heappush(waiting, (key, number))
                    break
                else:
                    found.numbers.append(number)
                    ready.pop(number, None)
                    if len(found.numbers) == sought.number:
                        break
            if asked and self.spent:
                found.open = sought.by(asked[0])
                break
            for key, number in self._looked(asked, sought, min(ready.values(), default=None)):
                heappush(waiting, (key, number))
                if pool.known[number].found is not None:
                    ready[number] = key
            self._tell(sought, waiting, [*found.numbers, *ready])
        return found

    @property
    def spent(self) -> bool:
        """Whether all purchases that may be made were made."""
        return self.pool.bought >= self._most

    def _looked(self, asked: Sequence[int], sought: Sought, least: Key | None) -> Iterator[tuple[Key, int]]:
        """Find out more of some; least: the key of the best that is quoted and waits. Gives those that may be best."""
        pool = self.pool
        dear = least is not None and sought.names[0] == "total" and _must_hold(sought.wishes)
        enough = int(least[0]) if least is not None and dear else None
        pool.look([(n, pool.next_step(n, sought.names, sought.wishes), enough) for n in asked])
        return ((sought.by(number), number) for number in asked if pool.may(number, sought.wishes))

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
        ceiling, holds = best * DEARER[0] // DEARER[1], _must_hold(wishes)
        wishes = (*wishes, Wish("total", most=ceiling))
        order = sorted((n for n in range(pool.grid.size) if pool.may(n, wishes)), key=self._shares(best))
        points = {n for n in order if pool.known[n].found is not None}
        waiting = [n for n in order if n not in points]
        while waiting:
            asked: list[int] = []
            while waiting and len(asked) < AT_ONCE:
                number = waiting.pop(0)
                if pool.may(number, wishes) and not self._beaten(number, points):
                    asked.append(number)
            if asked and self.spent:
                found.open = tuple(pool.at_least(asked[0], name) for name in OF_THREE)
                break
            pool.look([
                (n, pool.next_step(n, OF_THREE, wishes), self._matters(n, points, ceiling) if holds else None)
                for n in asked
            ])  # fmt: skip
            points |= {n for n in asked if pool.known[n].found is not None and pool.may(n, wishes)}
            waiting[:0] = [n for n in asked if pool.known[n].found is None and pool.may(n, wishes)]
            pool.told(Progress(pool.grid.size, pool.grid.size - len(waiting), pool.grid.size, best, 0))
        found.numbers = sorted((n for n in points if not self._beaten(n, points)), key=self.usual_key(*OF_THREE))
        return found

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
