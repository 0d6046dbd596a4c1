"""Boards: the take-off's cut list put to the cutting planner, and its plan told in boards to buy and to cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from sawbill.estimating import cutting
from sawbill.estimating.cutting import CuttingPlan, Infeasible, Order, Piece, Shortfall, SmallPart, Stock
from sawbill.estimating.pricebook import LumberOffer
from sawbill.estimating.request import Request
from sawbill.estimating.takeoff import CutLine
from sawbill.trade.lengths import INCH, format_length
from sawbill.trade.lumber import Section

LEAST_BLANK: Final = 12 * INCH
"""The shortest piece that is safe to rip (common practice; saw manuals warn below 12 in) [nm]."""


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
    """Boards of one kind and length; offer: None for boards on hand; trim: lost at the end [nm]."""

    section: Section
    species: str | None
    grade: str | None
    length: int
    trim: int
    offer: LumberOffer | None = None

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


@dataclass(frozen=True, slots=True)
class Boards:
    """Boards to buy and how to cut them; cost and bound [minor units] leave asked-for spare boards out."""

    bought: tuple[BoughtBoards, ...]
    cut: tuple[CutBoards, ...]
    cost: int
    bound: int
    status: cutting.Status
    stage: str


@dataclass(frozen=True, slots=True)
class _Lot:
    """Boards the planner may use: at this price each [minor units], so many of them, None for no limit."""

    wood: Wood
    price: int
    available: int | None


@dataclass(frozen=True, slots=True)
class _Deal:
    """One way to buy: what the boards cost that quantity prices oblige to, and the plan that uses them."""

    lots: tuple[_Lot, ...]
    plan: CuttingPlan
    fixed: int

    @property
    def cost(self) -> int:
        return self.fixed + self.plan.cost

    def used(self) -> Counter[LumberOffer]:
        """Boards cut of each offer."""
        used: Counter[LumberOffer] = Counter()
        for board in self.plan.boards:
            if (offer := self.lots[int(board.stock)].wood.offer) is not None:
                used[offer] += board.count
        return used


def buy_boards(cuts: Sequence[CutLine], request: Request, offers: Sequence[LumberOffer]) -> Boards:
    """Buy and cut boards for a cut list at the least cost, prices that hold from a quantity among them.

    Raises NothingFitsError: pieces that no board is long enough for, or too few boards.
    """
    sections = {cut.section for cut in cuts}
    usable = tuple(offer for offer in offers if _accepted(offer, request, sections))
    if not cuts:
        return Boards((), (), 0, 0, cutting.Status.PROVEN, "nothing to cut")
    best, bound = _best_deal(cuts, request, usable)
    return _told(best, bound, cuts, request, usable)


def _best_deal(cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]) -> tuple[_Deal, int]:
    """The cheapest deal, and a bound on the cost of any [minor units].

    Taking every quantity price as if it held from one board bounds all deals; when that plan buys enough for
    every price it takes, it is the cheapest. Else sets of quantity prices are committed to, one more at a time:
    the least quantity of each is paid for and free to use. A set whose paid boards alone cost as much as the
    best deal so far is passed over, with all sets that contain it.
    """
    breaks = [offer for offer in usable if offer.least_quantity > 1]
    if breaks:
        hopeful = _deal(cuts, request, _lots(request, usable, hopeful=True))
        if isinstance(hopeful, _Deal) and all(n >= offer.least_quantity for offer, n in hopeful.used().items()):
            return hopeful, hopeful.plan.bound
    plain = _deal(cuts, request, _lots(request, usable))
    found = [plain] if isinstance(plain, _Deal) else []
    waiting: list[tuple[tuple[LumberOffer, ...], int]] = [((), 0)]
    while waiting:
        committed, start = waiting.pop()
        for i in range(start, len(breaks)):
            more = (*committed, breaks[i])
            paid = sum(offer.each * offer.least_quantity for offer in more)
            if not _sold_together(more) or any(paid >= deal.cost for deal in found):
                continue
            deal = _deal(cuts, request, _lots(request, usable, more), paid)
            found += [deal] if isinstance(deal, _Deal) else []
            waiting.append((more, i + 1))
    if isinstance(plain, Infeasible) and not found:
        raise NothingFitsError(_lacking(cut, each, request, usable) for cut, each in _named(cuts, plain.shortfalls))
    return min(found, key=lambda deal: deal.cost), min(deal.fixed + deal.plan.bound for deal in found)


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


def _sold_together(offers: Sequence[LumberOffer]) -> bool:
    """Whether these quantity prices can be paid side by side: one price an item, and enough of each in stock."""
    return len({_item(offer) for offer in offers}) == len(offers) and all(
        offer.in_stock is None or offer.in_stock >= offer.least_quantity for offer in offers
    )


def _accepted(offer: LumberOffer, request: Request, sections: set[Section]) -> bool:
    """Whether an offer may be used; a board that measures otherwise than its section is another board."""
    longest = request.shop.longest_board
    return (
        offer.section in sections
        and (longest is None or offer.usable_length <= longest)
        and (not request.species or offer.species in request.species)
        and (not request.grades or offer.grade in request.grades)
    )


def _lots(
    request: Request,
    usable: Sequence[LumberOffer],
    committed: Sequence[LumberOffer] = (),
    *,
    hopeful: bool = False,
) -> tuple[_Lot, ...]:
    """Boards on hand, then those for sale, at the prices committed to, or each at its lowest when hopeful."""
    lots = [_Lot(Wood(own.section, own.species, own.grade, own.length, 0), 0, own.quantity) for own in request.on_hand]
    for _, group in groupby(sorted(usable, key=_item), key=_item):
        prices = sorted(group, key=lambda offer: offer.each)
        taken = [offer for offer in prices if offer in committed]
        offered = taken or [offer for offer in prices if hopeful or offer.least_quantity == 1]
        if not offered:
            continue
        offer, paid = offered[0], offered[0].least_quantity if taken else 0
        wood = Wood(
            offer.section, offer.species, offer.grade, offer.usable_length, request.shop.end_trim, offer
        )  # fmt: skip
        if paid:
            lots.append(_Lot(wood, 0, paid))
        lots.append(_Lot(wood, offer.each, None if offer.in_stock is None else offer.in_stock - paid))
    return tuple(lots)


def _deal(cuts: Sequence[CutLine], request: Request, lots: tuple[_Lot, ...], fixed: int = 0) -> _Deal | Infeasible:
    order = _order(cuts, request, lots)
    plan = cutting.plan(order)
    return plan if isinstance(plan, Infeasible) else _Deal(lots, plan, fixed)


def _order(cuts: Sequence[CutLine], request: Request, lots: Sequence[_Lot]) -> Order:
    """The question put to the planner: pieces from their own section, small parts ripped from any as thick."""
    kerf = request.shop.kerf
    woods = {lot.wood.material: lot.wood.section for lot in lots}

    def materials(section: Section) -> frozenset[str]:
        return frozenset(material for material, own in woods.items() if own == section)

    def strips(cut: CutLine) -> dict[str, int]:
        """How many strips lie side by side across a board, a cut between each two."""
        width = cut.ripped or 0
        return {
            material: (section.width + kerf) // (width + kerf)
            for material, section in sorted(woods.items())
            if section.thickness == cut.section.thickness and section.width >= width
        }

    return Order(
        stocks=tuple(
            Stock(str(i), wood.material, wood.length, lot.price, lot.available, wood.trim, wood.offer is None)
            for i, lot in enumerate(lots)
            for wood in [lot.wood]
        ),
        pieces=tuple(
            Piece(cut.id, cut.length, cut.quantity, materials(cut.section)) for cut in cuts if cut.ripped is None
        ),
        small_parts=tuple(
            SmallPart(cut.id, cut.length, cut.quantity, strips(cut), LEAST_BLANK) for cut in cuts if cut.ripped
        ),
        kerf=kerf,
    )  # fmt: skip


def _told(deal: _Deal, bound: int, cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]) -> Boards:
    used = deal.used()
    for lot in deal.lots:
        if lot.wood.offer is not None and lot.price == 0:
            used[lot.wood.offer] = max(used[lot.wood.offer], lot.available or 0)
    spare = _spare(cuts, request, usable)
    cut = deal.used()
    bought = [
        BoughtBoards(offer, used[offer] + spare[offer], used[offer] - cut[offer] + spare[offer])
        for offer in sorted(used | spare, key=lambda offer: (*_item(offer), offer.least_quantity))
        if used[offer] + spare[offer]
    ]
    boards = tuple(_cut_boards(deal.lots[int(board.stock)].wood, board) for board in deal.plan.boards)
    return Boards(tuple(bought), boards, deal.cost, bound, _status(deal, bound), deal.plan.stage)


def _status(deal: _Deal, bound: int) -> cutting.Status:
    if deal.cost == bound:
        return cutting.Status.PROVEN
    late = deal.plan.status is cutting.Status.TIME_LIMIT
    return cutting.Status.TIME_LIMIT if late else cutting.Status.WITHIN_TOLERANCE


def _cut_boards(wood: Wood, board: cutting.Board) -> CutBoards:
    sawn = wood.length - wood.trim - board.leftover - sum(cut.length for cut in board.cuts)
    return CutBoards(wood, board, sawn)


def _spare(cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]) -> Counter[LumberOffer]:
    """Asked-for spare boards: of each section the cheapest board that its longest piece can be cut from."""
    spare: Counter[LumberOffer] = Counter()
    longest: dict[str, int] = {}
    for cut in cuts:
        if cut.ripped is None:
            longest[cut.section.name] = max(cut.length, longest.get(cut.section.name, 0))
    for section, length in longest.items():
        fitting = [
            offer for offer in usable
            if offer.section.name == section and offer.least_quantity == 1
            and offer.usable_length - request.shop.end_trim >= length and offer.in_stock is None
        ]  # fmt: skip
        if fitting and request.shop.spare_boards:
            spare[min(fitting, key=lambda offer: (offer.each, offer.usable_length))] += request.shop.spare_boards
    return spare


def _named(cuts: Sequence[CutLine], shortfalls: Iterable[Shortfall]) -> Iterator[tuple[CutLine, Shortfall]]:
    by_id = {cut.id: cut for cut in cuts}
    return ((by_id[each.key], each) for each in shortfalls)


def _lacking(cut: CutLine, short: Shortfall, request: Request, usable: Sequence[LumberOffer]) -> Lacking:
    """Say for a part what is missing: its section, a long enough board, or enough boards."""

    def text(nm: int) -> str:
        return format_length(nm, request.units)

    section = cut.section.name
    lengths = [offer.usable_length for offer in usable if offer.section.name == section]
    lengths += [own.length for own in request.on_hand if own.section.name == section]
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
    return Lacking(
        "too-few-boards", f"There are not enough boards of {section} for the {text(cut.length)} {cut.name}: "
        f"{short.missing} of {cut.quantity} cannot be cut from what is in stock.", (cut.id,),
    )  # fmt: skip
