"""Deals: which boards to buy where prices hold from a quantity, by a few questions to the cutting planner."""

from __future__ import annotations

import time
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from heapq import heapify, heappop
from itertools import count
from math import ceil
from typing import Final

from sawbill import cutting
from sawbill.buying import planned
from sawbill.buying.lots import Lot, Wanted, item_of, lots_for, order_of
from sawbill.cutting import CuttingPlan, Infeasible
from sawbill.prices.pricebook import LumberOffer
from sawbill.trade.lumber import Section

SHORTEST_SEARCH: Final = 0.2
"""What one plan is given even when time is up [s]: enough for a good one."""
MOST_PLANS: Final = 24
"""How many plans may be made to choose among quantity prices."""


@dataclass(frozen=True, slots=True, order=True)
class Question:
    """A question to the planner: quantity prices that are paid for, and those that may not be taken.

    thorough: asked again, after all others, as its brief answer left something open; begun: that answer;
    bound: no deal that answers it costs less [minor units]; number: in the order they were asked.
    """

    thorough: bool
    bound: int
    number: int
    taken: tuple[LumberOffer, ...] = field(default=(), compare=False)
    given_up: tuple[LumberOffer, ...] = field(default=(), compare=False)
    begun: cutting.Draft | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Deal:
    """A draft of a plan, and the boards bought for it: more than are cut where that reaches a lower price.

    cost: what the boards cost, less what their leftovers are worth [minor units].
    """

    lots: tuple[Lot, ...]
    draft: cutting.Draft
    bought: Counter[LumberOffer]
    cost: int


@dataclass(frozen=True, slots=True)
class Settled:
    """The plan of a deal, and the boards bought for it; credited: what their leftovers are worth [minor units]."""

    lots: tuple[Lot, ...]
    plan: CuttingPlan
    bought: Counter[LumberOffer]
    credited: int

    @property
    def cost(self) -> int:
        """What the boards cost, less what their leftovers are worth [minor units]."""
        return cost_of(self.bought) - self.credited


def cost_of(bought: Counter[LumberOffer]) -> int:
    """What boards cost [minor units]."""
    return sum(offer.each * count for offer, count in bought.items())


def best_deal(wanted: Wanted, end: float) -> tuple[Deal, int] | Infeasible:
    """The cheapest deal, and a bound on the cost of any [minor units]; or why there is none at whatever prices.

    To take a quantity price as if it held from one board bounds every deal. Where such a plan uses too few
    boards for a price, its price is first committed to (the least quantity is paid for, and free to use), then
    given up: two more questions, each bounding its own deals. The one with the least bound is put first, and
    those that cannot be cheaper than the best deal are left. While others wait, a question is answered briefly.
    """
    best: Deal | None = None
    bounds: list[int] = []
    waiting = _first_questions(wanted)
    number = count(len(waiting))
    for _ in range(MOST_PLANS):
        waiting = [each for each in waiting if best is None or each.bound < best.cost]
        if not waiting or (best is not None and time.monotonic() > end):
            break
        heapify(waiting)
        asked = _without_too_dear(heappop(waiting), wanted, best)
        brief = bool(waiting) and not asked.thorough
        lots = lots_for(wanted, asked.taken, asked.given_up)
        found = _answer(asked, wanted, lots, best, max(end, time.monotonic() + SHORTEST_SEARCH), brief=brief)
        bound = max(asked.bound, _paid(asked.taken, wanted) + found.bound)
        again = replace(asked, thorough=True, bound=bound, number=next(number))
        if isinstance(found, Infeasible):
            if not found.proven and brief:
                waiting.append(again)
            elif not found.proven:
                bounds.append(bound)
            continue
        again = replace(again, begun=found)
        deal = _deal(lots, found, wanted)
        best = deal if best is None or deal.cost < best.cost else best
        doubtful = _doubtful(lots, found, asked)
        if doubtful is not None:
            taken = (*asked.taken, doubtful)
            waiting.append(Question(False, max(bound, _paid(taken, wanted)), next(number), taken, asked.given_up))
            waiting.append(Question(False, bound, next(number), asked.taken, (*asked.given_up, doubtful)))
        elif brief and found.bound < found.net:
            waiting.append(again)
        else:
            bounds.append(bound)
    if best is None:
        any_deal = _any_deal(wanted)
        if isinstance(any_deal, Infeasible):
            return any_deal
        best = any_deal
    return best, min([best.cost, *bounds, *(asked.bound for asked in waiting)])


def _answer(
    asked: Question, wanted: Wanted, lots: Sequence[Lot], best: Deal | None, end: float, *, brief: bool
) -> cutting.Draft | Infeasible:
    """The planner's answer to a question, as far as it matters beside the best deal."""
    enough = None if best is None else best.cost - _paid(asked.taken, wanted)
    return planned.draft(order_of(wanted, lots), end, enough, brief=brief, begun=asked.begun)


def _deal(lots: tuple[Lot, ...], found: cutting.Draft, wanted: Wanted) -> Deal:
    bought = _bill(lots, found.stocks, wanted)
    credited = found.cost - found.net + _kept(lots, found.stocks, bought, wanted)
    return Deal(lots, found, bought, cost_of(bought) - credited)


def _any_deal(wanted: Wanted) -> Deal | Infeasible:
    """A deal at whatever prices are reached, or why there is none."""
    lots = lots_for(wanted)
    found = planned.draft(order_of(wanted, lots), cutting.until(cutting.EMERGENCY))
    return found if isinstance(found, Infeasible) else _deal(lots, found, wanted)


def settled(deal: Deal, wanted: Wanted, end: float, *, tidy: bool = True) -> Settled:
    """The best plan of a deal's cost, or of what may be spent beyond it; its own where that would cost still more.

    tidy: whether to look for it at all.
    """
    plan = cutting.finished(deal.draft, max(end, time.monotonic() + SHORTEST_SEARCH), tidy=tidy)
    bought = _bill(deal.lots, plan.stocks, wanted) if tidy else deal.bought
    found = Settled(deal.lots, plan, bought, plan.credited + _kept(deal.lots, plan.stocks, bought, wanted))
    dear = found.cost > deal.cost * (1 + Fraction(wanted.request.shop.extra_for_fewer_setups))
    return settled(deal, wanted, end, tidy=False) if tidy and dear else found


def _kept(lots: Sequence[Lot], stocks: Mapping[str, int], bought: Counter[LumberOffer], wanted: Wanted) -> int:
    """What boards paid for are worth uncut: those left whole, and those that the planner took as leftovers."""
    if not wanted.credit:
        return 0
    free = {place: n for place, n in stocks.items() if lots[int(place)].price == 0}
    priced = Counter[tuple[str, ...]]()
    for offer, number in (used_of(lots, stocks) - used_of(lots, free)).items():
        priced[item_of(offer)] += number
    return sum(wanted.uncut(offer) * (number - priced[item_of(offer)]) for offer, number in bought.items())


def _first_questions(wanted: Wanted) -> list[Question]:
    """The questions to begin with, which together leave no deal out.

    A quantity price that starts beyond the whole need of its section is hardly ever worth it: all such are given
    up first, and then each is committed to in turn, those before it given up. To commit costs at least what it
    takes to reach the price, and what the wood in the pieces of all other sections is worth at their best price.
    """
    need: Counter[Section] = Counter()
    for cut in wanted.cuts:
        need[cut.section] += 0 if cut.ripped else cut.length * cut.quantity
    for own in wanted.request.on_hand:
        need[own.section] = max(0, need[own.section] - own.length * own.quantity)
    usable, left = wanted.usable, 1 - Fraction(wanted.request.shop.offcut_value if wanted.credit else 0)
    rates = {
        section: left * min((Fraction(o.each, o.usable_length) for o in usable if o.section == section), default=0)
        for section in need
    }
    worth = {section: rates[section] * length for section, length in need.items()}
    far = tuple(
        offer for offer in usable
        if offer.least_quantity > 1 and offer.least_quantity * offer.usable_length > need[offer.section]
    )  # fmt: skip
    rest = {section: ceil(sum(worth.values()) - own) for section, own in worth.items()}
    taken = [
        Question(False, _paid((offer,), wanted) + rest[offer.section], i, (offer,), far[: i - 1])
        for i, offer in enumerate(far, 1)
    ]
    return sorted([Question(False, _paid((), wanted), 0, (), far), *taken])


def _paid(taken: Sequence[LumberOffer], wanted: Wanted) -> int:
    """What it costs to reach these quantity prices and to buy what must be, kept whole [minor units]."""
    committed = [*((offer, offer.least_quantity) for offer in taken), *wanted.must.items()]
    return sum((offer.each - wanted.uncut(offer)) * number for offer, number in committed)


def _without_too_dear(asked: Question, wanted: Wanted, best: Deal | None) -> Question:
    """The question with every quantity price given up that costs as much to reach as the best deal does."""
    if best is None:
        return asked
    too_dear = [
        offer for offer in wanted.usable
        if offer.least_quantity > 1 and offer not in asked.taken
        and _paid((*asked.taken, offer), wanted) >= best.cost
    ]  # fmt: skip
    return replace(asked, given_up=(*asked.given_up, *too_dear))


def _doubtful(lots: Sequence[Lot], found: cutting.Draft, asked: Question) -> LumberOffer | None:
    """The first offer that a plan takes too few boards of for its price, not being committed to it."""
    used = used_of(lots, found.stocks)
    return next(
        (lot.wood.offer for lot in lots if (offer := lot.wood.offer) is not None
         and offer not in asked.taken and 0 < used[offer] < offer.least_quantity), None,
    )  # fmt: skip


def used_of(lots: Sequence[Lot], stocks: Mapping[str, int]) -> Counter[LumberOffer]:
    """Boards cut of each offer; stocks: how many of each lot, by its place."""
    used: Counter[LumberOffer] = Counter()
    for place, number in stocks.items():
        if (offer := lots[int(place)].wood.offer) is not None:
            used[offer] += number
    return used


def _bill(lots: Sequence[Lot], stocks: Mapping[str, int], wanted: Wanted) -> Counter[LumberOffer]:
    """The cheapest way to buy the boards that a plan cuts, each at one of the prices of its item."""
    bill: Counter[LumberOffer] = Counter(wanted.must)
    prices = defaultdict[tuple[str, ...], list[LumberOffer]](list)
    for offer in wanted.usable:
        prices[item_of(offer)].append(offer)
    for used, number in used_of(lots, stocks).items():
        ways = [(max(number, offer.least_quantity, bill[offer]), offer) for offer in prices[item_of(used)]]
        quantity, offer = min(ways, key=lambda way: (way[0] * way[1].each, way[0]))
        bill[offer] = quantity
    return +bill
