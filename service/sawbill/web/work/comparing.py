"""From the JSON of a comparison to its rows, all of it reckoned in the back room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from sawbill.asked.request import RequestFault
from sawbill.backroom import Task
from sawbill.quoting.comparing.comparison import Common, Figures, NoQuote, Question, Row, Run, compare
from sawbill.quoting.comparing.grid import Combination
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
    at_once: bool = True, as_job: bool = False,
) -> Comparing:  # fmt: skip
    """Read a request of any shape; query: whether it was one; at_once: whether all rows are sent together.

    as_job: whether it is a job, which may have more rows. Raises Problem: with every fault of it.
    """
    found = books.for_request(service.library, asker.names(service.room, body))
    asked = Asked(body, found.named, tuple(faults), query, at_once and not as_job)
    read, _ = asker.done(service.room, comparisons.comparing, (asked, as_job), found.shared)
    assert isinstance(read, Read)
    return Comparing(read.raw, read.wanted, read.with_books(found.books))


def rows(comparing: Comparing, service: Service, asker: Asker) -> Iterator[Row]:
    """Make the rows, one after the other; those whose figures are held are not worked out again. Raises Problem."""
    grid, common = comparing.compared.combinations, comparing.compared.common
    keys: dict[int, str] = {}

    def held(each: Combination) -> Figures | None:
        key = row_key(common, each.design.name, each.options, each.quantity, comparing.books[each.book])
        if (found := service.recent.figures([key]).get(key)) is None:
            keys[each.number] = key
        return found

    for row in compare(grid, common, comparing.books, _run(service, asker), held):
        key = keys.pop(row.combination.number, None)
        if row.figures is not None and key is not None:
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

        return asker.each(service.room, map(task, questions), service.in_hand(AHEAD))

    return run
