"""From the JSON of a comparison to its rows, all of it reckoned in the back room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import CancelledError
from typing import Final

from sawbill.asked.request import RequestFault
from sawbill.backroom import RoomError, Task, several
from sawbill.quoting.comparing.comparison import Common, Figures, NoQuote, Question, Row, Run, compare
from sawbill.web.library import books, packing
from sawbill.web.reckoning import comparisons
from sawbill.web.reckoning.comparisons import Comparing
from sawbill.web.reckoning.prices import Body
from sawbill.web.reckoning.several import Asked, Read
from sawbill.web.work.asking import row_key
from sawbill.web.work.handing_in import Asker
from sawbill.web.work.quoting import Service

AHEAD: Final = 8
"""How many rows are handed in before the first of them is done: enough to keep every engine busy."""


def read(
    body: Body, service: Service, asker: Asker, faults: Sequence[RequestFault] = (), *, query: bool = False,
    at_once: bool = True,
) -> Comparing:  # fmt: skip
    """Read a request of any shape; query: whether it was one; at_once: whether all rows are sent together.

    Raises Problem: with every fault of it.
    """
    found = books.for_request(service.library, asker.names(service.room, body))
    asked = Asked(body, found.named, tuple(faults), query, at_once)
    read, _ = asker.done(service.room, comparisons.comparing, (asked,), found.shared)
    assert isinstance(read, Read)
    return Comparing(read.raw, read.wanted, read.with_books(found.books))


def rows(comparing: Comparing, service: Service, asker: Asker) -> Iterator[Row]:
    """Make the rows, one after the other; those whose figures are known already are not worked out again.

    Raises Problem.
    """
    combinations, common = comparing.compared.combinations, comparing.compared.common
    keys = [
        row_key(common, each.design.name, each.options, each.quantity, comparing.books[each.book])
        for each in combinations
    ]
    held = service.recent.figures(keys)
    known = {each.number: held[key] for each, key in zip(combinations, keys, strict=True) if key in held}
    run = _run(service, asker)
    for row, key in zip(compare(combinations, common, comparing.books, run, known), keys, strict=True):
        if row.figures is not None and key not in held:
            service.meters.count_quote(row.figures.proof)
            service.recent.hold_figures(key, row.figures)
        yield row


def _run(service: Service, asker: Asker) -> Run:
    """Have rows worked out in the back room."""

    def run(_: object, common: Common, questions: Iterable[Question]) -> Iterator[Figures | NoQuote]:
        def task(question: Question) -> Task:
            place, line = question
            book = packing.shared(common.books[place])
            return asker.task(comparisons.row, (dict(common.asked), line), (book,))

        try:
            for answer in several(asker.watched(service.room), map(task, questions), service.in_hand(AHEAD)):
                asker.charge(answer.seconds)
                yield answer.value
        except (RoomError, CancelledError) as error:
            raise asker.problem_of(error) from error

    return run
