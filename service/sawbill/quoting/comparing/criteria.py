"""What rows of a comparison are compared by, and how a caller wants them told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import IntEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Figures, Row

Kind = Literal["money", "count", "share", "mass", "length", "time"]


@dataclass(frozen=True, slots=True)
class Criterion:
    """Something rows are compared by: what kind of number it is, in words what, and how a row's figures have it."""

    kind: Kind
    words: str
    of: Callable[[Figures], Fraction | int]


UNKNOWN: Final = Fraction(1000)
"""As how much counts what is not known to be used of a limit: as more than of any that is."""
CRITERIA: Final[Mapping[str, Criterion]] = MappingProxyType({
    "total": Criterion("money", "all that is spent", lambda row: row.total),
    "each": Criterion("money", "what one of them costs", lambda row: row.each),
    "lumber": Criterion("money", "what the boards cost", lambda row: row.lumber),
    "hardware": Criterion("money", "what the hardware costs", lambda row: row.hardware),
    "supplies": Criterion("money", "what glue, finish and the like cost", lambda row: row.supplies),
    "boards": Criterion("count", "the number of boards bought", lambda row: row.boards),
    "waste": Criterion("share", "the share of the wood that is waste", lambda row: row.waste),
    "mass": Criterion("mass", "the mass of one", lambda row: row.mass_g),
    "longest_piece": Criterion("length", "the longest side of a carried piece", lambda row: row.longest_piece),
    "failed_checks": Criterion("count", "the number of checks that fail", lambda row: row.failed_checks),
    "worst_utilisation": Criterion(
        "share", "the share that is used of the nearest limit",
        lambda row: UNKNOWN if row.worst_utilisation is None else row.worst_utilisation
    ),
    "hands_on": Criterion("time", "all people's time at work", lambda row: row.hands_on.most),
    "unreckoned": Criterion("count", "the number of checks that could not be reckoned", lambda row: row.unreckoned),
})  # fmt: skip
"""What rows may be compared by; the time at work by the most it may take."""
USUAL: Final = ("total", "waste", "mass", "failed_checks", "hands_on")
"""What rows are judged by unless it is said."""
ASKED_OF_ALL: Final = frozenset({"failed_checks", "unreckoned"})
"""What is none in any row that holds, and so no merit of one."""
BY_NUMBER: Final = "row"
"""The order of the grid."""


class Doubt(IntEnum):
    """Whether a row holds, the best first: no check fails, and all is reckoned; nobody knows; a check fails."""

    HOLDS = 0
    UNRECKONED = 1
    FAILS = 2


@dataclass(frozen=True, slots=True)
class Bound:
    """What a row must keep to: money in the currency, other numbers in the unit of the figures."""

    criterion: str
    least: Decimal | Fraction | int | None = None
    most: Decimal | Fraction | int | None = None


@dataclass(frozen=True, slots=True)
class Wishes:
    """How rows are told: order (a criterion, or BY_NUMBER), which of them, judged by what, against which."""

    sort: str = BY_NUMBER
    descending: bool = False
    bounds: tuple[Bound, ...] = ()
    judged_by: tuple[str, ...] = USUAL
    baseline: int | None = None


def within(row: Row, bound: Bound, book: PriceBook) -> bool:
    """Whether a row of a price book keeps to a bound; one without figures keeps to none."""
    if row.figures is None:
        return False
    criterion = CRITERIA[bound.criterion]
    value = Fraction(criterion.of(row.figures))
    if criterion.kind == "money":
        value /= 10**book.decimals
    return (bound.least is None or value >= Fraction(bound.least)) and (
        bound.most is None or value <= Fraction(bound.most)
    )


def known(figures: Figures, name: str) -> bool:
    """Whether figures have one of this name."""
    return name != "worst_utilisation" or figures.worst_utilisation is not None


def doubt_of(figures: Figures) -> Doubt:
    """Whether what has these figures holds, as far as its checks tell."""
    if figures.failed_checks:
        return Doubt.FAILS
    return Doubt.UNRECKONED if figures.unreckoned else Doubt.HOLDS
