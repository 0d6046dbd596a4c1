"""From the JSON of a request to its quote with all ways out there are of one option and of two: the work of a job."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Any, Final

from sawbill.backroom import Task
from sawbill.backroom.task import Shared
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.ways_out import TO_THE_END, Seen, Trial, Unmet, out_of
from sawbill.web.library import books
from sawbill.web.reckoning import ways_out
from sawbill.web.reckoning.prices import Body, body_read
from sawbill.web.reckoning.quotes import Asked
from sawbill.web.work.handing_in import Asker
from sawbill.web.work.quoting import Service

TOGETHER: Final = 20
"""How many changes are handed to one engine at once."""
AHEAD: Final = 4
"""How many times so many are handed in before the first of them are done."""
Told = Callable[[int, int], None]
"""Whoever is told how many changes were tried, and of how many at most; to raise an exception ends it."""


@dataclass(frozen=True, slots=True)
class Asking:
    """A request that can be quoted. raw: its JSON; book: its price book."""

    raw: Mapping[str, Any]
    book: PriceBook
    asked: Asked
    shared: tuple[Shared, ...]


def read(body: Body, service: Service, asker: Asker) -> Asking:
    """Read a request of any shape. Raises Problem: with every fault of it."""
    found = books.for_request(service.library, asker.names(service.room, body))
    asked = Asked(body, found.named)
    book, _ = asker.done(service.room, ways_out.checked, (asked,), found.shared)
    raw = body_read(body)
    return Asking(raw, found.books[book] if isinstance(book, int) else book, asked, tuple(found.shared))


def answer(asking: Asking, service: Service, asker: Asker, told: Told) -> bytes:
    """Look for ways out of all that is not met, and give the JSON of the quote. Raises Problem."""
    room, shared = service.room, asking.shared
    unmet: Sequence[Unmet] = asker.done(room, ways_out.not_met, (asking.asked,), shared)[0]
    most = sum(len(each.singles) * (len(each.singles) + 1) // 2 for each in unmet)
    trying, left, found = _Trying(asking, service, asker, lambda done: told(min(done, most), most)), TO_THE_END, []
    for each in unmet:
        found.append(out_of(each, trying.run, left))
        left = replace(left, steps=left.steps - found[-1].steps)
    data: bytes = asker.done(room, ways_out.quote, (asking.asked, tuple(found)), shared)[0]
    return data


@dataclass
class _Trying:
    """Has changes tried in the back room; told: is told how many were."""

    asking: Asking
    service: Service
    asker: Asker
    told: Callable[[int], None]
    done: int = 0

    def run(self, trials: Iterable[Trial]) -> Iterator[Seen]:
        """Try changes, some at a time, and several of those at once."""
        asking, asker = self.asking, self.asker
        tasks: Iterator[Task] = (
            asker.task(ways_out.tried, (asking.asked, some), asking.shared) for some in _together(trials)
        )
        for seen in asker.each(self.service.room, tasks, self.service.in_hand(AHEAD)):
            self.done += len(seen)
            self.told(self.done)
            yield from seen


def _together(trials: Iterable[Trial]) -> Iterator[tuple[Trial, ...]]:
    left = iter(trials)
    while some := tuple(islice(left, TOGETHER)):
        yield some
