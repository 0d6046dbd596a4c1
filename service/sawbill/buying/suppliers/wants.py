"""What an order wants, in parts that share nothing: packs of one thing, boards of sections that go together.

The suppliers of a book are numbered in the order of their names, and sets of them are bits of a whole number. Prices
are those that suppliers are compared by: weighed with their tax where it is unlike.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final, Protocol

from sawbill.buying.boards import Lacking
from sawbill.buying.lots import item_of
from sawbill.buying.packs import Pack, buy_packs
from sawbill.buying.purchase import PackNeed, size_of
from sawbill.prices.pricebook import HardwareOffer, LumberOffer, SupplyOffer
from sawbill.trade.lengths import System

Offer = LumberOffer | HardwareOffer | SupplyOffer
Must = tuple[tuple[int, int], ...]
"""So many at least of an offer, both by number, in the order of the offers; the item is paid at this offer's price."""
NOTHING: Final[Must] = ()


@dataclass(frozen=True, slots=True)
class Met:
    """A want met at the least cost: its cost and a bound on any, leftovers credited [price].

    used: whom from; counts: how many of each offer, by number; goods: how the want itself tells it.
    """

    cost: int
    bound: int
    used: int
    counts: Mapping[int, int]
    goods: Any = None


@dataclass(frozen=True, slots=True)
class Unmet:
    """Why a want cannot be met; proven: False where a search was cut short, so that it may be met after all."""

    lacking: tuple[Lacking, ...]
    proven: bool = True


class Want(Protocol):
    """One part of what an order wants."""

    of: Sequence[int]
    """Whose each offer is."""

    @property
    def offers(self) -> Sequence[Offer]:
        """What suppliers offer for it."""

    def met(self, suppliers: int, must: Must = NOTHING) -> Met | Unmet:
        """Buy it from a set of suppliers."""

    def least(self, suppliers: int, must: Must = NOTHING) -> int:
        """A bound on its cost that takes no search [price]."""


class Memory:
    """What was found for sets of suppliers: the best of a set is that of each smaller one which sells all of it."""

    def __init__(self) -> None:
        self._own: dict[tuple[Must, int], Met | Unmet] = {}
        self._found: dict[Must, list[tuple[int, int, Met | Unmet]]] = {}
        self._bounds: dict[Must, list[tuple[int, int]]] = {}

    def add(self, suppliers: int, must: Must, found: Met | Unmet) -> Met | Unmet:
        """Keep what was found."""
        self._own[must, suppliers] = found
        if isinstance(found, Met):
            self._found.setdefault(must, []).append((~suppliers, found.used, found))
            self._bounds.setdefault(must, []).append((~suppliers, found.bound))
        elif found.proven:
            self._found.setdefault(must, []).append((~suppliers, 0, found))
        return found

    def known(self, suppliers: int, must: Must) -> Met | Unmet | None:
        """What is known for the set, from what was found for this or a larger one."""
        own, others = self._own.get((must, suppliers)), ~suppliers
        if own is not None:
            return own
        for without, used, found in self._found.get(must, ()):
            if not (suppliers & without or used & others):
                self._own[must, suppliers] = found
                return found
        return None

    def least(self, suppliers: int, must: Must) -> int:
        """No less than this is paid by what was found for larger sets [price]."""
        kinds = (must, NOTHING) if must else (must,)
        return max(
            (bound for kind in kinds for without, bound in self._bounds.get(kind, ()) if not suppliers & without),
            default=0,
        )


class PackWant:
    """Hardware or a supply, in whole packs."""

    def __init__(self, need: PackNeed, numbers: Mapping[str, int], weights: Sequence[int], units: System) -> None:
        self.need, self.units, self.offers = need, units, need.offers
        self.of: Sequence[int] = [numbers[offer.supplier] for offer in need.offers]
        self._prices = [offer.each * weights[who] for offer, who in zip(need.offers, self.of, strict=True)]
        self._memory = Memory()

    def met(self, suppliers: int, must: Must = NOTHING) -> Met | Unmet:
        """Buy it from a set of suppliers; what must be bought may also be of others."""
        known = self._memory.known(suppliers, must)
        return known or self._memory.add(suppliers, must, self._met(suppliers, must))

    def least(self, suppliers: int, must: Must = NOTHING) -> int:
        """What it costs: packs take no search."""
        found = self.met(suppliers, must)
        return found.cost if isinstance(found, Met) else 0

    def _met(self, suppliers: int, must: Must) -> Met | Unmet:
        rest = self.need.short - sum(size_of(self.offers[i]) * n for i, n in must)
        forced = dict(must)
        taken = {item_key(self.offers[i]) for i in forced}
        mine = [
            i for i, who in enumerate(self.of)
            if i in forced or (suppliers >> who & 1 and item_key(self.offers[i]) not in taken)
        ]  # fmt: skip
        counts = buy_packs(max(0, rest), [self.pack(i, forced.get(i)) for i in mine])
        if counts is None:
            return Unmet((self.need.lacking(self.units),))
        number = {i: n + forced.get(i, 0) for i, n in zip(mine, counts, strict=True) if n or i in forced}
        cost = sum(self._prices[i] * n for i, n in number.items())
        return Met(cost, cost, bits(self.of[i] for i in number), number)

    def price(self, i: int) -> int:
        """What one of an offer costs, as suppliers are compared [price]."""
        return self._prices[i]

    def pack(self, i: int, had: int | None = None) -> Pack:
        """An offer as a pack; had: how many of it are bought in any case, so that its price holds for more."""
        own = self._packs[i]
        if had is None:
            return own
        most = tier_of(self.offers[i], self.offers)[1]
        return replace(own, least=1, available=None if most is None else most - had)

    @cached_property
    def _packs(self) -> list[Pack]:
        return [
            Pack(size_of(offer), price, offer.least_quantity, offer.in_stock, f"{offer.supplier}: {offer.item_code}")
            for offer, price in zip(self.offers, self._prices, strict=True)
        ]

    def lacking(self) -> list[Lacking]:
        """Why all suppliers together do not sell enough of it, if so."""
        if any(offer.in_stock is None for offer in self.offers) or self.need.short <= 0:
            return []
        met = self.met(bits(self.of))
        return list(met.lacking) if isinstance(met, Unmet) else []

    def by_seller(self) -> dict[int, list[Pack]]:
        """What every supplier sells of it."""
        own: dict[int, list[Pack]] = {}
        for i, who in enumerate(self.of):
            own.setdefault(who, []).append(self.pack(i))
        return own


def item_key(offer: Offer) -> tuple[str, ...]:
    """What two offers of a want share that are two prices of one thing."""
    return item_of(offer) if isinstance(offer, LumberOffer) else (offer.supplier, offer.item_code)


def tier_of(offer: Offer, offers: Sequence[Offer]) -> tuple[int, int | None]:
    """From how many, and up to how many of an item an offer's price is the one that is charged; None for no limit."""
    cheaper = [
        other.least_quantity - 1 for other in offers
        if other.each < offer.each and item_key(other) == item_key(offer)
    ]  # fmt: skip
    limits = [*cheaper, *([] if offer.in_stock is None else [offer.in_stock])]
    return offer.least_quantity, min(limits, default=None)


def bits(numbers: Iterable[int]) -> int:
    """The set of these numbers."""
    found = 0
    for number in numbers:
        found |= 1 << number
    return found


def members(numbers: int) -> Iterator[int]:
    """The numbers in a set, ascending."""
    while numbers:
        low = numbers & -numbers
        yield low.bit_length() - 1
        numbers ^= low
