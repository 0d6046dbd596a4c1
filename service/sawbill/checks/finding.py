"""What a check says: a rule and its source, what it asks, what was measured, and how that came out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final, Literal

PRACTICE: Final = "common practice, no source"

Unit = Literal["length", "mass", "share", "count"]
"""What the numbers of a finding are: lengths [nm], masses [g], shares of a whole [permille], or counts."""
Relation = Literal["<=", ">="]


class Status(StrEnum):
    """How a finding came out, the best first.

    not_checked: a rule that was not held against the frame; unreckoned: something carries, and nobody knows how much
    it bears.
    """

    PASS = "pass"
    NOT_CHECKED = "not_checked"
    WARN = "warn"
    UNRECKONED = "unreckoned"
    FAIL = "fail"


BY_BADNESS: Final = tuple(Status)
"""Best first. What carries and is not known to hold is worse than what is known to be a little off."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule held against one frame.

    rule: a stable code; source: the document and year, or that it is common practice; clause: where in the
    document, empty where it has none; least, most: the bounds the rule asks for, None where it has none; found:
    what was measured, None where nothing was; all three in the unit; message: what it means for the maker, with
    no numbers in it; parts: the keys of the parts it concerns.
    """

    rule: str
    source: str
    status: Status
    message: str
    clause: str = ""
    least: int | None = None
    most: int | None = None
    found: int | None = None
    unit: Unit = "length"
    parts: tuple[str, ...] = ()

    @property
    def utilisation(self) -> Fraction | None:
        """How much of its limit is used: found / most, or least / found, whichever is more; met up to 1.

        None of a count, of what was not measured, and where that or the limit is nothing, or less.
        """
        if self.found is None or self.unit == "count":
            return None
        ways = ((self.found, self.most), (self.least, self.found))
        used = [Fraction(top, bottom) for top, bottom in ways if top is not None and bottom is not None and bottom > 0]
        return max(Fraction(0), *used) if used else None


def compare(
    rule: str,
    source: str,
    found: int,
    relation: Relation,
    required: int,
    messages: tuple[str, str],
    parts: tuple[str, ...] = (),
    otherwise: Status = Status.WARN,
    *,
    clause: str = "",
    unit: Unit = "length",
) -> Finding:
    """Hold what was found against what is required; messages: when it is met, and when it is not."""
    bounds = (None, required) if relation == "<=" else (required, None)
    return within(rule, source, found, bounds, messages, parts, otherwise, clause=clause, unit=unit)


def within(
    rule: str,
    source: str,
    found: int,
    bounds: tuple[int | None, int | None],
    messages: tuple[str, str],
    parts: tuple[str, ...] = (),
    otherwise: Status = Status.WARN,
    *,
    clause: str = "",
    unit: Unit = "length",
) -> Finding:
    """Hold what was found against a least and a most, each met when equal; None is no bound."""
    least, most = bounds
    met = (least is None or found >= least) and (most is None or found <= most)
    status = Status.PASS if met else otherwise
    return Finding(rule, source, status, messages[0 if met else 1], clause, least, most, found, unit, parts)


def furthest(found: Iterable[int], bounds: tuple[int, int]) -> int:
    """Of several measures the one furthest out of bounds, or the greatest where none is; 0 of none."""
    least, most = bounds
    return max(found, key=lambda each: (max(least - each, each - most, 0), each), default=0)


def not_checked(rule: str, source: str, message: str, *, clause: str = "") -> Finding:
    """Say that a rule was not held against the frame, and why."""
    return Finding(rule, source, Status.NOT_CHECKED, message, clause)


def unreckoned(rule: str, source: str, message: str, parts: tuple[str, ...]) -> Finding:
    """Say that something carries of which nothing tells how much it bears."""
    return Finding(rule, source, Status.UNRECKONED, message, parts=parts)
