"""How many rows stand among each other, from their numbers alone: a row is let go of once its numbers are noted.

Each number is noted as the place of its value among the values met so far, so that what is exact stays exact. A place
takes four bytes a row; a value is kept once, however many rows have it, and takes some two hundred.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np
import numpy.typing as npt

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Row
from sawbill.quoting.comparing.criteria import ASKED_OF_ALL, BY_NUMBER, CRITERIA, Doubt, Wishes, doubt_of, known, within
from sawbill.quoting.comparing.outdone import first_better

NONE: Final = -1
"""In place of a number or a place that there is not."""
Ints = npt.NDArray[np.int64]
_BEST: Final = tuple(name for name in CRITERIA if name not in ASKED_OF_ALL)
"""What a row may be the best in."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The rows that are told, in their order, by their numbers.

    best: which of the criteria each is the best in, a bit each; outdone: the number of the first row that outdoes it.
    """

    numbers: Ints
    best: Ints
    outdone: Ints

    def __iter__(self) -> Iterator[tuple[int, tuple[str, ...], int | None]]:
        """Give each with what it is best in, and what outdoes it."""
        for number, best, outdone in zip(*(each.tolist() for each in self._columns), strict=True):
            yield number, best_names(best), None if outdone == NONE else outdone

    def __len__(self) -> int:
        """How many are told."""
        return len(self.numbers)

    def __getitem__(self, some: slice) -> Standing:
        """Give some of them."""
        return Standing(*(each[some] for each in self._columns))

    @property
    def _columns(self) -> tuple[Ints, Ints, Ints]:
        return self.numbers, self.best, self.outdone


def best_names(bits: int) -> tuple[str, ...]:
    """Name the criteria that bits stand for."""
    return tuple(name for i, name in enumerate(_BEST) if bits >> i & 1) if bits else ()


class _Values:
    """One number of each row: the values there are, and which of them each row has."""

    def __init__(self) -> None:
        self._places: dict[Fraction | int, int] = {}
        self._rows = array("i")

    def add(self, value: Fraction | int) -> None:
        self._rows.append(self._places.setdefault(value, len(self._places)))

    def ranks(self) -> Ints:
        """By row, the place of its value among all, 0 for the least."""
        values = list(self._places)
        ranks = np.empty(len(values), np.int64)
        ranks[sorted(range(len(values)), key=values.__getitem__)] = np.arange(len(values))
        return ranks[np.array(self._rows, np.int64)]


class Numbers:
    """What rows are judged by, noted row after row."""

    def __init__(self, books: Sequence[PriceBook], wishes: Wishes) -> None:
        self._books, self._wishes = books, wishes
        self._currencies = list(dict.fromkeys(book.currency for book in books))
        self._values = {name: _Values() for name in CRITERIA}
        self._like: dict[tuple[str, int], int] = {}
        self._serving: dict[str, int] = {}
        # Of every row that is told: its number, apart where it has no figures; and of those with figures the rest.
        self._told, self._bare = array("q"), array("q")
        self._doubts, self._groups, self._uses, self._money = (array("i") for _ in range(4))
        self._unknown, self._reckoned = array("b"), array("b")

    def add(self, row: Row) -> None:
        """Note a row, if it is within the bounds."""
        book = self._books[row.combination.book]
        if not all(within(row, bound, book) for bound in self._wishes.bounds):
            return
        figures, number = row.figures, row.combination.number
        if figures is None:
            self._bare.append(number)
            return
        self._told.append(number)
        self._doubts.append(doubt_of(figures))
        like = book.currency, row.combination.quantity
        self._groups.append(self._like.setdefault(like, len(self._like)))
        self._uses.append(self._serving.setdefault(figures.serves, len(self._serving)))
        self._money.append(self._currencies.index(book.currency))
        self._unknown.append(not known(figures, "worst_utilisation"))
        self._reckoned.append(not figures.unreckoned)
        for name, criterion in CRITERIA.items():
            self._values[name].add(criterion.of(figures))

    def standing(self) -> Standing:
        """Judge what was noted, and put it in order."""
        ranks = {name: values.ranks() for name, values in self._values.items()}
        numbers, bare = np.array(self._told, np.int64), np.array(self._bare, np.int64)
        best, outdone = self._best(ranks), self._outdone(numbers, ranks)
        nothing = np.zeros(len(bare), np.int64)
        order = self._order(numbers, bare, ranks)
        return Standing(
            np.concatenate([numbers, bare])[order],
            np.concatenate([best, nothing])[order],
            np.concatenate([outdone, nothing + NONE])[order],
        )

    def _best(self, ranks: dict[str, Ints]) -> Ints:
        """By row that holds, what none like it that holds has less of; one with nothing like it is best of nothing."""
        best, holds = np.zeros(len(self._told), np.int64), np.array(self._doubts, np.int64) == Doubt.HOLDS
        unknown = np.array(self._unknown, bool)
        for rows in _apart(np.array(self._groups, np.int64)):
            holding = rows[holds[rows]]
            for bit, name in enumerate(_BEST if len(rows) > 1 and len(holding) else ()):
                found = holding[ranks[name][holding] == ranks[name][holding].min()]
                best[found[~unknown[found]] if name == "worst_utilisation" else found] |= 1 << bit
        return best

    def _outdone(self, numbers: Ints, ranks: dict[str, Ints]) -> Ints:
        """By row, the number of the first that serves the same, and is nowhere worse and somewhere better.

        To hold is better than not to be reckoned, and that is better than to fail; what is not reckoned outdoes none.
        """
        outdone = np.full(len(numbers), NONE, np.int64)
        judged = np.array([self._doubts, *(ranks[name] for name in self._wishes.judged_by)], np.int64)
        reckoned = np.array(self._reckoned, bool)
        uses = np.array(self._groups, np.int64) * max(1, len(self._serving)) + np.array(self._uses, np.int64)
        for rows in _apart(uses):
            first = first_better(judged[:, rows], reckoned[rows])
            outdone[rows] = np.where(first == NONE, NONE, numbers[rows[first]])
        return outdone

    def _order(self, numbers: Ints, bare: Ints, ranks: dict[str, Ints]) -> Ints:
        """Put rows in order; those of equal numbers stay as in the grid, those of one currency together."""
        sort, sign, together = self._wishes.sort, -1 if self._wishes.descending else 1, np.concatenate([numbers, bare])
        if sort == BY_NUMBER:
            return np.argsort(sign * together, kind="stable")
        nothing, money = np.zeros(len(bare), np.int64), np.array(self._money, np.int64)
        places = money if CRITERIA[sort].kind == "money" else np.zeros(len(numbers), np.int64)
        keys = (
            together,
            np.concatenate([sign * ranks[sort], nothing]),
            np.concatenate([places, nothing]),
            np.repeat([0, 1], [len(numbers), len(bare)]),
        )
        return np.lexsort(keys)


def _apart(groups: Ints) -> Iterator[Ints]:
    """The places of each group, in their order."""
    order = np.argsort(groups, kind="stable")
    yield from np.split(order, np.flatnonzero(np.diff(groups[order])) + 1) if len(order) else ()
