"""What boards of one section cost at least: planned, where a bound by their lengths alone does not do.

Each section is planned by itself, at the best price of every board. That small parts are ripped from what is left, and
that spare boards are kept, only adds.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from sawbill import cutting
from sawbill.asked.request import Request
from sawbill.buying.deals import best_deal
from sawbill.buying.lots import Wanted, accepted
from sawbill.buying.suppliers.market import Seller
from sawbill.buying.suppliers.sourcing import until
from sawbill.buying.takeoff import CutLine
from sawbill.cutting import Infeasible
from sawbill.prices.pricebook import PriceBook

MOST_PLANS: Final = 10_000
"""Of how many plans it is known what they cost; then all are forgotten."""


class LeastBoards:
    """For the price book and the settings of one request; every plan is made once, whatever its parts are called."""

    def __init__(self, request: Request, book: PriceBook, sellers: Sequence[Seller]) -> None:
        """Weigh prices as suppliers are compared by them."""
        self._request, self._numbers = request, {seller.name: i for i, seller in enumerate(sellers)}
        self._offers = [
            replace(offer, each=offer.each * sellers[self._numbers[offer.supplier]].weight) for offer in book.lumber
        ]
        self._known: dict[tuple[object, ...], int] = {}

    def least(self, cuts: Sequence[CutLine], sellers: int) -> int:
        """What the parts of one section cost at least from some suppliers [price]; 0 where no plan tells it."""
        if self._request.shop.no_slivers:  # small parts might be what uses slivers up
            return 0
        parts = sorted((cut.length, cut.quantity, cut.species, cut.grades) for cut in cuts)
        key = cuts[0].section, sellers, tuple(parts)
        if key not in self._known:
            alike = tuple(
                CutLine(str(i), 0, "", cuts[0].section, length, quantity, species=species, grades=grades)
                for i, (length, quantity, species, grades) in enumerate(parts)
            )
            end = until(cutting.EMERGENCY)
            found = self._planned(alike, sellers, end)
            if time.monotonic() > end:  # it tells of the clock, not of the order
                return found
            if len(self._known) >= MOST_PLANS:
                self._known.clear()
            self._known[key] = found
        return self._known[key]

    def _planned(self, cuts: tuple[CutLine, ...], sellers: int, end: float) -> int:
        usable = tuple(
            offer for offer in self._offers
            if sellers >> self._numbers[offer.supplier] & 1 and accepted(offer, cuts, self._request)
        )  # fmt: skip
        found = best_deal(Wanted(cuts, self._request, usable), end)
        return 0 if isinstance(found, Infeasible) else found[1]
