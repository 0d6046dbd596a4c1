"""Rows of a comparison held against each other: filtered, sorted, the best in each, those another row outdoes.

In everything that rows are compared by, less is better. Rows are judged among their like: those of one quantity and
one currency; money of two currencies is never compared. One outdoes another only where both serve the same, at the
same size: a smaller bed is cheaper, and no better for who needs a larger one. What does not hold is no bargain: a row
with a check that fails or could not be reckoned is the best of nothing, and outdoes none that holds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Row
from sawbill.quoting.comparing.criteria import CRITERIA, Wishes, known
from sawbill.quoting.comparing.standing import Numbers


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
    numbers, by_number = Numbers(books, wishes), {row.combination.number: row for row in rows}
    for row in rows:
        numbers.add(row)
    baseline = None if wishes.baseline is None else rows[wishes.baseline]
    return [
        judged(by_number[number], best, outdone_by, baseline, books)
        for number, best, outdone_by in numbers.standing()
    ]  # fmt: skip


def judged(
    row: Row, best_in: tuple[str, ...], dominated_by: int | None, baseline: Row | None, books: Sequence[PriceBook]
) -> Judged:
    """Put together how a row stands, and what it differs in from the baseline."""
    return Judged(row, best_in, dominated_by, *_difference(row, baseline, books))


def _difference(
    row: Row, baseline: Row | None, books: Sequence[PriceBook]
) -> tuple[Mapping[str, Fraction | int], Fraction]:
    if row.figures is None or baseline is None or baseline.figures is None:
        return {}, Fraction(0)
    mine, other = row.figures, baseline.figures
    same_money = books[row.combination.book].currency == books[baseline.combination.book].currency
    difference = {
        name: criterion.of(mine) - criterion.of(other)
        for name, criterion in CRITERIA.items()
        if (same_money or criterion.kind != "money") and known(mine, name) and known(other, name)
    }
    return difference, mine.hands_on.least - other.hands_on.least
