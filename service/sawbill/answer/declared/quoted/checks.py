"""What the checks found: of the frames, of the boards bought for them, and what is to be known beside."""

from __future__ import annotations

from typing import NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.answer.declared.rounded import kilograms, share_used
from sawbill.answer.declared.writing import QuoteWriting
from sawbill.buying.suppliers import total_of
from sawbill.checks import finding as checks
from sawbill.checks.finding import Finding, Status
from sawbill.checks.strength import TRACED
from sawbill.quoting import holding
from sawbill.trade.lengths import STEP, System, fine_text, format_length
from sawbill.trade.lumber import Material
from sawbill.trade.measures import mass_text

PARTS = "The parts it is about, as the cut list names them."
_PART = f.text("A part, as the cut list names it.", "D")


def status_of(example: str) -> f.Field:
    """How a check came out."""
    meaning = (
        "How it came out: pass, fail, warn; not_checked, where it was not told what that takes; unreckoned, where "
        "something carries and nobody knows how much it bears."
    )
    return f.text(meaning, example, "finding.status.value", choices=[status.value for status in Status])


class LineFinding(NamedTuple):
    """A finding, and the line of the request that it is of."""

    line: int
    finding: Finding


def measure_text(value: int, unit: checks.Unit, units: System) -> str:
    """A measured number with its unit: lengths and masses in the system asked for, shares in percent.

    A length between two steps of the tape is told finer: 0.22 in is not 1/4 in.
    """
    match unit:
        case "length":
            return fine_text(value, units)
        case "mass":
            return mass_text(value, units)
        case "share":
            return f"{value / 10:g} %"
        case "count":
            return str(value)


def _required(found: LineFinding, out: QuoteWriting) -> str | None:
    """What a finding asks, in words."""
    finding, units = found.finding, out.units
    least, most = (
        None if bound is None else measure_text(bound, finding.unit, units) for bound in (finding.least, finding.most)
    )
    if least is not None and most is not None:
        return f"{least} to {most}"
    if least is not None:
        return f">= {least}"
    if finding.most is not None and finding.unit == "length" and (finding.most + 1) % STEP[units] == 0:
        return f"< {format_length(finding.most + 1, units)}"  # a bound that may not itself be reached
    return None if most is None else f"<= {most}"


def _measured(found: LineFinding, out: QuoteWriting) -> str | None:
    finding = found.finding
    return None if finding.found is None else measure_text(finding.found, finding.unit, out.units)


def _trace(found: LineFinding, _: QuoteWriting) -> str | None:
    finding = found.finding
    return finding.rule if finding.rule in TRACED and finding.found is not None else None


class Check(Answered):
    """A rule held against a frame."""

    line = f.whole("The line of the request, from 0.", 0)
    rule = f.text("The rule, by the name that every answer has for it.", "slat-gap", "finding.rule")
    source = f.text(
        "The document and year it is from, or that it is common practice.", "common practice, no source",
        "finding.source",
    )  # fmt: skip
    clause = f.text(
        "Where it stands in the document; null where it has no clause.", "1213.3(a)(1)", "finding.clause", none=True
    )
    required = f.text("What it asks, with its unit; null where it was not checked.", "<= 3 in", _required, none=True)
    found = f.text("What was measured, with its unit; null where nothing was.", "2 1/16 in", _measured, none=True)
    utilisation = f.number(
        "How much of the limit is used, rounded up [share of 1]: above 1 it is not met; null of counts, and where "
        "nothing was measured.", 0.723, lambda found, _: share_used(found.finding.utilisation), none=True,
    )  # fmt: skip
    status = status_of("pass")
    message = f.text(
        "What it means for the maker, in a sentence.",
        "The slats are close enough for a foam mattress.",
        "finding.message",
    )
    parts = f.rows(_PART, PARTS, lambda found, out: out.ids(found.line, found.finding.parts))
    trace = f.text(
        "The word of `trace` that asks for its calculation; null where it has none.", "bolts", _trace, none=True
    )
    calculation = f.text(
        "Where its calculation is in this JSON, as a JSON Pointer (RFC 6901); null where it was not asked for.",
        "/calculations/4", lambda found, out: out.calculation_of(found.line, found.finding), none=True,
    )  # fmt: skip


class BoardsThatFail(Answered):
    """Wood of the cheapest boards, as far as it is known."""

    section = f.text("Its section.", "2x4", "section.name")
    species = f.text(
        "Its species; null where it is not known.", "SPF", lambda wood, _: wood.species and wood.species.name, none=True
    )
    grade = f.text(
        "Its grade; null where it is not known.", "Stud", lambda wood, _: wood.grade and wood.grade.name, none=True
    )


class Failing(NamedTuple):
    """A finding of the boards of a purchase."""

    bought: holding.Bought
    line: int
    finding: Finding

    @property
    def woods(self) -> tuple[Material, ...]:
        """The wood of the boards."""
        return holding.Holding.woods_of(self.bought, self.line, self.finding)


class Failed(Answered):
    """A check that does not hold, and the boards that its parts are cut from."""

    line = f.whole("The line of the request, from 0.", 0)
    rule = f.text("The rule, by the name that `checks` has for it.", "bending", "finding.rule")
    parts = f.rows(
        f.text("A part, as the cut list names it.", "F"), PARTS,
        lambda failing, out: out.ids(failing.line, failing.finding.parts),
    )  # fmt: skip
    boards = f.rows(
        BoardsThatFail, "What its parts are cut from: in failed, of the cheapest boards; in unmended, of those bought.",
        "woods",
    )  # fmt: skip


class Holding(Answered):
    """Whether it holds, and what that costs: the cheapest boards are bought that hold, as far as wood on sale does."""

    must_hold = f.flag(
        "Whether that was asked for.", lambda _, out: out.quote.request.must_hold, example=True
    )  # fmt: skip
    holds = f.flag("Whether no check of strength or of standing fails, and none finds what nobody knows.", example=True)
    costs = f.money(
        "What more the total is than with the cheapest boards.", "0.40", lambda held, out: held.costs(out.quote.book)
    )
    costs_trips = f.money("What more the trips and deliveries cost; the goods may cost less for that.", "0.00")
    cheapest_total = f.money(
        "What the total would be with the cheapest boards.", "193.90",
        lambda held, out: total_of(held.free.sourcing, out.quote.book),
    )  # fmt: skip
    failed = f.rows(
        Failed, "What of the frames does not hold in the cheapest boards.",
        lambda held, _: [Failing(held.free, *each) for each in held.failed],
    )  # fmt: skip
    unmended = f.rows(
        Failed, "What of that is left: no wood on sale mends it, none was found in time, or must_hold is no.",
        lambda held, _: [Failing(held.bought, *each) for each in held.unmended],
    )  # fmt: skip
    cut_short = f.flag("Whether the search for boards that hold ended before all were looked at.", example=False)


class NamedLength(Answered):
    """A length, and what it is of."""

    name = f.text("What it is of.", "found", lambda named, _: named[0])
    length = f.length("The length.", 82.55, "3 1/4 in", lambda named, _: named[1])


class Warning(Answered):
    """Something to know about the quote."""

    code = f.text("A word for it that programs may go by; it stays the same in later versions.", "price-sample")
    severity = f.text(
        "warn: look at it before you buy or build; note: it is good to know.", "note", choices=["note", "warn"]
    )
    message = f.text(
        "What there is to know, in a sentence.", "The prices are a sample, invented to be replaced by your own."
    )
    parts = f.rows(_PART, PARTS)
    lengths = f.rows(NamedLength, "The lengths behind it.")
    mass_kg = f.number(
        "The mass behind it [kg]; null where there is none.", 24.1,
        lambda notice, _: None if notice.mass_g is None else kilograms(notice.mass_g), none=True,
    )  # fmt: skip
