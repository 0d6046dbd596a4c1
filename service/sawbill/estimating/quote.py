"""The quote: take-off, purchase and checks of a request joined, and totalled to the last minor unit."""

from __future__ import annotations

from dataclasses import dataclass

from sawbill.checks.finding import Finding
from sawbill.checks.together import check_frame
from sawbill.estimating import cutting
from sawbill.estimating.notices import Notice, notices
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.purchase import Purchase
from sawbill.estimating.request import Request
from sawbill.estimating.suggestions import NearMiss, near_misses
from sawbill.estimating.summaries import FrameSummary, LoadHome, load_home, materials_of, summary_of
from sawbill.estimating.suppliers import Visit, cheapest_sourcing, until
from sawbill.estimating.takeoff import TakeOff, take_off
from sawbill.estimating.totals import Proof, Totals, proof_of, totals_of


@dataclass(frozen=True, slots=True)
class Quote:
    """The whole answer to a request against one revision of a price book."""

    request: Request
    book: PriceBook
    take_off: TakeOff
    purchase: Purchase
    visits: tuple[Visit, ...]
    totals: Totals
    proof: Proof
    findings: tuple[tuple[int, Finding], ...]
    frames: tuple[FrameSummary, ...]
    near_misses: tuple[NearMiss, ...]
    load_home: LoadHome
    warnings: tuple[Notice, ...] = ()


def make_quote(request: Request, book: PriceBook, *, suggest: bool = True) -> Quote:
    """Quote a request from a price book: the same request and revision give the same quote.

    suggest: whether to look for near misses, which takes purchases in trial; one clock is for all of it.
    Raises NothingFitsError: the book lacks something; the error says what, and what would do.
    """
    off, end = take_off(request.lines, request.shop.step), until(cutting.EMERGENCY)
    sourcing = cheapest_sourcing(off, request, book, end)
    bought, materials = sourcing.purchase, materials_of(off, sourcing.purchase)
    framed = [(number, line.frame) for number, line in enumerate(request.lines) if line.frame]
    findings = tuple(
        (number, finding) for number, frame in framed
        for finding in check_frame(frame, request.site, materials[number])
    )  # fmt: skip
    misses, cut_short = near_misses(off, request, book, sourcing, end) if suggest else ((), False)
    load = load_home(sourcing, request.shop.longest_board)
    return Quote(
        request, book, off, bought, sourcing.visits, totals_of(sourcing, book, request.pricing),
        proof_of(sourcing, lasting=not (sourcing.late or cut_short)), findings,
        tuple(summary_of(number, frame, materials[number]) for number, frame in framed), misses, load,
        tuple(notices(request, book, off, findings, sourcing, load.longest)),
    )  # fmt: skip
