"""Boards that hold: the cheapest purchase of which every frame passes, as far as wood on sale can mend it.

`held` and `held_within` are meant for others: they buy, check, and
where something fails that other wood may mend they search on.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sawbill.asked.request import Request
from sawbill.buying.suppliers import total_of
from sawbill.buying.takeoff import TakeOff
from sawbill.checks.finding import Finding
from sawbill.checks.strength import ASKED, Loaded
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding.kinds import kinds_of
from sawbill.quoting.holding.search import Asked, Bought, Findings, Search
from sawbill.quoting.holding.tables import Tables
from sawbill.quoting.holding.tried import BAD, WOOD_DECIDES, Tried, decided_by_wood
from sawbill.trade.lumber import Material

__all__ = ["Bought", "Findings", "Holding", "held", "held_within"]


@dataclass(frozen=True, slots=True)
class Holding:
    """A purchase that holds as far as wood on sale does; free: the cheapest, whether it holds or not.

    failed: what is found of the free purchase that other wood may mend; unmended: what is left of that in the one
    made; purchases: how many were made to find it; cut_short: whether the search ended before all that may hold, or
    hold for less, were ruled out; late: by the clock, so that another time may find another answer.
    """

    bought: Bought
    free: Bought
    failed: Findings = ()
    unmended: Findings = ()
    purchases: int = 1
    cut_short: bool = False
    late: bool = False

    def costs(self, book: PriceBook) -> int:
        """What more it costs than the cheapest purchase [minor units]."""
        return total_of(self.bought.sourcing, book) - total_of(self.free.sourcing, book)

    @property
    def holds(self) -> bool:
        """Whether no check of how strong a frame is, or how it stands, fails, and none finds what nobody knows."""
        return all(each.status not in BAD for _, each in self.bought.findings if each.rule in WOOD_DECIDES | ASKED)

    @property
    def costs_trips(self) -> int:
        """What more its trips and deliveries cost; its goods may cost less for that [minor units]."""
        return sum(visit.amount for visit in self.bought.sourcing.visits) - sum(
            visit.amount for visit in self.free.sourcing.visits
        )

    @staticmethod
    def woods_of(bought: Bought, line: int, finding: Finding) -> tuple[Material, ...]:
        """The woods of a purchase that something is found of."""
        materials = bought.materials[line]
        return tuple(dict.fromkeys(wood for key in finding.parts for wood in materials.get(key, ())))


def held(off: TakeOff, request: Request, book: PriceBook, end: float) -> Holding:
    """Buy a take-off so that it holds; as cheaply as can be, whether it holds or not, where the request says so.

    Raises NothingFitsError: with what all suppliers together lack.
    """
    found = held_within(off, request, book, end, None)
    assert isinstance(found, Holding)
    return found


def held_within(
    off: TakeOff, request: Request, book: PriceBook, end: float, enough: Fraction | None
) -> Holding | Fraction:
    """Buy a take-off so that it holds, left off as soon as that costs more than enough: then a bound on what it costs.

    A purchase that does not hold may cost less. enough: with tax, what leftovers are worth taken off [minor units];
    None: however much it costs. Raises NothingFitsError.
    """
    loaded = {number: Loaded(line.frame, request.site) for number, line in enumerate(request.lines) if line.frame}
    asked = Asked(request, book, loaded, end)
    free = Bought.of(off, asked, enough)
    if isinstance(free, Fraction):
        return free
    failed = _failed(free)
    if not failed or not request.must_hold:
        return Holding(free, free, failed, failed)
    search = _search(asked, free, enough)
    bought = search.run() or free
    if search.dearer is not None:
        return search.dearer
    return Holding(bought, free, failed, _failed(bought), search.purchases, search.cut_short, search.late)


def _failed(bought: Bought) -> Findings:
    return tuple((number, finding) for number, finding in bought.findings if decided_by_wood(finding))


def _search(asked: Asked, free: Bought, enough: Fraction | None) -> Search:
    paths = {number: each.paths for number, each in asked.loaded.items()}
    kinds, frames = kinds_of(free.off, asked.request, asked.book.lumber, paths), dict[int, Tables]()
    for number, each in asked.loaded.items():
        own = [kind for kind in kinds if kind.cut.line == number]
        frames[number] = Tables(Tried(each.paths.frame, asked.request.site, each, own))
    return Search(asked, kinds, frames, free, enough)
