"""Boards: the take-off's cut list put to the cutting planner, and its plan told in boards to buy and to cut."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from sawbill.estimating import cutting
from sawbill.estimating.cutting import Infeasible, Shortfall
from sawbill.estimating.deals import Settled, best_deal, cost_of, tidy, used_of
from sawbill.estimating.lots import Wood, accepted, carry_of, item_of, will_do
from sawbill.estimating.pricebook import LumberOffer
from sawbill.estimating.request import Request
from sawbill.estimating.takeoff import CutLine
from sawbill.trade.lengths import format_length


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


def buy_boards(
    cuts: Sequence[CutLine], request: Request, offers: Sequence[LumberOffer], end: float | None = None
) -> Boards:
    """Buy and cut boards for a cut list at the least cost, prices that hold from a quantity among them.

    end: when the emergency clock stops the search (time.monotonic [s]); cutting.EMERGENCY from now unless given.
    Raises NothingFitsError: pieces that no board is long enough for, or too few boards.
    """
    usable = tuple(offer for offer in offers if accepted(offer, cuts, request))
    if not cuts:
        return Boards((), (), 0, 0, late=False, stage="nothing to cut")
    end = cutting.until(cutting.EMERGENCY) if end is None else end
    found = best_deal(cuts, request, usable, end)
    if isinstance(found, Infeasible):
        raise NothingFitsError(_lacking(cut, short, request, usable) for cut, short in _named(cuts, found.shortfalls))
    best, bound = found
    return _told(tidy(best, request, usable, end), bound, end, cuts, request, usable)


def _told(
    deal: Settled, bound: int, end: float, cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]
) -> Boards:
    cut = {item_of(offer): number for offer, number in used_of(deal.lots, deal.plan.stocks).items()}
    quantities = deal.bought + _spare(cuts, request, usable, deal.bought)
    bought = [
        BoughtBoards(offer, quantities[offer], quantities[offer] - cut.get(item_of(offer), 0))
        for offer in sorted(quantities, key=item_of)
    ]
    paid = {item_of(offer): offer for offer in deal.bought}
    woods = [
        replace(lot.wood, offer=paid.get(item_of(lot.wood.offer))) if lot.wood.offer else lot.wood
        for lot in deal.lots
    ]  # fmt: skip
    boards = tuple(_cut_boards(woods[int(board.stock)], board) for board in deal.plan.boards)
    cost = sum(each.amount for each in bought)
    least = cost_of(deal.bought)
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
    prices = {item_of(offer): offer for offer in bought}
    longest: dict[str, CutLine] = {}
    for cut in sorted(cuts, key=lambda cut: cut.length):
        if cut.ripped is None:
            longest[cut.section.name] = cut
    spare: Counter[LumberOffer] = Counter()
    for section, cut in longest.items() if number else ():
        fitting = [
            paid for offer in usable
            if offer.section.name == section and will_do(offer, cut, request)
            and carry_of(offer, request) is None and offer.usable_length - request.shop.end_trim >= cut.length
            and (paid := prices.get(item_of(offer), offer)).least_quantity <= bought[paid] + number
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
    offers = [each for each in usable if each.section.name == section and will_do(each, cut, request)]
    long_enough = [each for each in offers if each.usable_length - request.shop.end_trim >= cut.length]
    lengths = [carry_of(offer, request) or offer.usable_length for offer in offers]
    lengths += [
        own.length for own in request.on_hand if own.section.name == section and will_do(own, cut, request)
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
