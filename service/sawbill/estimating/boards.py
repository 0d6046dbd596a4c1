"""Boards: the take-off's cut list put to the cutting planner, and its plan told in boards to buy and to cut."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from heapq import heapify, heappop
from itertools import count, groupby
from math import ceil
from typing import Final

from sawbill.estimating import cutting
from sawbill.estimating.cutting import CuttingPlan, Draft, Infeasible, Order, Piece, Shortfall, SmallPart, Stock
from sawbill.estimating.pricebook import LumberOffer
from sawbill.estimating.request import OnHand, Request
from sawbill.estimating.takeoff import CutLine
from sawbill.trade.lengths import INCH, format_length, round_up
from sawbill.trade.lumber import Section

LEAST_BLANK: Final = 12 * INCH
"""The shortest piece that is safe to rip (common practice; saw manuals warn below 12 in) [nm]."""

EMERGENCY: Final = 5.0
"""How long buying boards may take before a clock stops it [s]; the steps allowed nearly always end it long before."""
SHORTEST_SEARCH: Final = 0.2
"""What one plan is given even when time is up [s]: enough for a good one."""
MOST_PLANS: Final = 24
"""How many plans may be made to choose among quantity prices."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """Something that cannot be had as asked: a stable code, what it is and what would do, the parts it is for."""

    code: str
    message: str
    parts: tuple[str, ...] = ()


class NothingFitsError(Exception):
    """The answer that an order cannot be bought from this book: everything that is lacking, at once."""

    def __init__(self, lacking: Iterable[Lacking]) -> None:
        self.lacking = tuple(lacking)
        super().__init__("; ".join(each.message for each in self.lacking))


@dataclass(frozen=True, slots=True)
class Wood:
    """Boards of one kind and length; offer: None for boards on hand; trim: lost at the end [nm].

    carry: the longest that may be carried of a board that the yard cuts, None of one that is carried whole [nm].
    """

    section: Section
    species: str | None
    grade: str | None
    length: int
    trim: int
    offer: LumberOffer | None = None
    carry: int | None = None

    @property
    def material(self) -> str:
        """The planner's word for what it is."""
        return f"{self.section.name} | {self.species or '?'} | {self.grade or '?'}"


@dataclass(frozen=True, slots=True)
class BoughtBoards:
    """So many boards of one offer; spare: those of them that no cut is planned for."""

    offer: LumberOffer
    quantity: int
    spare: int = 0

    @property
    def amount(self) -> int:
        """What they cost [minor units]."""
        return self.offer.each * self.quantity


@dataclass(frozen=True, slots=True)
class CutBoards:
    """Boards cut alike; kerf: what the saw takes of one of them, its end trim apart [nm]."""

    wood: Wood
    board: cutting.Board
    kerf: int

    @property
    def squared_at_yard(self) -> bool:
        """Whether the yard cuts off the end trim, which with the first cut would be too long to carry."""
        carry = self.wood.carry
        return carry is not None and self.wood.trim + self.board.cuts[0].length > carry


@dataclass(frozen=True, slots=True)
class Boards:
    """Boards to buy and how to cut them; bound: no way to buy them costs less [minor units].

    late: whether a clock, and not the steps allowed, ended the search.
    """

    bought: tuple[BoughtBoards, ...]
    cut: tuple[CutBoards, ...]
    cost: int
    bound: int
    late: bool
    stage: str


@dataclass(frozen=True, slots=True, order=True)
class _Question:
    """A question to the planner: quantity prices that are paid for, and those that may not be taken.

    thorough: asked again, after all others, as its brief answer left something open; begun: that answer;
    bound: no deal that answers it costs less [minor units]; number: in the order they were asked.
    """

    thorough: bool
    bound: int
    number: int
    taken: tuple[LumberOffer, ...] = field(default=(), compare=False)
    given_up: tuple[LumberOffer, ...] = field(default=(), compare=False)
    begun: Draft | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class _Lot:
    """Boards the planner may use: at this price each [minor units], so many of them, None for no limit."""

    wood: Wood
    price: int
    available: int | None


@dataclass(frozen=True, slots=True)
class _Deal:
    """A draft of a plan, and the boards bought for it: more than are cut where that reaches a lower price."""

    lots: tuple[_Lot, ...]
    draft: Draft
    bought: Counter[LumberOffer]

    @property
    def cost(self) -> int:
        """What the boards cost [minor units]."""
        return _cost(self.bought)


@dataclass(frozen=True, slots=True)
class _Settled:
    """The plan of a deal, and the boards bought for it."""

    lots: tuple[_Lot, ...]
    plan: CuttingPlan
    bought: Counter[LumberOffer]


def _cost(bought: Counter[LumberOffer]) -> int:
    return sum(offer.each * count for offer, count in bought.items())


def buy_boards(
    cuts: Sequence[CutLine], request: Request, offers: Sequence[LumberOffer], end: float | None = None
) -> Boards:
    """Buy and cut boards for a cut list at the least cost, prices that hold from a quantity among them.

    end: when the emergency clock stops the search (time.monotonic [s]), EMERGENCY from now unless given.
    Raises NothingFitsError: pieces that no board is long enough for, or too few boards.
    """
    usable = tuple(offer for offer in offers if _accepted(offer, cuts, request))
    if not cuts:
        return Boards((), (), 0, 0, late=False, stage="nothing to cut")
    end = time.monotonic() + EMERGENCY if end is None else end
    best, bound = _best_deal(cuts, request, usable, end)
    return _told(_tidy(best, request, usable, end), bound, end, cuts, request, usable)


def _tidy(deal: _Deal, request: Request, usable: Sequence[LumberOffer], end: float) -> _Settled:
    """The best plan of a deal's cost, or of what may be spent beyond it; its own where that would cost still more."""
    end = max(end, time.monotonic() + SHORTEST_SEARCH)
    plan = cutting.finished(deal.draft, end)
    bill = _bill(deal.lots, plan.stocks, usable)
    if _cost(bill) > deal.cost * (1 + Fraction(request.shop.extra_for_fewer_setups)):
        plan = cutting.finished(deal.draft, end, tidy=False)
        bill = deal.bought
    return _Settled(deal.lots, plan, bill)


def _best_deal(
    cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer], end: float
) -> tuple[_Deal, int]:
    """The cheapest deal, and a bound on the cost of any [minor units].

    To take a quantity price as if it held from one board bounds every deal. Where such a plan uses too few
    boards for a price, its price is first committed to (the least quantity is paid for, and free to use), then
    given up: two more questions, each bounding its own deals. The one with the least bound is put first, and
    those that cannot be cheaper than the best deal are left. While others wait, a question is answered briefly.
    """
    best: _Deal | None = None
    bounds: list[int] = []
    waiting = _first_questions(cuts, request, usable)
    number = count(len(waiting))
    for _ in range(MOST_PLANS):
        waiting = [each for each in waiting if best is None or each.bound < best.cost]
        left = end - time.monotonic()
        if not waiting or (best is not None and left < 0):
            break
        heapify(waiting)
        asked = _without_too_dear(heappop(waiting), usable, best)
        brief = bool(waiting) and not asked.thorough
        lots = _lots(cuts, request, usable, asked)
        enough = None if best is None else best.cost - _paid(asked.taken)
        order = _order(cuts, request, lots)
        found = cutting.draft(order, max(left, SHORTEST_SEARCH), enough, brief=brief, begun=asked.begun)
        bound = max(asked.bound, _paid(asked.taken) + found.bound)
        again = replace(asked, thorough=True, bound=bound, number=next(number))
        if isinstance(found, Infeasible):
            if not found.proven and brief:
                waiting.append(again)
            elif not found.proven:
                bounds.append(bound)
            continue
        again = replace(again, begun=found)
        deal = _Deal(lots, found, _bill(lots, found.stocks, usable))
        best = deal if best is None or deal.cost < best.cost else best
        doubtful = _doubtful(lots, found, asked)
        if doubtful is not None:
            taken = (*asked.taken, doubtful)
            waiting.append(_Question(False, max(bound, _paid(taken)), next(number), taken, asked.given_up))
            waiting.append(_Question(False, bound, next(number), asked.taken, (*asked.given_up, doubtful)))
        elif brief and found.bound < found.cost:
            waiting.append(again)
        else:
            bounds.append(bound)
    if best is None:
        best = _any_deal(cuts, request, usable)
    return best, min([best.cost, *bounds, *(asked.bound for asked in waiting)])


def _any_deal(cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]) -> _Deal:
    """A deal at whatever prices are reached. Raises NothingFitsError: there is none, and why."""
    lots = _lots(cuts, request, usable, _Question(False, 0, 0))
    found = cutting.draft(_order(cuts, request, lots))
    if isinstance(found, Infeasible):
        named = _named(cuts, found.shortfalls)
        raise NothingFitsError(_lacking(cut, each, request, usable) for cut, each in named)
    return _Deal(lots, found, _bill(lots, found.stocks, usable))


def _first_questions(cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]) -> list[_Question]:
    """The questions to begin with, which together leave no deal out.

    A quantity price that starts beyond the whole need of its section is hardly ever worth it: all such are given
    up first, and then each is committed to in turn, those before it given up. To commit costs at least what it
    takes to reach the price, and what the wood in the pieces of all other sections is worth at their best price.
    """
    need: Counter[Section] = Counter()
    for cut in cuts:
        need[cut.section] += 0 if cut.ripped else cut.length * cut.quantity
    for own in request.on_hand:
        need[own.section] = max(0, need[own.section] - own.length * own.quantity)
    rates = {
        section: min((Fraction(o.each, o.usable_length) for o in usable if o.section == section), default=Fraction(0))
        for section in need
    }
    worth = {section: rates[section] * length for section, length in need.items()}
    far = tuple(
        offer for offer in usable
        if offer.least_quantity > 1 and offer.least_quantity * offer.usable_length > need[offer.section]
    )  # fmt: skip
    rest = {section: ceil(sum(worth.values()) - own) for section, own in worth.items()}
    taken = [
        _Question(False, _paid((offer,)) + rest[offer.section], i, (offer,), far[: i - 1])
        for i, offer in enumerate(far, 1)
    ]
    return sorted([_Question(False, 0, 0, (), far), *taken])


def _paid(taken: Sequence[LumberOffer]) -> int:
    """What it costs to reach these quantity prices [minor units]."""
    return sum(offer.each * offer.least_quantity for offer in taken)


def _without_too_dear(asked: _Question, usable: Sequence[LumberOffer], best: _Deal | None) -> _Question:
    """The question with every quantity price given up that costs as much to reach as the best deal does."""
    if best is None:
        return asked
    too_dear = [
        offer for offer in usable
        if offer.least_quantity > 1 and offer not in asked.taken and _paid((*asked.taken, offer)) >= best.cost
    ]  # fmt: skip
    return replace(asked, given_up=(*asked.given_up, *too_dear))


def _doubtful(lots: Sequence[_Lot], found: Draft, asked: _Question) -> LumberOffer | None:
    """The first offer that a plan takes too few boards of for its price, not being committed to it."""
    used = _used(lots, found.stocks)
    return next(
        (lot.wood.offer for lot in lots if (offer := lot.wood.offer) is not None
         and offer not in asked.taken and 0 < used[offer] < offer.least_quantity), None,
    )  # fmt: skip


def _used(lots: Sequence[_Lot], stocks: Mapping[str, int]) -> Counter[LumberOffer]:
    """Boards cut of each offer; stocks: how many of each lot, by its place."""
    used: Counter[LumberOffer] = Counter()
    for place, number in stocks.items():
        if (offer := lots[int(place)].wood.offer) is not None:
            used[offer] += number
    return used


def _bill(
    lots: Sequence[_Lot], stocks: Mapping[str, int], usable: Sequence[LumberOffer]
) -> Counter[LumberOffer]:  # fmt: skip
    """The cheapest way to buy the boards that a plan cuts, each at one of the prices of its item."""
    bill: Counter[LumberOffer] = Counter()
    for used, number in _used(lots, stocks).items():
        ways = [(max(number, offer.least_quantity), offer) for offer in usable if _item(offer) == _item(used)]
        quantity, offer = min(ways, key=lambda way: (way[0] * way[1].each, way[0]))
        bill[offer] = quantity
    return bill


def _item(offer: LumberOffer) -> tuple[str, ...]:
    """What two offers share that are two prices of one thing."""
    return (
        offer.section.name,
        offer.species,
        offer.grade,
        f"{offer.usable_length:012}",
        offer.supplier,
        offer.item_code,
    )


def _accepted(offer: LumberOffer, cuts: Sequence[CutLine], request: Request) -> bool:
    """Whether an offer may be used; a board that measures otherwise than its section is another board."""
    shop = request.shop
    return (
        any(offer.section == cut.section for cut in cuts)
        and (offer.in_stock is None or offer.in_stock >= offer.least_quantity)
        and (shop.yard_cuts or shop.longest_board is None or offer.usable_length <= shop.longest_board)
        and any(_will_do(offer, cut, request) for cut in cuts)
    )


def _will_do(wood: Wood | LumberOffer | OnHand, cut: CutLine, request: Request) -> bool:
    """Whether wood of a species and grade will do for a part: its own lists, else the request's, say so.

    What is not known of boards on hand is for the maker to judge: it will do.
    """
    wanted = ((cut.species or request.species, wood.species), (cut.grades or request.grades, wood.grade))
    return all(not named or word is None or word in named for named, word in wanted)


def _does_for(wood: Wood, cuts: Sequence[CutLine], request: Request) -> frozenset[str]:
    """The parts that wood of its species and grade will do for."""
    return frozenset(cut.id for cut in cuts if _will_do(wood, cut, request))


def _lots(
    cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer], asked: _Question
) -> tuple[_Lot, ...]:
    """Boards on hand, then those for sale: each at the price committed to, else at the lowest not given up."""
    lots = [_Lot(Wood(own.section, own.species, own.grade, own.length, 0), 0, own.quantity) for own in request.on_hand]
    for _, group in groupby(sorted(usable, key=_item), key=_item):
        prices = sorted(group, key=lambda offer: (offer.each, offer.least_quantity))
        taken = [offer for offer in prices if offer in asked.taken]
        offered = taken or [offer for offer in prices if offer not in asked.given_up]
        if not offered:
            continue
        offer, paid = offered[0], offered[0].least_quantity if taken else 0
        wood = Wood(
            offer.section, offer.species, offer.grade, offer.usable_length, request.shop.end_trim, offer,
            _carry(offer, request),
        )  # fmt: skip
        if paid:
            lots.append(_Lot(wood, 0, paid))
        lots.append(_Lot(wood, offer.each, None if offer.in_stock is None else offer.in_stock - paid))
    does_for = [_does_for(lot.wood, cuts, request) for lot in lots]
    return tuple(lot for i, lot in enumerate(lots) if not _outdone(i, lots, does_for, request))


def _carry(offer: LumberOffer, request: Request) -> int | None:
    """The longest that may be carried of a board [nm], where that is less than its length."""
    longest = request.shop.longest_board
    return longest if longest is not None and offer.usable_length > longest else None


def _outdone(i: int, lots: Sequence[_Lot], does_for: Sequence[frozenset[str]], request: Request) -> bool:
    """Whether another lot does all that this one can, at no more cost; of two that do the same the first stays.

    A longer board stands in for a shorter one, unless slivers are forbidden: then what it leaves over matters.
    One that the yard must cut stands in for none that is carried whole, and none for one that will do for more parts.
    """

    def stands_in(n: int, m: int) -> bool:
        other, lot = lots[n], lots[m]
        mine, its = lot.wood.length, other.wood.length
        long_enough = its == mine if request.shop.no_slivers else its >= mine
        alike = (other.wood.section, other.wood.carry) in ((lot.wood.section, lot.wood.carry), (lot.wood.section, None))
        return alike and long_enough and other.price <= lot.price and does_for[n] >= does_for[m]

    lot = lots[i]
    return lot.wood.offer is not None and any(
        other.available is None and stands_in(j, i) and (j < i or not stands_in(i, j))
        for j, other in enumerate(lots)
        if j != i and other.wood.offer is not None
    )


def _order(cuts: Sequence[CutLine], request: Request, lots: Sequence[_Lot]) -> Order:
    """The question put to the planner: pieces from their own section, small parts ripped from any as thick."""
    kerf, least_blank = request.shop.kerf, round_up(LEAST_BLANK, request.shop.step)
    woods = {lot.wood.material: lot.wood.section for lot in lots}
    does_for: dict[str, frozenset[str]] = {}
    for lot in lots:
        does_for.setdefault(lot.wood.material, _does_for(lot.wood, cuts, request))

    def materials(cut: CutLine) -> frozenset[str]:
        return frozenset(name for name, own in woods.items() if own == cut.section and cut.id in does_for[name])

    def strips(cut: CutLine) -> dict[str, int]:
        """How many strips lie side by side across a board, a cut between each two."""
        width = cut.ripped or 0
        return {
            material: (section.width + kerf) // (width + kerf)
            for material, section in sorted(woods.items())
            if section.thickness == cut.section.thickness and section.width >= width and cut.id in does_for[material]
        }

    return Order(
        stocks=tuple(
            Stock(
                str(i), wood.material, wood.length, lot.price, lot.available, wood.trim, wood.offer is None, wood.carry
            )
            for i, lot in enumerate(lots)
            for wood in [lot.wood]
        ),
        pieces=tuple(
            Piece(cut.id, cut.length, cut.quantity, materials(cut)) for cut in cuts if cut.ripped is None
        ),
        small_parts=tuple(
            SmallPart(cut.id, cut.length, cut.quantity, strips(cut), least_blank) for cut in cuts if cut.ripped
        ),
        kerf=kerf,
        no_slivers=request.shop.no_slivers,
        keep=request.shop.keep_offcut,
        credit=_credit(cuts, request, lots),
        extra_cost=Fraction(request.shop.extra_for_fewer_setups),
    )  # fmt: skip


def _credit(cuts: Sequence[CutLine], request: Request, lots: Sequence[_Lot]) -> Fraction:
    """What an offcut kept is worth [minor units per nm]: its share of the best price among the lots.

    Nothing, where a lot that may be cut costs nothing: the planner counts such boards at their worth uncut, and
    its bound would no more be one on what is paid.
    """
    thicknesses = {cut.section.thickness for cut in cuts}
    own = [lot for lot in lots if lot.wood.section.thickness in thicknesses]
    return Fraction(request.shop.offcut_value) * min((Fraction(lot.price, lot.wood.length) for lot in own), default=0)


def _told(
    deal: _Settled, bound: int, end: float, cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]
) -> Boards:
    cut = {_item(offer): number for offer, number in _used(deal.lots, deal.plan.stocks).items()}
    quantities = deal.bought + _spare(cuts, request, usable, deal.bought)
    bought = [
        BoughtBoards(offer, quantities[offer], quantities[offer] - cut.get(_item(offer), 0))
        for offer in sorted(quantities, key=_item)
    ]
    paid = {_item(offer): offer for offer in deal.bought}
    woods = [
        replace(lot.wood, offer=paid.get(_item(lot.wood.offer))) if lot.wood.offer else lot.wood
        for lot in deal.lots
    ]  # fmt: skip
    boards = tuple(_cut_boards(woods[int(board.stock)], board) for board in deal.plan.boards)
    cost = sum(each.amount for each in bought)
    least = _cost(deal.bought)
    late = deal.plan.status is cutting.Status.TIME_LIMIT or (bound < least and time.monotonic() > end)
    return Boards(tuple(bought), boards, cost, min(bound, least) + cost - least, late, deal.plan.stage)


def _cut_boards(wood: Wood, board: cutting.Board) -> CutBoards:
    sawn = wood.length - wood.trim - board.leftover - sum(cut.length for cut in board.cuts)
    return CutBoards(wood, board, sawn)


def _spare(
    cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer], bought: Counter[LumberOffer]
) -> Counter[LumberOffer]:
    """Asked-for spare boards: of each section the cheapest board that its longest piece can be cut from."""
    number = request.shop.spare_boards
    prices = {_item(offer): offer for offer in bought}
    longest: dict[str, CutLine] = {}
    for cut in sorted(cuts, key=lambda cut: cut.length):
        if cut.ripped is None:
            longest[cut.section.name] = cut
    spare: Counter[LumberOffer] = Counter()
    for section, cut in longest.items() if number else ():
        fitting = [
            paid for offer in usable
            if offer.section.name == section and _will_do(offer, cut, request)
            and _carry(offer, request) is None and offer.usable_length - request.shop.end_trim >= cut.length
            and (paid := prices.get(_item(offer), offer)).least_quantity <= bought[paid] + number
            and (paid.in_stock is None or paid.in_stock >= bought[paid] + number)
        ]  # fmt: skip
        if fitting:
            spare[min(fitting, key=lambda offer: (offer.each, offer.usable_length))] += number
    return spare


def _named(cuts: Sequence[CutLine], shortfalls: Iterable[Shortfall]) -> Iterator[tuple[CutLine, Shortfall]]:
    by_id = {cut.id: cut for cut in cuts}
    return ((by_id[each.key], each) for each in shortfalls)


def _lacking(cut: CutLine, short: Shortfall, request: Request, usable: Sequence[LumberOffer]) -> Lacking:
    """Say for a part what is missing: its section, a long enough board, or enough boards."""

    def text(nm: int) -> str:
        return format_length(nm, request.units)

    section = cut.section.name
    offers = [each for each in usable if each.section.name == section and _will_do(each, cut, request)]
    long_enough = [each for each in offers if each.usable_length - request.shop.end_trim >= cut.length]
    lengths = [_carry(offer, request) or offer.usable_length for offer in offers]
    lengths += [
        own.length for own in request.on_hand if own.section.name == section and _will_do(own, cut, request)
    ]  # fmt: skip
    if not lengths:
        return Lacking(
            "section-not-sold", f"The price book sells no {section} that may be used for the {cut.name}; "
            "choose a section it sells, or accept more species, grades or lengths.", (cut.id,),
        )  # fmt: skip
    if short.longest < cut.length:
        trim = f" ({text(short.longest)} after end trim)" if short.longest < max(lengths) else ""
        return Lacking(
            "no-board-long-enough", f"No stock is long enough for the {text(cut.length)} {cut.name}: "
            f"the longest {section} is {text(max(lengths))}{trim}.", (cut.id,),
        )  # fmt: skip
    if request.shop.no_slivers and any(each.in_stock is None for each in long_enough):
        return Lacking(
            "only-with-sliver", f"Every board of {section} that the {text(cut.length)} {cut.name} fits would leave a "
            f"sliver narrower than the saw cut of {text(request.shop.kerf)}, which no_slivers forbids; allow slivers, "
            "or offer boards of another length.", (cut.id,),
        )  # fmt: skip
    return Lacking(
        "too-few-boards", f"There are not enough boards of {section} for the {text(cut.length)} {cut.name}: "
        f"{short.missing} of {cut.quantity} cannot be cut from what is in stock.", (cut.id,),
    )  # fmt: skip
