"""Lots: which boards may be cut for a cut list, on hand and for sale, and the order put to the cutting planner."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import groupby
from typing import Final

from sawbill.asked.request import OnHand, Request
from sawbill.buying.takeoff import CutLine
from sawbill.cutting import Order, Piece, SmallPart, Stock, carried_lengths
from sawbill.prices.pricebook import LumberOffer
from sawbill.trade import lumber
from sawbill.trade.lengths import INCH, round_up
from sawbill.trade.lumber import Material, Section

LEAST_BLANK: Final = 12 * INCH
"""The shortest piece that is safe to rip (common practice; saw manuals warn below 12 in) [nm]."""


@dataclass(frozen=True, slots=True)
class Wood:
    """Boards of one kind and length; offer: None for boards on hand; trim: lost at the end [nm].

    carry: the longest that may be carried of a board that the yard cuts, None of one that is carried whole [nm];
    design_values: what is told of their strength beside their grade.
    """

    section: Section
    species: str | None
    grade: str | None
    length: int
    trim: int
    offer: LumberOffer | None = None
    carry: int | None = None
    design_values: str | None = None

    @property
    def material(self) -> str:
        """The planner's word for what it is."""
        words = [self.section.name, self.species or "?", self.grade or "?"]
        words += [self.design_values] if self.design_values else []
        return " | ".join([*words, "treated"] if self.offer and self.offer.treated else words)


@dataclass(frozen=True, slots=True)
class Lot:
    """Boards the planner may use: at this price each [minor units], so many of them, None for no limit."""

    wood: Wood
    price: int
    available: int | None


@dataclass(frozen=True, slots=True)
class Wanted:
    """What boards are bought for, from which offers; must: so many of an offer are bought whatever is cut.

    credit: what a leftover worth keeping is worth [minor units per nm]; sold: all sections on sale, to be told where
    one that is wanted is none of them.
    """

    cuts: tuple[CutLine, ...]
    request: Request
    usable: tuple[LumberOffer, ...]
    credit: Fraction = Fraction(0)
    must: Mapping[LumberOffer, int] = field(default_factory=dict)
    sold: tuple[Section, ...] = ()

    def uncut(self, offer: LumberOffer) -> int:
        """What a board that is bought and not cut is worth as a leftover [minor units]."""
        shop, length = self.request.shop, offer.usable_length - self.request.shop.end_trim
        parts = carried_lengths(length, carry_of(offer, self.request), shop.kerf) if self.credit else []
        return sum(int(part * self.credit) for part in parts if part >= shop.keep_offcut)


def item_of(offer: LumberOffer) -> tuple[str, ...]:
    """What two offers share that are two prices of one thing."""
    return (
        offer.section.name,
        offer.species,
        offer.grade,
        f"{offer.usable_length:012}",
        offer.supplier,
        offer.item_code,
        offer.design_values or "",
    )


def accepted(offer: LumberOffer, cuts: Sequence[CutLine], request: Request) -> bool:
    """Whether an offer may be used; a board that measures otherwise than its section is another board."""
    shop = request.shop
    return (
        any(offer.section.name == cut.section.name and offer.section == cut.section for cut in cuts)
        and (offer.in_stock is None or offer.in_stock >= offer.least_quantity)
        and (shop.yard_cuts or shop.longest_board is None or offer.usable_length <= shop.longest_board)
        and any(will_do(offer, cut, request) for cut in cuts)
    )


def will_do(wood: Wood | LumberOffer | OnHand, cut: CutLine, request: Request) -> bool:
    """Whether wood will do for a part: its own lists of species and grades, else the request's, say so, and it holds.

    What is not known of boards on hand is for the maker to judge: it will do.
    """
    wanted = ((cut.species or request.species, wood.species), (cut.grades or request.grades, wood.grade))
    return all(not named or word is None or word in named for named, word in wanted) and (
        cut.may_be is None or material_of(wood) in cut.may_be
    )


def material_of(wood: Wood | LumberOffer | OnHand) -> Material:
    """What is known of wood for the checks; of boards on hand nobody knows whether they are treated."""
    offer = wood.offer if isinstance(wood, Wood) else wood if isinstance(wood, LumberOffer) else None
    return Material(
        wood.section, lumber.species().get(wood.species or ""), lumber.grades().get(wood.grade or ""),
        None if offer is None else offer.treated, wood.design_values,
    )  # fmt: skip


def _do_for(woods: Mapping[str, Wood], cuts: Sequence[CutLine], request: Request) -> dict[str, frozenset[str]]:
    """The parts that each kind of wood will do for, by what it is called."""
    return {name: frozenset(cut.id for cut in cuts if will_do(wood, cut, request)) for name, wood in woods.items()}


def lots_for(
    wanted: Wanted, taken: Sequence[LumberOffer] = (), given_up: Sequence[LumberOffer] = ()
) -> tuple[Lot, ...]:
    """Boards on hand, then those for sale: each at the price committed to, else at the lowest not given up.

    What is committed to is paid for, and free to cut: the least quantity of a price taken, and what must be bought.
    """
    request = wanted.request
    lots = [
        Lot(Wood(own.section, own.species, own.grade, own.length, 0, design_values=own.design_values), 0, own.quantity)
        for own in request.on_hand
    ]
    committed = {offer: offer.least_quantity for offer in taken} | dict(wanted.must)
    for _, group in groupby(sorted(wanted.usable, key=item_of), key=item_of):
        prices = sorted(group, key=lambda offer: (offer.each, offer.least_quantity))
        offered = [o for o in prices if o in committed] or [o for o in prices if o not in given_up]
        if not offered:
            continue
        offer, paid = offered[0], committed.get(offered[0], 0)
        wood = Wood(
            offer.section, offer.species, offer.grade, offer.usable_length, request.shop.end_trim, offer,
            carry_of(offer, request), offer.design_values,
        )  # fmt: skip
        if paid:
            lots.append(Lot(wood, 0, paid))
        lots.append(Lot(wood, offer.each, None if offer.in_stock is None else offer.in_stock - paid))
    names = [lot.wood.material for lot in lots]
    kinds = _do_for(dict(zip(names, (lot.wood for lot in lots), strict=True)), wanted.cuts, request)
    does_for = [kinds[name] for name in names]
    return tuple(lot for i, lot in enumerate(lots) if not _outdone(i, lots, does_for, request))


def carry_of(offer: LumberOffer, request: Request) -> int | None:
    """The longest that may be carried of a board [nm], where that is less than its length."""
    longest = request.shop.longest_board
    return longest if longest is not None and offer.usable_length > longest else None


def _outdone(i: int, lots: Sequence[Lot], does_for: Sequence[frozenset[str]], request: Request) -> bool:
    """Whether another lot does all that this one can, at no more cost; of two that do the same the first stays.

    A longer board stands in for a shorter one, unless slivers are forbidden: then what it leaves over matters.
    One that the yard must cut stands in for none that is carried whole, and none for one that will do for more parts.
    """

    def stands_in(n: int, m: int) -> bool:
        other, lot = lots[n], lots[m]
        mine, its = lot.wood, other.wood
        return (
            other.price <= lot.price
            and (its.length == mine.length if request.shop.no_slivers else its.length >= mine.length)
            and its.carry in (mine.carry, None)
            and its.section == mine.section
            and does_for[n] >= does_for[m]
        )

    lot = lots[i]
    return lot.wood.offer is not None and any(
        other.available is None and stands_in(j, i) and (j < i or not stands_in(i, j))
        for j, other in enumerate(lots)
        if j != i and other.wood.offer is not None
    )


def order_of(wanted: Wanted, lots: Sequence[Lot]) -> Order:
    """The question put to the planner: pieces from their own section, small parts ripped from any as thick."""
    cuts, request = wanted.cuts, wanted.request
    kerf, least_blank = request.shop.kerf, round_up(LEAST_BLANK, request.shop.rounding_step)
    names = [lot.wood.material for lot in lots]
    kinds = dict(zip(names, (lot.wood for lot in lots), strict=True))
    woods, does_for = {name: wood.section for name, wood in kinds.items()}, _do_for(kinds, cuts, request)

    def materials(cut: CutLine) -> frozenset[str]:
        return frozenset(name for name, own in woods.items() if cut.id in does_for[name] and own == cut.section)

    def strips(cut: CutLine) -> dict[str, int]:
        width = cut.ripped or 0
        return {
            material: strips_of(section.width, width, kerf)
            for material, section in sorted(woods.items())
            if section.thickness == cut.section.thickness and section.width >= width and cut.id in does_for[material]
        }

    return Order(
        stocks=tuple(
            Stock(
                str(i), name, wood.length, lot.price, lot.available, wood.trim, wood.offer is None, wood.carry
            )
            for i, (name, lot) in enumerate(zip(names, lots, strict=True))
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
        credit=wanted.credit,
        extra_cost=Fraction(request.shop.extra_for_fewer_setups),
    )  # fmt: skip


def strips_of(width: int, ripped: int, kerf: int) -> int:
    """How many strips of a width lie side by side across a board, a cut between each two [all nm]."""
    return (width + kerf) // (ripped + kerf)


def offcut_worth(cuts: Sequence[CutLine], request: Request, usable: Sequence[LumberOffer]) -> Fraction:
    """What an offcut kept is worth [minor units per nm]: its share of the best price of all that may be bought.

    Nothing where wood on hand may be cut: it cost nothing, so what is left of it is no part of what was paid.
    """
    thicknesses = {cut.section.thickness for cut in cuts}
    if not request.shop.offcut_value or any(own.section.thickness in thicknesses for own in request.on_hand):
        return Fraction(0)
    return Fraction(request.shop.offcut_value) * min(
        (Fraction(offer.each, offer.usable_length) for offer in usable), default=Fraction(0)
    )


def apart(cuts: Sequence[CutLine]) -> list[tuple[CutLine, ...]]:
    """The cut list in parts that share no board: by section, sections that a small part may be ripped from together."""
    names = {cut.section.name: {cut.section.name} for cut in cuts}
    for cut in cuts:
        if cut.ripped is not None:
            tied = {
                other.section.name for other in cuts
                if other.section.thickness == cut.section.thickness and other.section.width >= cut.ripped
            }  # fmt: skip
            joined = set[str]().union(*(names[name] for name in tied | {cut.section.name}))
            names |= dict.fromkeys(joined, joined)
    groups = dict.fromkeys(frozenset(names[cut.section.name]) for cut in cuts)
    return [tuple(cut for cut in cuts if cut.section.name in group) for group in groups]
