"""Who waits for an engine, and whose turn is next: bounded, the short before the long, and fair among callers."""

from __future__ import annotations

from collections import OrderedDict, deque
from collections.abc import Iterator, Mapping
from typing import Final, Generic, TypeVar

from sawbill.backroom.task import FullError, Rank

Item = TypeVar("Item")


PATIENT: Final = 5
"""Every so many turns goes to those of the next rank, so that they get on at all."""


class Waiting(Generic[Item]):
    """Queues, one for each rank and caller."""

    def __init__(self, most: int, share: int) -> None:
        """Most: how many of a rank may wait; share: how many of those may be one caller's."""
        self._most, self._share = most, share
        self._passed_over = 0
        self._ranks: dict[int, OrderedDict[str, deque[Item]]] = {}

    def __len__(self) -> int:
        return sum(len(queue) for callers in self._ranks.values() for queue in callers.values())

    def __iter__(self) -> Iterator[Item]:
        return iter([item for callers in self._ranks.values() for queue in callers.values() for item in queue])

    def add(self, item: Item, caller: str, rank: int) -> None:
        """Have one wait. Raises FullError: too many do, or too many of this caller's."""
        callers = self._ranks.setdefault(rank, OrderedDict())
        if sum(map(len, callers.values())) >= self._most:
            raise FullError("too many wait")
        if len(callers.get(caller, ())) >= self._share:
            raise FullError("too many of this caller's wait")
        callers.setdefault(caller, deque()).append(item)

    def drop(self, item: Item, caller: str, rank: int) -> None:
        """Have one wait no longer, if it still does."""
        callers = self._ranks.get(rank) or OrderedDict()
        if item in callers.get(caller, ()):
            callers[caller].remove(item)
            if not callers[caller]:
                del callers[caller]

    def next(self, working: Mapping[str, int]) -> Item | None:
        """Take whose turn it is, mostly of the first rank that has any: of the caller least served; None: nobody waits.

        working: how many engines work for each caller.
        """
        ranks = sorted(rank for rank, callers in self._ranks.items() if callers)
        if not ranks:
            return None
        self._passed_over = self._passed_over + 1 if len(ranks) > 1 else 0
        turn = self._passed_over == PATIENT
        callers = self._ranks[ranks[1 if turn else 0]]
        self._passed_over = 0 if turn else self._passed_over
        caller = min(callers, key=lambda each: working.get(each, 0))  # of equals who was served longest ago
        return _taken(callers, caller)

    def guest(self, working: Mapping[str, int]) -> Item | None:
        """Take a single answer for a caller for whom no engine works; None: nobody such waits."""
        callers = self._ranks.get(Rank.SINGLE) or OrderedDict()
        caller = next((each for each in callers if not working.get(each, 0)), None)
        return None if caller is None else _taken(callers, caller)


def _taken(callers: OrderedDict[str, deque[Item]], caller: str) -> Item:
    """Take what a caller asked for first; who waits beside him is served before him now."""
    item = callers[caller].popleft()
    callers.move_to_end(caller)
    if not callers[caller]:
        del callers[caller]
    return item
