"""The quote: take-off, purchase and checks of a request joined, and totalled to the last minor unit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from sawbill.checks.carrying import carried_box, carried_mass, mass_of
from sawbill.checks.finding import Finding, Status
from sawbill.checks.strength.calculation import Calculation
from sawbill.checks.strength.traces import calculations
from sawbill.checks.together import check_frame
from sawbill.estimating import cutting
from sawbill.estimating.money import from_minor_units, minor_units
from sawbill.estimating.pricebook import LumberOffer, PriceBook
from sawbill.estimating.purchase import BoughtHardware, BoughtSupply, Purchase
from sawbill.estimating.request import Request
from sawbill.estimating.selling import Pricing, contingency_of
from sawbill.estimating.suggestions import NearMiss, near_misses
from sawbill.estimating.suppliers import Sourcing, Visit, cheapest_sourcing, tax_of, total_of
from sawbill.estimating.takeoff import TakeOff, take_off
from sawbill.trade import lumber
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import METRE

Severity = Literal["note", "warn"]


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
TOO_LONG: Final = Notice(
    "board-longer-than-vehicle",
    "warn",
    "A board to fetch is longer than the load space: give shop a longest_board, have boards cut or delivered, or "
    "secure and mark what stands out as the rules of the road ask.",
)
TOLD_ANYWAY: Final = frozenset({"ages", "not-a-certificate"})
"""The rules of a bed above the floor that nobody may miss, though no frame can be held against them."""
TO_REACH_MINIMUM: Final = "bought-for-delivery"
"""The code of what is told of goods beyond the need that a delivery takes."""
WARNED: Final = frozenset({Status.WARN, Status.UNRECKONED, Status.FAIL})
"""How a finding comes out that is a warning of the quote."""
PLANNING_ONLY: Final = Notice(
    "planning-only",
    "note",
    "Checked against common practice, for planning only: follow your local codes, and ask a licensed "
    "professional wherever someone could be hurt.",
)


@dataclass(frozen=True, slots=True)
class Totals:
    """What is spent [minor units]; used: the part of it that goes into the furniture, leftovers taken off.

    contingency: what is set aside beside the total, a share of the total less its trips; budget: both together.

    The lumber, hardware and supplies hold the tax already where the book's prices do; then tax says how much.
    """

    lumber: int
    hardware: int
    supplies: int
    trips: int
    tax: int
    total: int
    used: int
    contingency: int
    budget: int


@dataclass(frozen=True, slots=True)
class Proof:
    """How far it is proven that the lumber cannot cost less, what it leaves over counted; stage: what settled it.

    cost: of the lumber, credited: what its leftovers are worth, bound: no purchase has a lower cost - credited
    [minor units]; lasting: whether the same request is answered alike whenever it is asked: no clock cut it short.
    """

    status: cutting.Status
    cost: int
    credited: int
    bound: int
    stage: str
    lasting: bool = True

    @property
    def gap(self) -> int:
        """What another purchase might save [minor units]."""
        return self.cost - self.credited - self.bound


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
class LoadHome:
    """The boards that are fetched, those delivered left out: their mass [g], the longest of them [nm], if any."""

    mass_g: int
    longest: int | None


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
    findings: tuple[tuple[int, Finding], ...]
    frames: tuple[FrameSummary, ...]
    near_misses: tuple[NearMiss, ...]
    woods: Mapping[str, tuple[lumber.Material, ...]]
    load_home: LoadHome
    calculations: tuple[tuple[int, Calculation], ...] = ()
    warnings: tuple[Notice, ...] = ()


def make_quote(request: Request, book: PriceBook, *, suggest: bool = True) -> Quote:
    """Quote a request from a price book: the same request and revision give the same quote.

    suggest: whether to look for near misses, which takes purchases in trial.
    Raises NothingFitsError: the book lacks something; the error says what, and what would do.
    """
    off = take_off(request.lines, request.shop.step)
    end = cutting.until(cutting.EMERGENCY)
    sourcing = cheapest_sourcing(off, request, book, end)
    bought = sourcing.purchase
    woods = _woods(bought)
    materials = _materials(off, woods)
    frames = tuple(
        _summary(number, line.frame, materials[number]) for number, line in enumerate(request.lines) if line.frame
    )
    findings = _findings(request, materials)

    def as_good(other: Sourcing) -> bool:
        """Whether what is bought otherwise holds no worse."""
        then = _findings(request, _materials(off, _woods(other.purchase)))
        return all(_count(then, status) <= _count(findings, status) for status in (Status.FAIL, Status.UNRECKONED))

    misses, cut_short = near_misses(off, request, book, sourcing, as_good, end) if suggest else ((), False)
    quote = Quote(
        request,
        book,
        off,
        bought,
        sourcing.visits,
        _totals(sourcing, book, request.pricing),
        _proof(sourcing, lasting=not (sourcing.late or cut_short)),
        findings,
        frames,
        misses,
        woods,
        _load_home(sourcing, request.shop.longest_board),
        tuple(_calculations(request, materials)),
    )
    return replace(quote, warnings=tuple(_warnings(quote)))


def _calculations(request: Request, materials: Mapping[int, lumber.Materials]) -> Iterator[tuple[int, Calculation]]:
    """Those that are asked for, by line."""
    for number, line in enumerate(request.lines if request.trace else ()):
        if line.frame:
            for each in calculations(line.frame, request.site, materials[number], request.trace):
                yield number, each


def _totals(sourcing: Sourcing, book: PriceBook, pricing: Pricing) -> Totals:
    bought = sourcing.purchase
    lumber_spend = sum(boards.amount for boards in bought.boards.bought)
    hardware_spend = sum(item.amount for item in bought.hardware)
    supplies_spend = sum(item.amount for item in bought.supplies)
    tax = tax_of(bought, book)
    trips = sum(visit.amount for visit in sourcing.visits)
    total = total_of(sourcing, book)
    aside = contingency_of(pricing, total - trips)
    return Totals(lumber_spend, hardware_spend, supplies_spend, trips, tax, total, _used(bought), aside, total + aside)


def _proof(sourcing: Sourcing, *, lasting: bool) -> Proof:
    """What the lumber costs against what it might, another set of suppliers counted in."""
    boards = sourcing.purchase.boards
    status = cutting.Status.TIME_LIMIT if sourcing.late else cutting.Status.WITHIN_TOLERANCE
    if not sourcing.gap:
        status = cutting.Status.PROVEN
    bound = max(0, boards.cost - boards.credited - sourcing.gap)
    return Proof(status, boards.cost, boards.credited, bound, boards.stage, lasting)


def _used(bought: Purchase) -> int:
    """What the wood cut away from leftovers, the fasteners and the supplies used are worth [minor units]."""
    worth = Fraction(0)
    for each in bought.boards.cut:
        if (offer := each.wood.offer) is not None:
            share = Fraction(each.wood.length - each.board.leftover, each.wood.length)
            worth += offer.each * each.board.count * share
    packed: tuple[BoughtHardware | BoughtSupply, ...] = (*bought.hardware, *bought.supplies)
    for goods in packed:
        new = goods.quantity - goods.owned
        worth += goods.amount * Fraction(new) / (new + goods.left_over) if new else 0
    return minor_units(worth, 0)


def _findings(request: Request, materials: Mapping[int, lumber.Materials]) -> tuple[tuple[int, Finding], ...]:
    return tuple(
        (number, finding)
        for number, line in enumerate(request.lines)
        if line.frame
        for finding in check_frame(line.frame, request.site, materials[number])
    )


def _count(findings: Iterable[tuple[int, Finding]], status: Status) -> int:
    return sum(finding.status is status for _, finding in findings)


def _woods(bought: Purchase) -> Mapping[str, tuple[lumber.Material, ...]]:
    """By cut line, every kind of wood that is cut for its parts."""
    woods: defaultdict[str, dict[lumber.Material, None]] = defaultdict(dict)
    for boards in bought.boards.cut:
        wood = boards.wood
        species, grade = lumber.species().get(wood.species or ""), lumber.grades().get(wood.grade or "")
        treated = None if wood.offer is None else wood.offer.treated
        for cut in boards.board.cuts:
            woods[cut.key][lumber.Material(wood.section, species, grade, treated, wood.design_values)] = None
    return {key: tuple(kinds) for key, kinds in woods.items()}


def _materials(off: TakeOff, woods: Mapping[str, tuple[lumber.Material, ...]]) -> Mapping[int, lumber.Materials]:
    """By line and part, every kind of wood that is cut for the part and its like."""
    found: defaultdict[int, dict[str, tuple[lumber.Material, ...]]] = defaultdict(dict)
    for line in off.cut_list:
        found[line.line] |= dict.fromkeys(line.keys, woods[line.id])
    return found


def _summary(number: int, frame: Frame, materials: lumber.Materials) -> FrameSummary:
    """Measure a frame, each part weighed as the heaviest wood that is cut for it."""
    carried = tuple(
        CarriedSummary(
            piece.name, piece.count, max(carried_box(frame, piece).size), carried_mass(frame, piece, materials)
        )
        for piece in frame.carried_pieces
    )  # fmt: skip
    tops = tuple((place.name, place.opening.high[2]) for place in frame.sleeping_places)
    return FrameSummary(
        number, frame.bounds.size, tops, round(mass_of(frame, tuple(frame.by_key), materials)), carried
    )  # fmt: skip


def _load_home(sourcing: Sourcing, most: int | None) -> LoadHome:
    """most: what the yard cuts longer boards to [nm], if anything."""
    delivered = {visit.supplier for visit in sourcing.visits if visit.delivered}
    fetched = [each for each in sourcing.purchase.boards.bought if each.offer.supplier not in delivered]
    mass = sum((_board_mass(each.offer) * each.quantity for each in fetched), Fraction(0))
    lengths = (each.offer.usable_length for each in fetched)
    return LoadHome(round(mass), max((min(length, most or length) for length in lengths), default=None))


def _board_mass(offer: LumberOffer) -> Fraction:
    """What one board weighs [g]."""
    volume = Fraction(offer.section.thickness * offer.section.width * offer.usable_length, METRE**3)
    return volume * lumber.species()[offer.species].weight_kg_m3 * 1000


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
        if finding.status in WARNED or finding.rule in TOLD_ANYWAY:
            parts = tuple(dict.fromkeys(ids[number, key] for key in finding.parts))
            label = quote.request.lines[number].label
            mass = finding.found if finding.unit == "mass" else None
            yield Notice(finding.rule, "warn", f"{label}: {finding.message}", parts, _numbers(finding), mass)
    room, longest = quote.request.site.vehicle_length, quote.load_home.longest
    if room is not None and longest is not None and longest > room:
        yield replace(TOO_LONG, lengths=(("longest", longest), ("vehicle_length", room)))
    if quote.proof.status is not cutting.Status.PROVEN:
        yield NOT_PROVEN
    yield from (_for_delivery(visit, book) for visit in quote.visits if visit.beyond)
    if ripped := tuple(cut.id for cut in quote.take_off.cut_list if cut.ripped):
        yield replace(RIP_FIRST, parts=ripped)
    if quote.frames:
        yield PLANNING_ONLY


def _for_delivery(visit: Visit, book: PriceBook) -> Notice:
    def money(units: int) -> str:
        return f"{from_minor_units(units, book.decimals):f} {book.currency}"

    return Notice(
        TO_REACH_MINIMUM,
        "note",
        f"{visit.supplier} delivers from {money(visit.minimum)}. To reach that, {money(visit.beyond)} of what is "
        "bought there is more than is needed: it costs less than to fetch the goods or to buy elsewhere.",
    )


def _numbers(finding: Finding) -> tuple[tuple[str, int], ...]:
    """The lengths behind a finding, by name [nm]."""
    if finding.unit != "length":
        return ()
    named = (("found", finding.found), ("least", finding.least), ("most", finding.most))
    return tuple((name, value) for name, value in named if value is not None)


def _ids(quote: Quote) -> dict[tuple[int, str], str]:
    """The cut-list id of every part of every line."""
    return {(cut.line, key): cut.id for cut in quote.take_off.cut_list for key in cut.keys}
