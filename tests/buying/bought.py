"""Boards alone, bought of whoever sells them: no supplier has a price for a visit, a tax or a least order here."""

from __future__ import annotations

from collections.abc import Sequence

from sawbill import cutting
from sawbill.asked.request import Request
from sawbill.buying.boards import Boards, Lacking, NothingFitsError, joined, lacking_of, parts_of, share_of, told
from sawbill.buying.deals import best_deal
from sawbill.buying.takeoff import CutLine
from sawbill.cutting import Infeasible
from sawbill.prices.pricebook import LumberOffer


def buy_boards(
    cuts: Sequence[CutLine], request: Request, offers: Sequence[LumberOffer], end: float | None = None
) -> Boards:
    """Buy and cut boards for a cut list at the least cost, prices that hold from a quantity among them.

    end: when the emergency clock stops the search (time.monotonic [s]); cutting.EMERGENCY from now unless given.
    Raises NothingFitsError: pieces that no board is long enough for, or too few boards.
    """
    end = cutting.until(cutting.EMERGENCY) if end is None else end
    parts, lacking, found = parts_of(cuts, request, offers), list[Lacking](), list[Boards]()
    for done, wanted in enumerate(parts):
        deal = best_deal(wanted, share_of(end, len(parts) - done))
        if isinstance(deal, Infeasible):
            lacking += lacking_of(wanted, deal)
        else:
            found.append(told(wanted, *deal, share_of(end, len(parts) - done)))
    if lacking:
        raise NothingFitsError(lacking)
    return joined(found)
