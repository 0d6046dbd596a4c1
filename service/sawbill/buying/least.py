"""The least that an order can cost, before anything is planned: no purchase of it costs less, and it takes no search.

For every set of suppliers: what their trips or deliveries take at least, the cheapest packs for every need, and for
every section the cheapest boards that together hold the length of its parts, saw cuts counted. That parts of unlike
lengths do not fill boards, that stock runs out and that small parts take wood as well is left out: all of it only adds.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations
from math import ceil
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.asked.request import Request
from sawbill.buying.least_boards import LeastBoards
from sawbill.buying.lots import will_do
from sawbill.buying.purchase import PackNeed, pack_needs
from sawbill.buying.suppliers.market import sellers_of
from sawbill.buying.suppliers.wants import Met, PackWant, bits
from sawbill.buying.takeoff import CutLine, TakeOff
from sawbill.prices.pricebook import LumberOffer, PriceBook
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Section

STEP: Final = 2 * MM
"""The step that lengths are counted in [nm]: boards are rounded up to it, what is needed down."""
FEW: Final = 6
"""Of how many suppliers every set is looked at; of more, each, every two, and what three of them cost at least."""
TAX_ROUNDING: Final = Fraction(1, 2)
"""By how much a tax may be rounded down [minor units]."""
NEVER: Final = 2**50
MOST_BOARDS: Final = 50_000
"""Of how many sections and sets of suppliers it is known what their boards cost; then all are forgotten."""
MOST_PACKS: Final = 2_000
"""Of how many needs the packs are kept: areas to glue and to finish are as many as frames."""


class Demand(NamedTuple):
    """What is cut from one section, by name and sides: all lengths with their saw cuts, and the longest [nm].

    does: the species and grades that will do, of each line.
    """

    section: tuple[str, int, int]
    length: int
    longest: int
    does: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]


class _Board(NamedTuple):
    """A board on sale: who sells it, how much it holds [STEP], what it costs [price], from how many on."""

    seller: int
    holds: int
    usable: int
    price: int
    least: int


class _Table:
    """The least that boards cost which hold n steps together, for every n; it grows as it is asked."""

    def __init__(self, boards: Sequence[_Board]) -> None:
        best: dict[int, int] = {}
        for board in boards:
            best[board.holds] = min(board.price, best.get(board.holds, board.price))
        self._best = sorted(best.items())
        self._costs: NDArray[np.int64] = np.zeros(1, np.int64)

    def __getitem__(self, steps: int) -> int:
        if not self._best:
            return NEVER if steps > 0 else 0
        if steps >= len(self._costs):
            self._grow(steps + steps // 2)
        return int(self._costs[max(0, steps)])

    def _grow(self, steps: int) -> None:
        costs = np.full(steps + 1, NEVER, np.int64)
        costs[0] = 0
        at, shortest = 1, self._best[0][0]
        while at <= steps:  # whatever is looked up lies before what is filled in
            end = min(at + shortest, steps + 1)
            for holds, price in self._best:
                filled = costs[at:end]
                inside = max(at, min(end, holds))
                filled[: inside - at] = np.minimum(filled[: inside - at], price)
                if inside < end:
                    np.minimum(
                        filled[inside - at :], costs[inside - holds : end - holds] + price, out=filled[inside - at :]
                    )
            at = end
        self._costs = costs


class LeastCost:
    """For the price book and the settings of one request; what was found for a need or a section is kept."""

    def __init__(self, request: Request, book: PriceBook) -> None:
        """Take note of who sells, and for what visits."""
        self._request, self._book = request, book
        self._sellers, factor = sellers_of(book)
        self._per_price, self._per_minor = factor.numerator, factor.denominator
        self._numbers = {seller.name: i for i, seller in enumerate(self._sellers)}
        self._taxes = 0 if book.prices_include_tax else len({book.tax_rate_at(each.name) for each in book.suppliers})
        self._all, self._sets = bits(range(len(self._sellers))), list(self._every_set())
        self._on_hand = Counter[tuple[str, int, int]]()
        for own in request.on_hand:
            self._on_hand[_section(own.section)] += (own.length + request.shop.kerf) * own.quantity
        self._boards_for = LeastBoards(request, book, self._sellers)
        self._boards: dict[Demand, list[_Board]] = {}
        self._tables: dict[tuple[object, ...], _Table] = {}
        self._known: dict[tuple[Demand, int], int] = {}
        self._packs: dict[object, list[PackWant]] = {}
        self._met: dict[tuple[int, int], int] = {}

    def of(self, off: TakeOff) -> int | None:
        """The least that a take-off costs in all [minor units]; None: it cannot be bought."""
        demands = list(self._demands(off.cut_list))
        packs = [want for need in self._needs(off) for want in need]
        costs = [
            fee + self._per_price * goods
            for sellers, fee in self._sets
            if (goods := self._goods(demands, packs, sellers)) < NEVER
        ]
        return self._told(min(costs)) if costs else None

    def planned(self, off: TakeOff) -> int | None:
        """The same, nearer to what it costs: the boards of every section are planned, where that may be the least."""
        demands = list(self._demands(off.cut_list))
        packs = [want for need in self._needs(off) for want in need]
        bounds = ((fee + self._per_price * self._goods(demands, packs, who), who) for who, fee in self._sets)
        best = None
        for bound, sellers in sorted(bounds):
            if bound >= (NEVER if best is None else best):
                break
            more = sum(
                max(0, self._boards_for.least(own, sellers) - self._lumber(demand, sellers))
                for own, demand in zip(by_section(off.cut_list), demands, strict=True)
            )
            best = bound + self._per_price * more if best is None else min(best, bound + self._per_price * more)
        return None if best is None else self._told(best)

    def _told(self, cost: int) -> int:
        """A cost as a total, its tax rounded [minor units]."""
        return max(0, ceil(Fraction(cost, self._per_minor) - self._taxes * TAX_ROUNDING))

    def _every_set(self) -> Iterator[tuple[int, int]]:
        """Sets of suppliers, and what their visits take at least, that leave none out which could cost less."""
        least = [self._per_minor * seller.least for seller in self._sellers]
        most = len(least) if len(least) <= FEW else 2
        for number in range(most + 1):
            for chosen in combinations(range(len(least)), number):
                yield bits(chosen), sum(least[who] for who in chosen)
        if most < len(least):
            yield self._all, sum(sorted(least)[: most + 1])

    def _goods(self, demands: Sequence[Demand], packs: Sequence[PackWant], sellers: int) -> int:
        total = 0
        for demand in demands:
            total += self._lumber(demand, sellers)
            if total >= NEVER:
                return NEVER
        for want in packs:
            total += self._pack(want, sellers)
            if total >= NEVER:
                return NEVER
        return total

    def _demands(self, cuts: Sequence[CutLine]) -> Iterator[Demand]:
        """What is cut from each section; parts that are ripped may come from leftovers of any other."""
        kerf = self._request.shop.kerf
        for own in by_section(cuts):
            section = _section(own[0].section)
            length = sum((cut.length + kerf) * cut.quantity for cut in own)
            longest, does = max(cut.length for cut in own), dict.fromkeys((cut.species, cut.grades) for cut in own)
            if section in self._on_hand:
                length, longest = max(0, length - self._on_hand[section]), 0
            yield Demand(section, length, longest, tuple(does))

    def _lumber(self, demand: Demand, sellers: int) -> int:
        key = demand, sellers
        if key not in self._known:
            if len(self._known) >= MOST_BOARDS:
                self._known.clear()
            self._known[key] = self._cover(demand, sellers)
        return self._known[key]

    def _cover(self, demand: Demand, sellers: int) -> int:
        """Boards that hold the length of the parts: at prices for one, or at all prices, one of them paid for."""
        kind = demand._replace(length=0, longest=0)
        if kind not in self._boards:
            self._boards[kind] = [each for offer in self._book.lumber for each in self._offered(offer, kind)]
        boards = [each for each in self._boards[kind] if sellers >> each.seller & 1]
        steps = demand.length // STEP
        if demand.longest and max((each.usable for each in boards), default=0) < demand.longest:
            return NEVER
        single = self._table((kind, sellers, 1), [each for each in boards if each.least == 1])[steps]
        deals = [each.least * each.price for each in boards if each.least > 1]
        if not deals:
            return single
        return min(single, max(min(deals), self._table((kind, sellers, 0), boards)[steps]))

    def _table(self, key: tuple[object, ...], boards: Sequence[_Board]) -> _Table:
        if key not in self._tables:
            self._tables[key] = _Table(boards)
        return self._tables[key]

    def _offered(self, offer: LumberOffer, kind: Demand) -> Iterator[_Board]:
        shop = self._request.shop
        usable = offer.usable_length - shop.end_trim
        carried = shop.yard_cuts or shop.longest_board is None or offer.usable_length <= shop.longest_board
        stocked = offer.in_stock is None or offer.in_stock >= offer.least_quantity
        if (
            usable > 0
            and _section(offer.section) == kind.section
            and carried
            and stocked
            and self._will_do(offer, kind)
        ):
            who = self._numbers[offer.supplier]
            price = offer.each * self._sellers[who].weight
            yield _Board(who, max(1, -(-(usable + shop.kerf) // STEP)), usable, price, offer.least_quantity)

    def _will_do(self, offer: LumberOffer, kind: Demand) -> bool:
        return any(
            will_do(offer, CutLine("", 0, "", offer.section, 0, 0, species=species, grades=grades), self._request)
            for species, grades in kind.does
        )

    def _needs(self, off: TakeOff) -> Iterator[Sequence[PackWant]]:
        """The wants of every need: none where it is not bought at all."""
        if len(self._packs) > MOST_PACKS:
            self._packs, self._met = {}, {}
        new = tuple(each for each in off.hardware if each not in self._packs)
        if new:
            self._packs |= {each: [] for each in new}
            for need in self._needed(TakeOff((), new, 0, 0)):
                self._packs[need.what, need.quantity].append(self._want(need))
        glued, finished = TakeOff((), (), off.glued, 0), TakeOff((), (), 0, 0, off.finished)
        for key, part in ((off.glued, glued), (off.finished, finished)):
            if key not in self._packs:
                self._packs[key] = [self._want(need) for need in self._needed(part)]
        yield from (self._packs[key] for key in (*off.hardware, off.glued, off.finished))

    def _needed(self, part: TakeOff) -> list[PackNeed]:
        return pack_needs(part, self._request, self._book)

    def _want(self, need: PackNeed) -> PackWant:
        return PackWant(need, self._numbers, [seller.weight for seller in self._sellers], self._request.units)

    def _pack(self, want: PackWant, sellers: int) -> int:
        key = id(want), sellers
        if key not in self._met:
            met = want.met(sellers)
            self._met[key] = met.cost if isinstance(met, Met) else NEVER
        return self._met[key]


def by_section(cuts: Sequence[CutLine]) -> list[list[CutLine]]:
    """The parts that are not ripped, those of one section together."""
    of: dict[tuple[str, int, int], list[CutLine]] = {}
    for cut in cuts:
        if cut.ripped is None:
            of.setdefault(_section(cut.section), []).append(cut)
    return list(of.values())


def _section(section: Section) -> tuple[str, int, int]:
    """A section by its name and what it measures: quicker to look up than all that is known of it."""
    return section.name, section.thickness, section.width
