"""Boards as a want: planned for a set of suppliers only where nothing known for larger sets tells what they cost."""

from __future__ import annotations

import time
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Final

from sawbill.buying import planned
from sawbill.buying.boards import Boards, lacking_of, share_of, told
from sawbill.buying.deals import Deal, best_deal, used_of
from sawbill.buying.lots import Lot, Wanted, Wood, order_of, will_do
from sawbill.buying.spare import spare_at_least, spare_boards
from sawbill.buying.suppliers.wants import NOTHING, Memory, Met, Must, Unmet, bits, item_key, tier_of
from sawbill.cutting import Infeasible
from sawbill.prices.pricebook import LumberOffer

MOST_PLANS: Final = 1_500
"""How many plans of boards are made for sets of suppliers."""


class Clock:
    """When the search must end (time.monotonic [s]), and how many plans of boards were made so far."""

    def __init__(self, end: float) -> None:
        self.end, self.plans = end, 0

    @property
    def is_over(self) -> bool:
        """Whether it must end now."""
        return self.plans >= MOST_PLANS or time.monotonic() > self.end


@dataclass(frozen=True, slots=True)
class Planned:
    """Boards decided on, how they are best cut left open; number: of each offer, as the want counts them.

    bound: on the cost of any [price].
    """

    wanted: Wanted
    deal: Deal
    bound: int
    number: Mapping[LumberOffer, int]

    def told(self, end: float, *, tidy: bool = True) -> Boards:
        """The boards to buy and to cut, by the best of equal plans if they shall be tidy; end: the emergency stop."""
        return told(self.wanted, self.deal, self.bound, end, tidy=tidy)

    def narrowed(self, offers: Collection[int], end: float) -> Planned | None:
        """The same cost from these offers alone, if that is found."""
        wanted = replace(self.wanted, usable=tuple(o for o in self.wanted.usable if self.number[o] in offers))
        found = best_deal(wanted, end)
        if isinstance(found, Infeasible) or found[0].cost > self.deal.cost:
            return None
        return replace(self, wanted=wanted, deal=found[0])


class BoardWant:
    """Boards for one part of the cut list, at the prices that suppliers are compared by."""

    def __init__(self, wanted: Wanted, of: Sequence[int], clock: Clock) -> None:
        self.offers: Sequence[LumberOffer] = wanted.usable
        self.of = of
        self._wanted, self._clock, self._memory = wanted, clock, Memory()
        self._spare: int | None = None  # of how many sections all suppliers together sell spare boards

    def met(self, suppliers: int, must: Must = NOTHING) -> Met | Unmet:
        """Plan boards from a set of suppliers, unless it is known; what must be bought may also be of others."""
        known = self._memory.known(suppliers, must)
        return known or self._memory.add(suppliers, must, self._plan(suppliers, must, self._clock.end))

    def met_first(self, suppliers: int, parts: float) -> Met | Unmet:
        """The same, with one of so many parts of the time that is left."""
        found = self._plan(suppliers, NOTHING, share_of(self._clock.end, parts))
        return self._memory.add(suppliers, NOTHING, found)

    def least(self, suppliers: int, must: Must = NOTHING) -> int:
        """What larger sets pay at least, and what these suppliers' boards cost for what they can hold at most."""
        known = self._memory.known(suppliers, must)
        if isinstance(known, Met):
            return known.bound
        mine = [least for who, least in self._asked.items() if suppliers >> who & 1]
        paid = sum(self.offers[i].each * n for i, n in must) if not self._wanted.credit else 0
        return max(self._memory.least(suppliers, must), min(mine, default=0), paid)

    @property
    def credited(self) -> bool:
        """Whether leftovers are worth something, which is taken off the cost."""
        return bool(self._wanted.credit)

    def asked(self) -> Mapping[int, int]:
        """What each supplier asks for all of it, were it bought at his best rate; none where all may be on hand."""
        if not self._memory.least(bits(self.of), NOTHING):
            return {}
        asked = self._asked
        if self.credited or self._spare:
            asked = dict.fromkeys(set(self.of), 0) | asked
        return dict(sorted(asked.items()))

    def _plan(self, suppliers: int, must: Must, end: float) -> Met | Unmet:
        self._clock.plans += 1
        fixed = {i: self._fixed(i) for i, _ in must}
        taken = {item_key(offer) for offer in fixed.values()}
        mine = {
            i: fixed.get(i, offer) for i, (offer, who) in enumerate(zip(self.offers, self.of, strict=True))
            if i in fixed or (suppliers >> who & 1 and item_key(offer) not in taken)
        }  # fmt: skip
        wanted = replace(self._wanted, usable=tuple(mine.values()), must={mine[i]: n for i, n in must})
        found = best_deal(wanted, end)
        if isinstance(found, Infeasible):
            return Unmet(tuple(lacking_of(wanted, found)), found.proven)
        deal, bound = found
        spare = spare_boards(wanted, deal.bought, used_of(deal.lots, deal.draft.stocks))
        if self._spare is None:
            self._spare = len(spare)
        if len(spare) < self._spare:  # who sells none is no better for it
            return Unmet(())
        extra = sum(offer.each * n for offer, n in spare.items())
        number = {offer: i for i, offer in mine.items()}
        counts = {number[offer]: n for offer, n in (deal.bought + spare).items()}
        used = bits(self.of[i] for i in counts)
        least = 0 if must else spare_at_least(wanted)
        return Met(deal.cost + extra, bound + min(extra, least), used, counts, Planned(wanted, deal, bound, number))

    def _fixed(self, i: int) -> LumberOffer:
        """A price that is committed to: it holds for every board of its item, as far as it is the one charged."""
        return replace(self.offers[i], least_quantity=1, in_stock=tier_of(self.offers[i], self.offers)[1])

    @property
    def sold(self) -> Sequence[int]:
        """Who sells what each part may be cut from; none of the parts that may be cut from wood on hand, or ripped."""
        request = self._wanted.request
        own = {each.section.name for each in request.on_hand}
        return [
            bits(who for offer, who in zip(self.offers, self.of, strict=True)
                 if offer.section == cut.section and will_do(offer, cut, request)
                 and offer.usable_length - request.shop.end_trim >= cut.length)
            for cut in self._wanted.cuts if cut.ripped is None and cut.section.name not in own
        ]  # fmt: skip

    @property
    def worth(self) -> float:
        """What all that is not cut from wood on hand is worth, by the linear programme's prices of pieces [price]."""
        return float(self._worths[0])

    def worth_of(self, i: int) -> float:
        """What a board of an offer holds at most, by the same prices [price]."""
        return self._held[i]

    @cached_property
    def _held(self) -> list[float]:
        holds = self._worths[1]
        return [float(holds[kind]) for kind in self._kinds]

    @cached_property
    def _kinds(self) -> list[tuple[object, ...]]:
        return [_kind(offer) for offer in self.offers]

    @cached_property
    def _asked(self) -> dict[int, int]:
        """For each supplier, what all would cost at least if it were bought from him alone [price]."""
        asked: dict[int, int] = {}
        if self.credited:
            return asked
        rest, holds = self._worths
        rates = {kind: rest / most for kind, most in holds.items() if most > 0}
        for offer, who, kind in zip(self.offers, self.of, self._kinds, strict=True):
            if kind in rates:
                least = offer.each * rates[kind].numerator // rates[kind].denominator
                asked[who] = min(asked.get(who, least), least)
        return asked

    @cached_property
    def _worths(self) -> tuple[Fraction, dict[tuple[object, ...], Fraction]]:
        """What all that is not cut from wood on hand is worth, and what a board of each kind holds at most [price]."""
        wanted = self._wanted
        own = [
            Lot(Wood(o.section, o.species, o.grade, o.length, 0, design_values=o.design_values), 0, o.quantity)
            for o in wanted.request.on_hand
        ]
        dearest_first = sorted(zip(self._kinds, self.offers, strict=True), key=lambda each: -each[1].each)
        kinds = dict(dearest_first)
        trim = wanted.request.shop.end_trim
        lots = [*own, *(Lot(_wood(offer, trim), offer.each, None) for offer in kinds.values())]
        worths = planned.worths(order_of(wanted, lots), self._clock.end)
        on_hand = sum(
            (worths.holds.get(str(i), Fraction(0)) * (lot.available or 0) for i, lot in enumerate(own)), Fraction(0)
        )
        holds = {kind: worths.holds.get(str(i), Fraction(0)) for i, kind in enumerate(kinds, len(own))}
        return max(Fraction(0), worths.total - on_hand), holds


def _kind(offer: LumberOffer) -> tuple[object, ...]:
    """What is the same for boards that will do for the same."""
    return offer.section, offer.species, offer.grade, offer.usable_length, offer.design_values, offer.treated


def _wood(offer: LumberOffer, trim: int) -> Wood:
    return Wood(
        offer.section, offer.species, offer.grade, offer.usable_length, trim, offer, design_values=offer.design_values
    )
