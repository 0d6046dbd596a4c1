"""Near misses: parts that, cut a little shorter than they need not be longer, let a cheaper board do."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import ceil
from typing import Final

from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import Sourcing, cheapest_sourcing, total_of
from sawbill.buying.takeoff import CutLine, TakeOff
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lengths import round_down

MOST_TRIED: Final = 4
"""How many shorter lengths are bought for in trial, over all parts."""


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A part that may be cut shorter [nm], and what that saves of the total for certain [minor units]."""

    part: str
    length: int
    shorter: int
    saves: int


def near_misses(
    off: TakeOff, request: Request, book: PriceBook, bought: Sourcing, as_good: Callable[[Sourcing], bool], end: float
) -> tuple[tuple[NearMiss, ...], bool]:
    """Try the lengths, within what each part allows, at which a board gives one piece more; tell those that save.

    as_good: whether another purchase is no weaker, and no less known; end: when the emergency clock stops the trials
    (time.monotonic [s]). Returns them, and whether it did.
    """
    found: list[NearMiss] = []
    tries = [(cut, shorter) for cut in off.cut_list for shorter in _shorter(cut, request, book)][:MOST_TRIED]
    for cut, shorter in tries:
        if time.monotonic() > end:
            return tuple(found), True
        cuts = tuple(replace(each, length=shorter) if each == cut else each for each in off.cut_list)
        try:
            other = cheapest_sourcing(replace(off, cut_list=cuts), request, book, end)
        except NothingFitsError:
            continue
        if (saves := _surely_saved(bought, other, book)) > 0 and as_good(other):
            found.append(NearMiss(cut.id, cut.length, shorter, saves))
    return tuple(found), False


def _surely_saved(bought: Sourcing, other: Sourcing, book: PriceBook) -> int:
    """What another purchase saves even if this one could be as cheap as its bound [minor units].

    In money spent, and with what leftovers are worth: what only leaves less over saves nothing.
    """
    spent = total_of(bought, book) - total_of(other, book)
    return min(spent, ceil(bought.cost - other.cost)) - bought.gap


def _shorter(cut: CutLine, request: Request, book: PriceBook) -> Iterable[int]:
    """The longest lengths, shorter than its own, of which one more piece comes out of some board for sale."""
    if cut.least is None:
        return []
    shop = request.shop
    boards = {
        offer.usable_length - shop.end_trim
        for offer in book.lumber
        if offer.section == cut.section
        and (shop.yard_cuts or shop.longest_board is None or offer.usable_length <= shop.longest_board)
    }
    more = {(board, (board + shop.kerf) // (cut.length + shop.kerf) + 1) for board in boards}
    lengths = {round_down((board + shop.kerf) // pieces - shop.kerf, shop.rounding_step) for board, pieces in more}
    return sorted((length for length in lengths if cut.least <= length < cut.length), reverse=True)
