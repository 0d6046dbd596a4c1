"""Rows of a comparison held against each other: filtered, sorted, the best in each, those another row outdoes.

In everything that rows are compared by, less is better. Rows are judged among their like: those of one quantity and
one currency; money of two currencies is never compared. One outdoes another only where both serve the same, at the
same size: a smaller bed is cheaper, and no better for who needs a larger one. What does not hold is no bargain: a row
with a check that fails or could not be reckoned is the best of nothing, and outdoes none that holds.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import IntEnum
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

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
        "share", "how much is used of the limit that is nearest",
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


@dataclass(frozen=True, slots=True)
class Judged:
    """A row among its like: what it is the best in, and the first row that outdoes it, by its number.

    difference: by criterion, this row less the baseline [as the figures]; the time at work is in it by its most, and
    apart by its least. Empty without a baseline, or figures on both sides; money of another currency is left out, and
    what is not known.
    """

    row: Row
    best_in: tuple[str, ...] = ()
    dominated_by: int | None = None
    difference: Mapping[str, Fraction | int] = field(default_factory=dict)
    least_time_difference: Fraction = Fraction(0)


def judge(rows: Sequence[Row], books: Sequence[PriceBook], wishes: Wishes) -> list[Judged]:
    """Keep the rows that are within the bounds, judge them among each other, and put them in order.

    A row without figures is within no bound, and comes last in any order but that of the grid.
    """
    kept = [row for row in rows if all(_within(row, bound, books) for bound in wishes.bounds)]
    like: defaultdict[tuple[str, int], list[Row]] = defaultdict(list)
    for row in kept:
        if row.figures is not None:
            like[_currency(row, books), row.combination.quantity].append(row)
    best, dominated = _best(like.values()), _dominated(_serving_alike(like.values()), wishes.judged_by)
    baseline = None if wishes.baseline is None else rows[wishes.baseline]
    judged = []
    for row in kept:
        number = row.combination.number
        difference, time = _difference(row, baseline, books)
        judged.append(Judged(row, best.get(number, ()), dominated.get(number), difference, time))
    return _sorted(judged, books, wishes)


def _serving_alike(groups: Iterable[Sequence[Row]]) -> Iterable[Sequence[Row]]:
    """Rows that can stand for each other."""
    for rows in groups:
        alike: defaultdict[str, list[Row]] = defaultdict(list)
        for row in rows:
            assert row.figures is not None, "rows without figures are judged by nothing"
            alike[row.figures.serves].append(row)
        yield from alike.values()


def _currency(row: Row, books: Sequence[PriceBook]) -> str:
    return books[row.combination.book].currency


def _within(row: Row, bound: Bound, books: Sequence[PriceBook]) -> bool:
    if row.figures is None:
        return False
    criterion = CRITERIA[bound.criterion]
    value = Fraction(criterion.of(row.figures))
    if criterion.kind == "money":
        value /= 10 ** books[row.combination.book].decimals
    return (bound.least is None or value >= Fraction(bound.least)) and (
        bound.most is None or value <= Fraction(bound.most)
    )


def _best(groups: Iterable[Sequence[Row]]) -> dict[int, tuple[str, ...]]:
    """By row that holds, what none like it that holds has less of; one with nothing like it is the best of nothing."""
    best: defaultdict[int, list[str]] = defaultdict(list)
    for rows in groups:
        holding = [row for row in rows if _doubt(row) is Doubt.HOLDS]
        for name in CRITERIA if len(rows) > 1 and holding else ():
            if name in ASKED_OF_ALL:
                continue
            least = min(_value(row, name) for row in holding)
            for row in holding:
                if _value(row, name) == least and _known(row, name):
                    best[row.combination.number].append(name)
    return {number: tuple(names) for number, names in best.items()}


def _dominated(groups: Iterable[Sequence[Row]], judged_by: Sequence[str]) -> dict[int, int]:
    """By row, the first of its like that is nowhere worse and somewhere better (Pareto dominance).

    To hold is better than not to be reckoned, and that is better than to fail.
    """
    found: dict[int, int] = {}
    for rows in groups:
        ranks = [_ranks([_value(row, name) for row in rows]) for name in judged_by]
        places = np.array([[_doubt(row) for row in rows], *ranks], dtype=np.int64)
        reckoned = np.array([_reckoned(row) for row in rows])
        for i, row in enumerate(rows):
            mine = places[:, i : i + 1]
            better = (places <= mine).all(axis=0) & (places < mine).any(axis=0) & reckoned
            if better.any():
                found[row.combination.number] = rows[int(better.argmax())].combination.number
    return found


def _ranks(values: Sequence[Fraction | int]) -> list[int]:
    """The place of each value among them, 0 for the least: exact, and quick to compare many times over."""
    place = {value: i for i, value in enumerate(sorted(set(values)))}
    return [place[value] for value in values]


def _difference(
    row: Row, baseline: Row | None, books: Sequence[PriceBook]
) -> tuple[Mapping[str, Fraction | int], Fraction]:
    if row.figures is None or baseline is None or baseline.figures is None:
        return {}, Fraction(0)
    same_money = _currency(row, books) == _currency(baseline, books)
    difference = {
        name: criterion.of(row.figures) - criterion.of(baseline.figures)
        for name, criterion in CRITERIA.items()
        if (same_money or criterion.kind != "money") and _known(row, name) and _known(baseline, name)
    }
    return difference, row.figures.hands_on.least - baseline.figures.hands_on.least


def _sorted(judged: list[Judged], books: Sequence[PriceBook], wishes: Wishes) -> list[Judged]:
    """Rows of equal numbers stay in the order of the grid; those of one currency stay together."""
    if wishes.sort == BY_NUMBER:
        return judged[::-1] if wishes.descending else judged
    money = CRITERIA[wishes.sort].kind == "money"
    currencies = list(dict.fromkeys(book.currency for book in books))

    def key(each: Judged) -> tuple[bool, int, Fraction | int, int]:
        number = each.row.combination.number
        if each.row.figures is None:
            return True, 0, 0, number
        value = _value(each.row, wishes.sort)
        place = currencies.index(_currency(each.row, books)) if money else 0
        return False, place, -value if wishes.descending else value, number

    return sorted(judged, key=key)


def _reckoned(row: Row) -> bool:
    """Whether of all that carries it is known how much it bears."""
    return row.figures is not None and not row.figures.unreckoned


def _doubt(row: Row) -> Doubt:
    """Whether a row with figures holds, as far as its checks tell."""
    assert row.figures is not None
    if row.figures.failed_checks:
        return Doubt.FAILS
    return Doubt.HOLDS if _reckoned(row) else Doubt.UNRECKONED


def _known(row: Row, name: str) -> bool:
    """Whether a row with figures has one of this name."""
    return name != "worst_utilisation" or (row.figures is not None and row.figures.worst_utilisation is not None)


def _value(row: Row, name: str) -> Fraction | int:
    assert row.figures is not None
    return CRITERIA[name].of(row.figures)
