"""Boards: the take-off's cut list put to the cutting planner, and its plan told in boards to buy and to cut."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from sawbill import cutting
from sawbill.asked.request import Request
from sawbill.buying.deals import Deal, settled, used_of
from sawbill.buying.lots import Wanted, Wood, accepted, apart, carry_of, item_of, offcut_worth, will_do
from sawbill.buying.spare import asked_for, spare_boards
from sawbill.buying.takeoff import CutLine
from sawbill.cutting import Infeasible, Shortfall
from sawbill.prices.pricebook import LumberOffer
from sawbill.trade.lengths import format_length
from sawbill.trade.lumber import Section

_NAMED: Final = 8
"""How many sections on sale are named where the one that is wanted is none of them."""


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
    """So many boards of one offer; spare: those of them that no cut is planned for; asked: spare ones asked for."""

    offer: LumberOffer
    quantity: int
    spare: int = 0
    asked: int = 0

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
    """Boards to buy and how to cut them; credited: what the leftovers are worth [minor units].

    bound: no way to buy them costs less, what it leaves credited [minor units];
    late: whether a clock, and not the steps allowed, ended the search;
    few: no plan as cheap, with no more boards of the same prices, has fewer set-ups.
    """

    bought: tuple[BoughtBoards, ...]
    cut: tuple[CutBoards, ...]
    cost: int
    bound: int
    late: bool
    stage: str
    credited: int = 0
    few: int = 0


def share_of(end: float, parts: float) -> float:
    """When the first of so many parts shall be done, each given as much of the time that is left."""
    now = time.monotonic()
    return now + (end - now) / parts


def parts_of(cuts: Sequence[CutLine], request: Request, offers: Sequence[LumberOffer]) -> list[Wanted]:
    """The cut list in parts that share no board, each with the offers that may be used for it."""
    names = {cut.section.name for cut in cuts}
    usable = tuple(offer for offer in offers if offer.section.name in names and accepted(offer, cuts, request))
    credit = offcut_worth(cuts, request, usable)
    sold = tuple({offer.section.name: offer.section for offer in offers}.values())
    return [
        Wanted(part, request, tuple(offer for offer in usable if accepted(offer, part, request)), credit, sold=sold)
        for part in apart(cuts)
    ]


def lacking_of(wanted: Wanted, found: Infeasible) -> list[Lacking]:
    """What is missing for a part of the cut list, in words."""
    by_id = {cut.id: cut for cut in wanted.cuts}
    return [_lacking(by_id[short.key], short, wanted) for short in found.shortfalls]


def told(wanted: Wanted, best: Deal, bound: int, end: float, *, tidy: bool = True) -> Boards:
    """Boards to buy and to cut: the deal with the best of its plans, if they shall be tidy."""
    deal = settled(best, wanted, end, tidy=tidy)
    used = used_of(deal.lots, deal.plan.stocks)
    cut = {item_of(offer): number for offer, number in used.items()}
    more = spare_boards(wanted, deal.bought, used)
    if tidy and _cost(more) > _cost(spare_boards(wanted, best.bought, used_of(best.lots, best.draft.stocks))):
        return told(wanted, best, bound, end, tidy=False)
    quantities = deal.bought + more
    spare = Counter({offer: number - cut.get(item_of(offer), 0) for offer, number in quantities.items()})
    asked = asked_for(wanted, spare)
    bought = [
        BoughtBoards(offer, quantities[offer], spare[offer], asked[offer])
        for offer in sorted(quantities, key=item_of)
    ]  # fmt: skip
    paid = {item_of(offer): offer for offer in deal.bought}
    woods = [
        replace(lot.wood, offer=paid.get(item_of(lot.wood.offer))) if lot.wood.offer else lot.wood
        for lot in deal.lots
    ]  # fmt: skip
    boards = tuple(_cut_boards(woods[int(board.stock)], board) for board in deal.plan.boards)
    spent = sum(each.amount for each in bought)
    doubt = max(0, deal.cost - bound)
    late = deal.plan.late or (doubt > 0 and time.monotonic() > end)
    net = spent - deal.credited
    return Boards(tuple(bought), boards, spent, net - doubt, late, deal.plan.stage, deal.credited, deal.plan.few)


def joined(parts: Sequence[Boards]) -> Boards:
    """The boards of all parts of a cut list, in one order."""
    return Boards(
        tuple(sorted((each for part in parts for each in part.bought), key=lambda each: item_of(each.offer))),
        tuple(sorted((each for part in parts for each in part.cut), key=lambda each: each.wood.material)),
        sum(part.cost for part in parts),
        sum(part.bound for part in parts),
        any(part.late for part in parts),
        ", ".join(dict.fromkeys(part.stage for part in parts)) or "nothing to cut",
        sum(part.credited for part in parts),
        sum(part.few for part in parts),
    )


def _cut_boards(wood: Wood, board: cutting.Board) -> CutBoards:
    sawn = wood.length - wood.trim - board.leftover - sum(cut.length for cut in board.cuts)
    return CutBoards(wood, board, sawn)


def _cost(bought: Counter[LumberOffer]) -> int:
    return sum(offer.each * number for offer, number in bought.items())


def _nearest(cut: CutLine, sold: Iterable[Section]) -> str:
    """Name the sections on sale that are nearest in size to a part's."""

    def apart_from(other: Section) -> tuple[int, str]:
        here = cut.section
        return abs(other.thickness - here.thickness) + abs(other.width - here.width), other.name

    return ", ".join(each.name for each in sorted(sold, key=apart_from)[:_NAMED]) or "none"


def _lacking(cut: CutLine, short: Shortfall, wanted: Wanted) -> Lacking:
    """Say for a part what is missing: its section, a long enough board, or enough boards."""
    request, section = wanted.request, cut.section.name
    offers = [each for each in wanted.usable if each.section.name == section and will_do(each, cut, request)]
    own = [each for each in request.on_hand if each.section.name == section and will_do(each, cut, request)]
    lengths = [carry_of(offer, request) or offer.usable_length for offer in offers] + [each.length for each in own]
    longest = request.shop.longest_board
    part = f"{format_length(cut.length, request.units)} {cut.name}"
    if longest is not None and cut.ripped is None and cut.length > longest:
        return Lacking(
            "no-board-long-enough", f"The {part} is longer than any board that may be carried: longest_board is "
            f"{format_length(longest, request.units)}; raise it, or choose options that make the part shorter, as "
            "in_halves does in a bed.", (cut.id,),
        )  # fmt: skip
    if not lengths:
        return _no_section(cut, wanted)
    if short.longest < cut.length:
        left = format_length(short.longest, request.units)
        trim = f" ({left} after end trim)" if short.longest < max(lengths) else ""
        return Lacking(
            "no-board-long-enough", f"No stock is long enough for the {part}: the longest {section} is "
            f"{format_length(max(lengths), request.units)}{trim}.", (cut.id,),
        )  # fmt: skip
    long_enough = (each for each in offers if each.usable_length - request.shop.end_trim >= cut.length)
    if request.shop.no_slivers and any(each.in_stock is None for each in long_enough):
        return Lacking(
            "only-with-sliver", f"Every board of {section} that the {part} fits would leave a sliver narrower than the "
            f"saw cut of {format_length(request.shop.kerf, request.units)}, which no_slivers forbids; allow slivers, "
            "or offer boards of another length.", (cut.id,),
        )  # fmt: skip
    return Lacking(
        "too-few-boards", f"There are not enough boards of {section} for the {part}: {short.missing} of {cut.quantity} "
        "cannot be cut from what is in stock.", (cut.id,),
    )  # fmt: skip


def _no_section(cut: CutLine, wanted: Wanted) -> Lacking:
    """Say that a part's section is not sold, or none of it that will do."""
    section, longest = cut.section.name, wanted.request.shop.longest_board
    if section not in {each.name for each in wanted.sold}:
        message = (
            f"The price book sells no {section}, which the {cut.name} is of; the nearest it sells are "
            f"{_nearest(cut, wanted.sold)}."
        )
    else:
        carried = (
            "" if longest is None
            else f", boards longer than {format_length(longest, wanted.request.units)} (longest_board) or yard_cuts"
        )  # fmt: skip
        message = (
            f"The price book sells no {section} that may be used for the {cut.name}; choose a section it sells, or "
            f"accept more species, grades or lengths{carried}."
        )
    return Lacking("section-not-sold", message, (cut.id,))
