"""The quote: take-off, purchase and checks of a request joined, and totalled to the last minor unit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from sawbill.checks.finding import Finding, Status
from sawbill.checks.together import check_frame
from sawbill.estimating import cutting
from sawbill.estimating.money import minor_units, tax_by_rate
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.purchase import Purchase
from sawbill.estimating.request import Request
from sawbill.estimating.suggestions import NearMiss, near_misses
from sawbill.estimating.suppliers import Sourcing, Visit, cheapest_sourcing
from sawbill.estimating.takeoff import TakeOff, take_off
from sawbill.trade import lumber
from sawbill.trade.boxes import bounds
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import METRE

Severity = Literal["note", "warn"]
ONE_PERSON: Final = 23_000
"""The load constant for one person's lifting [g] (Revised NIOSH Lifting Equation, 1991: 23 kg, 51 lb)."""
HEAVIEST: Final = Fraction(700)
"""What wood of an unknown species is taken to weigh [kg/m3]: about red oak's (AWC, 1992)."""


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to know about a quote: a stable code, in words what it is, and the parts it concerns, by id.

    lengths: the numbers behind it that are lengths, by name [nm]; mass_g: the mass behind it, if there is one [g].
    """

    code: str
    severity: Severity
    message: str
    parts: tuple[str, ...] = ()
    lengths: tuple[tuple[str, int], ...] = ()
    mass_g: int | None = None


SAMPLE: Final = Notice(
    "price-sample", "note", "The prices are a sample, invented to be replaced by your own."
)  # fmt: skip
NOT_PROVEN: Final = Notice(
    "plan-not-proven",
    "warn",
    "The cutting plan is good but not proven to be the cheapest; proof says how far off it could be.",
)
RIP_FIRST: Final = Notice(
    "rip-before-cutting",
    "warn",
    "Rip small parts as long strips, with push sticks and guards, and cut them to length last: "
    "a piece under 12 in (300 mm) is never ripped.",
)
PLANNING_ONLY: Final = Notice(
    "planning-only",
    "note",
    "Checked against common practice, for planning only: follow your local codes, and ask a licensed "
    "professional wherever someone could be hurt.",
)


@dataclass(frozen=True, slots=True)
class Totals:
    """What is spent [minor units]; used: the part of it that goes into the furniture, leftovers taken off.

    The lumber, hardware and supplies hold the tax already where the book's prices do; then tax says how much.
    """

    lumber: int
    hardware: int
    supplies: int
    trips: int
    tax: int
    total: int
    used: int


@dataclass(frozen=True, slots=True)
class Proof:
    """How far it is proven that the lumber cannot cost less: cost and bound [minor units]; stage: what settled it."""

    status: cutting.Status
    cost: int
    bound: int
    stage: str


@dataclass(frozen=True, slots=True)
class CarriedSummary:
    """A piece as it is carried: how many alike, its longest side [nm], the mass of one [g]."""

    name: str
    count: int
    longest: int
    mass_g: int


@dataclass(frozen=True, slots=True)
class FrameSummary:
    """A frame of the quote, measured: outer size, tops of its mattresses by name [nm], mass [g], how it is carried."""

    line: int
    size: tuple[int, int, int]
    mattress_tops: tuple[tuple[str, int], ...]
    mass_g: int
    carried_pieces: tuple[CarriedSummary, ...]


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
    warnings: tuple[Notice, ...] = ()


def make_quote(request: Request, book: PriceBook) -> Quote:
    """Quote a request from a price book: the same request and revision give the same quote.

    Raises NothingFitsError: the book lacks something; the error says what, and what would do.
    """
    off = take_off(request.lines, request.shop.step)
    sourcing = cheapest_sourcing(off, request, book)
    bought = sourcing.purchase
    frames = tuple(_summaries(request, off, bought))
    findings = tuple(
        (number, finding)
        for number, line in enumerate(request.lines)
        if line.frame
        for finding in check_frame(line.frame)
    )
    quote = Quote(
        request,
        book,
        off,
        bought,
        sourcing.visits,
        _totals(sourcing, book),
        _proof(sourcing),
        findings,
        frames,
        near_misses(off, request, book, sourcing),
    )
    return replace(quote, warnings=tuple(_warnings(quote)))


def _totals(sourcing: Sourcing, book: PriceBook) -> Totals:
    bought = sourcing.purchase
    lumber_spend = sum(boards.amount for boards in bought.boards.bought)
    hardware_spend = sum(item.amount for item in bought.hardware)
    supplies_spend = sum(item.amount for item in bought.supplies)
    taxed: defaultdict[Decimal, int] = defaultdict(int)
    for supplier, amount in bought.lines:
        taxed[book.tax_rate_at(supplier)] += amount
    tax = sum(tax_by_rate(taxed, included=book.prices_include_tax).values())
    trips = sum(visit.amount for visit in sourcing.visits)
    spend = lumber_spend + hardware_spend + supplies_spend + trips
    total = spend if book.prices_include_tax else spend + tax
    return Totals(lumber_spend, hardware_spend, supplies_spend, trips, tax, total, _used(bought))


def _proof(sourcing: Sourcing) -> Proof:
    """What the lumber costs against what it might, another set of suppliers counted in."""
    boards = sourcing.purchase.boards
    if not sourcing.gap:
        return Proof(cutting.Status.PROVEN, boards.cost, boards.cost, boards.stage)
    status = cutting.Status.TIME_LIMIT if sourcing.late else cutting.Status.WITHIN_TOLERANCE
    return Proof(status, boards.cost, max(0, boards.cost - sourcing.gap), boards.stage)


def _used(bought: Purchase) -> int:
    """What the wood cut away from leftovers, the fasteners and the supplies used are worth [minor units]."""
    worth = Fraction(0)
    for each in bought.boards.cut:
        if (offer := each.wood.offer) is not None:
            share = Fraction(each.wood.length - each.board.leftover, each.wood.length)
            worth += offer.each * each.board.count * share
    for hardware in bought.hardware:
        held = hardware.quantity + hardware.left_over
        worth += Fraction(hardware.amount * hardware.quantity, held)
    for supply in bought.supplies:
        worth += supply.amount * Fraction(supply.quantity) / (supply.quantity + supply.left_over)
    return minor_units(worth, 0)


def _summaries(request: Request, off: TakeOff, bought: Purchase) -> Iterator[FrameSummary]:
    """Measure each frame, its parts weighed as the heaviest species that is cut for them."""
    weights: dict[str, Fraction] = {}
    for boards in bought.boards.cut:
        known = lumber.species().get(boards.wood.species or "")
        for cut in boards.board.cuts:
            weight = known.weight_kg_m3 if known else HEAVIEST
            weights[cut.key] = max(weight, weights.get(cut.key, Fraction(0)))
    for number, line in enumerate(request.lines):
        if line.frame is not None:
            by_part = {key: weights[cut.id] for cut in off.cut_list if cut.line == number for key in cut.keys}
            yield _summary(number, line.frame, by_part)


def _summary(number: int, frame: Frame, weights: dict[str, Fraction]) -> FrameSummary:
    def mass(keys: tuple[str, ...]) -> Fraction:
        """Of parts [g]."""
        return sum((_volume(frame, key) * weights[key] * 1000 for key in keys), Fraction(0))

    carried = tuple(
        CarriedSummary(
            piece.name, piece.count, _longest(frame, piece.parts, piece.count), round(mass(piece.parts) / piece.count)
        )
        for piece in frame.carried_pieces
    )  # fmt: skip
    tops = tuple((place.name, place.opening.high[2]) for place in frame.sleeping_places)
    return FrameSummary(number, frame.bounds.size, tops, round(mass(tuple(frame.by_key))), carried)


def _volume(frame: Frame, key: str) -> Fraction:
    x, y, z = frame.boxes[key].size
    return Fraction(x * y * z, METRE**3)


def _longest(frame: Frame, keys: tuple[str, ...], count: int) -> int:
    each = keys[: len(keys) // count]
    return max(bounds(frame.boxes[key] for key in each).size)


def _warnings(quote: Quote) -> Iterator[Notice]:
    book, ids = quote.book, _ids(quote)
    if book.sample:
        yield SAMPLE
    for number, line in enumerate(quote.request.lines):
        for note in line.frame.notes if line.frame else ():
            yield Notice(
                note.code,
                "note",
                f"{line.label}: {note.message}",
                tuple(ids[number, key] for key in note.parts),
            )
    for number, finding in quote.findings:
        if finding.status in (Status.WARN, Status.FAIL):
            parts = tuple(dict.fromkeys(ids[number, key] for key in finding.parts))
            label = quote.request.lines[number].label
            yield Notice(finding.rule, "warn", f"{label}: {finding.message}", parts, _numbers(finding))
    for summary in quote.frames:
        for piece in summary.carried_pieces:
            if piece.mass_g > ONE_PERSON:
                label = quote.request.lines[summary.line].label
                message = f"{label}: the {piece.name} is more than one person should lift."
                yield Notice("two-to-carry", "note", message, mass_g=piece.mass_g)
    if quote.proof.status is not cutting.Status.PROVEN:
        yield NOT_PROVEN
    if ripped := tuple(cut.id for cut in quote.take_off.cut_list if cut.ripped):
        yield replace(RIP_FIRST, parts=ripped)
    if quote.frames:
        yield PLANNING_ONLY


def _numbers(finding: Finding) -> tuple[tuple[str, int], ...]:
    """The lengths behind a finding, by name [nm]."""
    if finding.unit != "length":
        return ()
    named = (("found", finding.found), ("least", finding.least), ("most", finding.most))
    return tuple((name, value) for name, value in named if value is not None)


def _ids(quote: Quote) -> dict[tuple[int, str], str]:
    """The cut-list id of every part of every line."""
    return {(cut.line, key): cut.id for cut in quote.take_off.cut_list for key in cut.keys}
