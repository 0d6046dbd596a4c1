"""The quote: take-off, purchase and checks of a request joined, and totalled to the last minor unit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from sawbill import cutting
from sawbill.asked.request import Request
from sawbill.buying.purchase import Purchase
from sawbill.buying.suppliers import Sourcing, Visit, until
from sawbill.buying.takeoff import TakeOff, take_off
from sawbill.checks import statics
from sawbill.checks.finding import Finding, Status
from sawbill.checks.strength.calculation import Calculation
from sawbill.checks.strength.traces import calculations
from sawbill.checks.together import check_frame
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import Holding, held
from sawbill.quoting.notices import Notice, notices
from sawbill.quoting.suggestions import NearMiss, near_misses
from sawbill.quoting.summaries import FrameSummary, LoadHome, load_home, materials_of, summary_of, woods_of
from sawbill.quoting.totals import Proof, Totals, proof_of, totals_of
from sawbill.quoting.ways_out import WaysOut, ways_out
from sawbill.registry import designs
from sawbill.trade import lumber

Findings = tuple[tuple[int, Finding], ...]
"""What the checks found, each with the line of the request it is of."""


@dataclass(frozen=True, slots=True)
class Quote:
    """The whole answer to a request against one revision of a price book.

    woods: by cut line, every kind of wood that is cut for its parts.
    """

    request: Request
    book: PriceBook
    take_off: TakeOff
    purchase: Purchase
    visits: tuple[Visit, ...]
    totals: Totals
    proof: Proof
    findings: Findings
    frames: tuple[FrameSummary, ...]
    near_misses: tuple[NearMiss, ...]
    woods: Mapping[str, tuple[lumber.Material, ...]]
    load_home: LoadHome
    calculations: tuple[tuple[int, Calculation], ...]
    warnings: tuple[Notice, ...]
    holding: Holding
    ways_out: tuple[WaysOut, ...] = ()


def make_quote(
    request: Request, book: PriceBook, *, suggest: bool = True, bought: Holding | None = None,
    outs: Sequence[WaysOut] | None = None,
) -> Quote:  # fmt: skip
    """Quote a request from a price book: the same request and revision give the same quote.

    suggest: whether to look for near misses, which takes purchases in trial; one clock is for all of it.
    bought: what is bought for it, outs: the ways out there are, where that is known from before.
    Raises NothingFitsError: the book lacks something; the error says what, and what would do.
    """
    statics.make_ready()  # the first quote of a process loads the loops, or compiles them, before the clock starts
    end = until(cutting.EMERGENCY)
    holding = bought or held(take_off(request.lines, request.shop.rounding_step), request, book, end)
    off, sourcing, materials = holding.bought.off, holding.bought.sourcing, holding.bought.materials

    def as_good(other: Sourcing) -> bool:
        """Whether what is bought otherwise holds no worse."""
        then = _found(request, materials_of(off, woods_of(other.purchase)))
        bad = (Status.FAIL, Status.UNRECKONED)
        return all(_count(then, status) <= _count(holding.bought.findings, status) for status in bad)

    misses, cut_short = near_misses(off, request, book, sourcing, as_good, end) if suggest else ((), False)
    if outs is None:
        outs = ways_out(request, book, designs(), holding) if request.ways_out else ()
    late = sourcing.late or holding.late or cut_short or any(each.late for each in outs)
    load = load_home(sourcing, request.shop.longest_board)
    frames = tuple(
        summary_of(number, line.frame, materials[number]) for number, line in enumerate(request.lines) if line.frame
    )
    return Quote(
        request, book, off, sourcing.purchase, sourcing.visits, totals_of(sourcing, book, request.pricing),
        proof_of(sourcing, lasting=not late), holding.bought.findings, frames,
        misses, woods_of(sourcing.purchase), load,
        tuple(_calculations(request, materials)), tuple(notices(request, book, holding, load.longest)), holding,
        tuple(outs),
    )  # fmt: skip


def _calculations(request: Request, materials: Mapping[int, lumber.Materials]) -> Iterator[tuple[int, Calculation]]:
    """Those that are asked for, by line."""
    for number, line in enumerate(request.lines if request.trace else ()):
        if line.frame:
            for each in calculations(line.frame, request.site, materials[number], request.trace):
                yield number, each


def _found(request: Request, materials: Mapping[int, lumber.Materials]) -> Findings:
    """What the checks find of every frame in the wood that is cut for it."""
    return tuple(
        (number, finding)
        for number, line in enumerate(request.lines)
        if line.frame
        for finding in check_frame(line.frame, request.site, materials[number])
    )


def _count(findings: Findings, status: Status) -> int:
    return sum(finding.status is status for _, finding in findings)
