"""What a check says: a rule and its source, what it asks, what was measured, and how that came out."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Literal

PRACTICE: Final = "common practice, no source"


class Status(StrEnum):
    """How a finding came out."""

    PASS = "pass"
    WARN = "warn"
    FAIL = "fail"
    NOT_CHECKED = "not_checked"


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule held against one frame.

    rule: a stable code; source: the document, clause and year, or that it is common practice; required and
    found [nm] are compared by the relation; message: what it means for the maker, with no lengths in it.
    """

    rule: str
    source: str
    relation: Literal["<=", ">="]
    required: int
    found: int
    status: Status
    message: str
    parts: tuple[str, ...] = ()


def compare(
    rule: str,
    source: str,
    found: int,
    relation: Literal["<=", ">="],
    required: int,
    messages: tuple[str, str],
    parts: tuple[str, ...] = (),
    otherwise: Status = Status.WARN,
) -> Finding:
    """Hold what was found against what is required [nm]; messages: when it is met, and when it is not."""
    met = found <= required if relation == "<=" else found >= required
    status = Status.PASS if met else otherwise
    return Finding(rule, source, relation, required, found, status, messages[0 if met else 1], parts)
