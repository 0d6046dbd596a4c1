"""A linear programme in a handful of columns, solved again and again while only their bounds change.

    least  sum c_k y_k   with   sum a_ik y_k >= 1   for each row i,     low_k <= y_k <= high_k,    c >= 0.

The dual simplex method on a small table: since every column has both bounds, the basis of the last solution is one to
go on from, whatever the new bounds are. A general solver takes longer to be called than this takes to be done.
In floats: counts and prices guide, and prove nothing by themselves (see choice.py).
"""

from __future__ import annotations

from collections.abc import Sequence

PIVOTS = 60  # after which counts and prices are taken as they are
AFRESH = 500  # pivots after which the table is made anew, before rounding errors add up
_TINY = 1e-9
_FAR = float("inf")


class Simplex:
    """The table B^-1 (A, I) for columns y and then each row's surplus, and where the columns outside the basis rest."""

    def __init__(self, costs: Sequence[int], dear: float) -> None:
        """dear: how far prices rise when nothing between the bounds satisfies the rows: above any cost of interest."""
        self.costs, self.dear = [float(cost) for cost in costs], dear
        self.rows: list[list[float]] = []
        self._start()

    def add(self, row: Sequence[float]) -> None:
        """One more row."""
        self.rows.append(list(row))
        self._start()

    def _start(self) -> None:
        """The basis of all surpluses, every y at its lower bound."""
        size, count = len(self.costs), len(self.rows)
        self.basic = [size + i for i in range(count)]
        self.table = [[-a for a in row] + [float(i == j) for j in range(count)] for i, row in enumerate(self.rows)]
        self.sides = [-1.0] * count
        self.reduced = [*self.costs, *[0.0] * count]
        self.at_high = [False] * (size + count)
        self.pivots = 0

    def solve(self, lows: Sequence[int], highs: Sequence[int]) -> tuple[tuple[float, ...], list[float]]:
        """The counts, put between their bounds, and the price of each row."""
        if self.pivots > AFRESH:
            self._start()
        low = [*map(float, lows), *[0.0] * len(self.rows)]
        high = [*map(float, highs), *[_FAR] * len(self.rows)]
        reduced: list[float] | None = None
        for _ in range(PIVOTS):
            counts = self._counts(low, high)
            place, out = self._worst(counts, low, high)
            if place < 0:
                break
            entering = self._entering(place, out)
            if entering < 0:
                step = self.dear if out < 0 else -self.dear
                reduced = [d + step * share for d, share in zip(self.reduced, self.table[place], strict=True)]
                break
            self.at_high[self.basic[place]] = out > 0
            self._pivot(place, entering)
        between = zip(counts[: len(lows)], low[: len(lows)], high[: len(lows)], strict=True)
        prices = (self.reduced if reduced is None else reduced)[len(lows) :]
        return tuple(min(max(n, least), most) for n, least, most in between), [max(0.0, price) for price in prices]

    def _counts(self, low: Sequence[float], high: Sequence[float]) -> list[float]:
        """What every column stands at: at a bound outside the basis, what the rows make of it inside."""
        counts = [most if up else least for up, least, most in zip(self.at_high, low, high, strict=True)]
        for column in self.basic:
            counts[column] = 0.0
        resting = [(j, count) for j, count in enumerate(counts) if count]
        for column, row, side in zip(self.basic, self.table, self.sides, strict=True):
            counts[column] = side - sum(row[j] * count for j, count in resting)
        return counts

    def _worst(self, counts: Sequence[float], low: Sequence[float], high: Sequence[float]) -> tuple[int, float]:
        """The place in the basis furthest outside its bounds, -1 for none; by how much, below 0 if it is too small."""
        place, worst = -1, 0.0
        for i, column in enumerate(self.basic):
            count = counts[column]
            out = min(0.0, count - low[column]) or max(0.0, count - high[column])
            if abs(out) > max(abs(worst), _TINY * max(1.0, abs(count))):
                place, worst = i, out
        return place, worst

    def _entering(self, place: int, out: float) -> int:
        """The column whose reduced cost is used up first as the basic one moves to its bound; -1 for none."""
        inside, row, least, chosen = set(self.basic), self.table[place], _FAR, -1
        for j, share in enumerate(row):
            helps = (share > 0) == (self.at_high[j] == (out < 0))
            if helps and abs(share) >= _TINY and j not in inside:
                ratio = abs(self.reduced[j] / share)
                if ratio < least or (ratio == least and abs(share) > abs(row[chosen])):
                    least, chosen = ratio, j
        return chosen

    def _pivot(self, place: int, entering: int) -> None:
        by = 1 / self.table[place][entering]
        own = self.table[place] = [share * by for share in self.table[place]]
        side = self.sides[place] = self.sides[place] * by
        for i, row in enumerate(self.table):
            times = row[entering]
            if i != place and times:
                self.table[i] = [share - times * of_own for share, of_own in zip(row, own, strict=True)]
                self.sides[i] -= times * side
        times = self.reduced[entering]
        self.reduced = [d - times * of_own for d, of_own in zip(self.reduced, own, strict=True)]
        self.reduced[entering] = 0.0
        self.basic[place] = entering
        self.pivots += 1
