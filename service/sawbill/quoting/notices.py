"""Notices: what to know about a quote, in words, each with a stable code."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from sawbill.asked.lines import Need
from sawbill.asked.request import Request
from sawbill.buying.boards import Boards
from sawbill.buying.purchase import bought_elsewhere
from sawbill.buying.suppliers import Visit
from sawbill.buying.takeoff import TakeOff
from sawbill.checks import strength
from sawbill.checks.finding import Finding, Status
from sawbill.making import cautions
from sawbill.prices.money import from_minor_units
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import Holding
from sawbill.trade.lengths import System

Severity = Literal["note", "warn"]
Findings = Sequence[tuple[int, Finding]]
"""What the checks found, each with the line of the request it is of."""


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
SPARE_LACKING: Final = "spare-boards-lacking"
"""The code of what is told of spare boards that cannot be had."""
HELD: Final = "boards-that-hold"
"""The code of what is told of boards that were bought because they hold."""
NOT_HELD: Final = "no-boards-hold"
"""The code of what is told where no wood on sale mends something."""
WARNED: Final = frozenset({Status.WARN, Status.UNRECKONED, Status.FAIL})
"""How a finding comes out that is a warning of the quote."""
NOT_RECKONED: Final = Notice("not-reckoned", "note", strength.NOT_RECKONED)
ASK_WAYS_OUT: Final = Notice(
    "ask-for-ways-out", "note", "Ask with ways_out=yes which changes of its options make these checks pass, and "
    "at what cost: each is tried as a whole.",
)  # fmt: skip
PLANNING_ONLY: Final = Notice(
    "planning-only",
    "note",
    "Checked against common practice, for planning only: follow your local codes, and ask a licensed "
    "professional wherever someone could be hurt.",
)


def notices(request: Request, book: PriceBook, holding: Holding, longest: int | None) -> Iterator[Notice]:
    """Everything to know about a quote, in the order it is told; longest: of the boards to fetch [nm], if any."""
    off, sourcing, findings = holding.bought.off, holding.bought.sourcing, holding.bought.findings
    ids = {(cut.line, key): cut.id for cut in off.cut_list for key in cut.keys}
    if request.must_hold:
        yield from _of_holding(request, book, holding, ids)
    if book.sample:
        yield SAMPLE
    yield from _of_frames(request, findings, ids)
    if not request.ways_out and any(
        each.status in WARNED and request.lines[number].design is not None for number, each in findings
    ):
        yield ASK_WAYS_OUT
    room = request.site.vehicle_length
    if room is not None and longest is not None and longest > room:
        yield replace(TOO_LONG, lengths=(("longest", longest), ("vehicle_length", room)))
    if sourcing.gap:
        yield NOT_PROVEN
    yield from _of_spare_boards(request, off, sourcing.purchase.boards)
    yield from (_not_in_total(need, quantity, request.units) for need, quantity in bought_elsewhere(off, request, book))
    yield from (_for_delivery(visit, book) for visit in sourcing.visits if visit.beyond)
    if ripped := tuple(cut.id for cut in off.cut_list if cut.ripped):
        yield Notice("rip-before-cutting", "warn", cautions.told(cautions.RIP_FIRST, request.units), ripped)
    if any(finding.rule in strength.ASKED for _, finding in findings):
        yield NOT_RECKONED
    if any(line.frame for line in request.lines):
        yield PLANNING_ONLY


def _of_spare_boards(request: Request, off: TakeOff, boards: Boards) -> Iterator[Notice]:
    """Spare boards that are asked for and cannot be had."""
    asked = request.shop.spare_boards
    for section in dict.fromkeys(cut.section.name for cut in off.cut_list if cut.ripped is None) if asked else ():
        had = sum(each.asked for each in boards.bought if each.offer.section.name == section)
        if had < asked:
            yield Notice(
                SPARE_LACKING, "warn", f"Spare boards of {section}: {asked} asked for, {had} bought. Too few are in "
                "stock, or none on sale that can be carried is as long as the longest piece.",
            )  # fmt: skip


def _of_holding(
    request: Request, book: PriceBook, holding: Holding, ids: Mapping[tuple[int, str], str]
) -> Iterator[Notice]:
    """What no wood on sale mends; what it costs that the rest holds, and what the cheapest boards would not bear."""

    def parts(findings: Findings) -> tuple[str, ...]:
        return tuple(dict.fromkeys(ids[line, key] for line, each in findings for key in each.parts))

    if holding.unmended:
        rest = " that hold all the rest" if holding.bought is not holding.free else ""
        found = "No boards were found in time that hold" if holding.cut_short else "No boards on sale hold"
        yield Notice(
            NOT_HELD,
            "warn",
            f"{found} all of it: {_in_short(request, holding.unmended)}. The boards below are the cheapest{rest}.",
            parts(holding.unmended),
        )
    mended = tuple(each for each in holding.failed if _cause(each) not in map(_cause, holding.unmended))
    if mended and holding.bought is not holding.free:
        cost, trips = holding.costs(book), holding.costs_trips
        more = f"cost {_money(cost, book)} more than" if cost > 0 else "cost no more than"
        fetched = f" Trips and deliveries cost {_money(trips, book)} more." if trips > 0 else ""
        lead = "With these boards the rest holds. They" if holding.unmended else "These boards hold, and"
        yield Notice(
            HELD, "note", f"{lead} {more} the cheapest, with which: {_in_short(request, mended)}."
            f"{fetched} must_hold=no buys the cheapest, whether they hold or not.", parts(mended),
        )  # fmt: skip


def _cause(found: tuple[int, Finding]) -> tuple[int, str, str]:
    line, finding = found
    return line, finding.rule, finding.source


def _in_short(request: Request, findings: Findings) -> str:
    """What does not hold, in the first words of each check."""
    labels = len(request.lines) > 1
    told = (
        (f"{request.lines[line].label}: " if labels else "") + re.split(r"[:.] |[.]$", each.message)[0]
        for line, each in findings
    )
    return "; ".join(dict.fromkeys(f"{each[0].lower()}{each[1:]}" if not labels else each for each in told))


def _money(units: int, book: PriceBook) -> str:
    return f"{from_minor_units(units, book.decimals):f} {book.currency}"


def _of_frames(request: Request, findings: Findings, ids: Mapping[tuple[int, str], str]) -> Iterator[Notice]:
    """What designs note and what checks found, with the parts by their ids in the cut list."""
    for number, line in enumerate(request.lines):
        for note in line.frame.notes if line.frame else ():
            parts = tuple(ids[number, key] for key in note.parts)
            yield Notice(note.code, "note", f"{line.label}: {note.message}", parts)
    for number, finding in findings:
        if finding.status in WARNED or finding.rule in TOLD_ANYWAY:
            parts = tuple(dict.fromkeys(ids[number, key] for key in finding.parts))
            mass = finding.found if finding.unit == "mass" else None
            message = f"{request.lines[number].label}: {finding.message}"
            yield Notice(finding.rule, "warn", message, parts, _numbers(finding), mass)


def _not_in_total(need: Need, quantity: int, units: System) -> Notice:
    return Notice(
        "bought-elsewhere",
        "warn",
        f"The price book sells no {need.called(units)}, and what is bought elsewhere is in no total. Needed: "
        f"{quantity}. Add it to the book, or buy it elsewhere, but never leave it out.",
    )


def _for_delivery(visit: Visit, book: PriceBook) -> Notice:
    return Notice(
        TO_REACH_MINIMUM,
        "note",
        f"{visit.supplier} delivers from {_money(visit.minimum, book)}. To reach that, {_money(visit.beyond, book)} of "
        "what is bought there is more than is needed: it costs less than to fetch the goods or to buy elsewhere.",
    )


def _numbers(finding: Finding) -> tuple[tuple[str, int], ...]:
    """The lengths behind a finding, by name [nm]."""
    if finding.unit != "length":
        return ()
    named = (("found", finding.found), ("least", finding.least), ("most", finding.most))
    return tuple((name, value) for name, value in named if value is not None)
