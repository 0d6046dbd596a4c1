"""Boards that hold: the cheapest purchase of which every frame passes, as far as wood on sale can mend it.

Only `held` is meant for others: it buys, checks, and where something fails that other wood may mend it searches on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sawbill.checks.finding import Finding
from sawbill.checks.strength import Loaded
from sawbill.checks.together import check_frame
from sawbill.estimating.holding.kinds import kinds_of
from sawbill.estimating.holding.search import Bought, Search
from sawbill.estimating.holding.tables import Tables
from sawbill.estimating.holding.tried import Tried, decided_by_wood
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.request import Request
from sawbill.estimating.takeoff import TakeOff

Findings = tuple[tuple[int, Finding], ...]
"""What the checks found, each with the line of the request it is of."""
__all__ = ["Bought", "Findings", "Holding", "found_of", "held"]


@dataclass(frozen=True, slots=True)
class Holding:
    """A purchase that holds as far as wood on sale does; free: the cheapest, whether it holds or not.

    findings: of what is bought; failed: those of the free purchase that other wood may mend; unmended: those that are
    left all the same; purchases: how many were made to find it.
    """

    bought: Bought
    free: Bought
    findings: Findings
    failed: Findings = ()
    unmended: Findings = ()
    purchases: int = 1


def held(off: TakeOff, request: Request, book: PriceBook, end: float) -> Holding:
    """Buy a take-off so that it holds; as cheaply as can be, whether it holds or not, where the request says so.

    Raises NothingFitsError: with what all suppliers together lack.
    """
    free = Bought.of(off, request, book, end)
    loaded = {number: Loaded(line.frame, request.site) for number, line in enumerate(request.lines) if line.frame}
    findings = found_of(request, free, loaded)
    failed = tuple((number, finding) for number, finding in findings if decided_by_wood(finding))
    if not failed or not request.must_hold:
        return Holding(free, free, findings, failed, failed)
    search = _search(request, book, free, loaded, end)
    bought = search.run()
    if bought is None:
        return Holding(free, free, findings, failed, failed, search.purchases)
    findings = found_of(request, bought, loaded)
    unmended = tuple((number, finding) for number, finding in findings if decided_by_wood(finding))
    return Holding(bought, free, findings, failed, unmended, search.purchases)


def found_of(request: Request, bought: Bought, loaded: Mapping[int, Loaded]) -> Findings:
    """What the checks find of every frame in the wood that is cut for it."""
    return tuple(
        (number, finding)
        for number, each in loaded.items()
        for finding in check_frame(each.paths.frame, request.site, bought.materials[number], each)
    )


def _search(
    request: Request, book: PriceBook, free: Bought, loaded: Mapping[int, Loaded], end: float
) -> Search:  # fmt: skip
    paths = {number: each.paths for number, each in loaded.items()}
    kinds = kinds_of(free.off, request, book.lumber, paths)
    frames = {
        number: Tables(
            Tried(each.paths.frame, request.site, each, [kind for kind in kinds if kind.cut.line == number])
        )
        for number, each in loaded.items()
    }  # fmt: skip
    return Search(request, book, kinds, frames, free, end)
