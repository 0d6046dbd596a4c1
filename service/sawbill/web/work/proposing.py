"""From the JSON of a request to its proposal: every step of it done in the back room, in batches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.answer.proposed import proposal_json
from sawbill.asked.request import RequestFault
from sawbill.backroom import Task
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.proposing.pool import Progress, Told
from sawbill.quoting.proposing.proposal import AT_LENGTH, AT_ONCE, propose
from sawbill.quoting.proposing.proposed import Proposed
from sawbill.quoting.proposing.search import Limits
from sawbill.web.library import books, packing
from sawbill.web.reckoning import proposals
from sawbill.web.reckoning.prices import Body
from sawbill.web.reckoning.several import Asked, Read
from sawbill.web.work.handing_in import Asker
from sawbill.web.work.quoting import Service

AHEAD: Final = 4
"""How many steps are handed in before the first of them is done."""
Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Proposing:
    """A proposal that can be made. raw: its request; books: in the order asked; limits: how much is done."""

    raw: Mapping[str, Any]
    proposed: Proposed
    books: tuple[PriceBook, ...]
    limits: Limits


def read(
    body: Body, service: Service, asker: Asker, faults: Sequence[RequestFault] = (), *, query: bool = False,
    at_once: bool = True,
) -> Proposing:  # fmt: skip
    """Read a request of any shape; query: whether it was one; at_once: whether it is answered when it is done.

    Raises Problem: with every fault of it.
    """
    found = books.for_request(service.library, asker.names(service.room, body))
    asked = Asked(body, found.named, tuple(faults), query, at_once)
    made, _ = asker.done(service.room, proposals.proposing, (asked,), found.shared)
    assert isinstance(made, Read)
    own = made.with_books(found.books)
    return Proposing(made.raw, made.wanted, own, AT_ONCE if at_once else AT_LENGTH)


def answer(asked: Proposing, service: Service, asker: Asker, told: Told = lambda _: None) -> Json:
    """Make a proposal, and give its JSON; told: is told how far it is. Raises Problem."""
    named = all(isinstance(each, str) for each in asked.raw["price_books"])
    made = propose(asked.proposed, asked.books, _run(service, asker, asked.books), told, asked.limits)
    return proposal_json(made, asked.books, named=named)


def _run(
    service: Service, asker: Asker, own: Sequence[PriceBook]
) -> Callable[[Callable[[Common, Any], Any], Common, Iterable[Any]], Iterator[Any]]:
    """Have steps done in the back room."""
    shared = tuple(packing.shared(book) for book in own)

    def run(function: Callable[[Common, Any], Any], common: Common, items: Iterable[Any]) -> Iterator[Any]:
        tasks: Iterator[Task] = (
            asker.task(proposals.step, (function, dict(common.asked), item), shared) for item in items
        )
        return asker.each(service.room, tasks, service.in_hand(AHEAD))

    return run


def progress_text(progress: Progress) -> str:
    """How far it is, as a job keeps it: what is ruled out, of how many, the best so far, its gap."""
    best, gap = ("" if each is None else str(each) for each in (progress.best, progress.gap))
    return f"{progress.out}/{progress.of}/{best}/{gap}"
