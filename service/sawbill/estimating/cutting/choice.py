"""Which boards to buy, before how to cut them: the cost depends on that alone where leftovers are worth nothing.

Whatever the pieces are taken to be worth, u_i >= 0, let v_k be the most that one board of bin k can hold, from the
exact knapsack. Boards y_k that hold the order then meet the need

    sum v_k y_k >= sum u_i d_i.

The cheapest whole y that meets a few such needs is often far above the linear programme's optimum, which buys
parts of boards, and there are few counts to search over. The search is best first over boxes of purchases; each
box's bound comes from the prices of a small linear programme, and is exact in whole numbers whatever they are.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.problem import Problem
from sawbill.estimating.cutting.simplex import Simplex

Counts = tuple[int, ...]

_FINE = 100  # bits to which what a need's price makes of a board's cost is kept
_PRICE = 40  # bits of them that a price itself is rounded to
_UNHEARD = 2**62  # a value no filling has, so that no items are listed
_MANY = 2**40  # more boards than any order needs
_NEARLY = 1e-6  # a count so close to a whole number is one
_DEAR = 1_000  # times the dearest purchase wanted: how far prices rise where no purchase will do


@dataclass(frozen=True, slots=True)
class Need:
    """What every purchase that holds the order meets: sum rooms_k y_k >= amount."""

    rooms: Counts
    amount: int

    def met(self, counts: Sequence[float]) -> bool:
        """Whether a purchase meets it, parts of boards counted as parts."""
        return sum(room * n for room, n in zip(self.rooms, counts, strict=True)) >= self.amount


def need(problem: Problem, fillers: Sequence[Knapsack], worths: Sequence[int]) -> Need:
    """The need that follows from what a piece of each row is taken to be worth, whole numbers not below 0."""
    rooms = [0] * len(problem.bins)
    for filler in fillers:
        values = [item.gives * worths[item.row] for item in filler.items]
        most = [-(-problem.rows[item.row].demand // item.gives) for item in filler.items]
        never = dict.fromkeys(filler.bins, _UNHEARD)
        for bin_index, filling in filler.best(values, most, above=never).items():
            rooms[bin_index] = max(0, filling.value)
    return Need(tuple(rooms), sum(u * row.demand for u, row in zip(worths, problem.rows, strict=True)))


@dataclass(frozen=True, slots=True)
class Box:
    """Purchases between two: of each bin so many boards at least, and at most."""

    lows: Counts
    highs: Counts

    def cut(self, k: int, count: int) -> tuple[Box, Box]:
        """Those with at most so many boards of a bin, and those with more."""
        highs = (*self.highs[:k], count, *self.highs[k + 1 :])
        lows = (*self.lows[:k], count + 1, *self.lows[k + 1 :])
        return Box(self.lows, highs), Box(lows, self.highs)


@dataclass(frozen=True, slots=True)
class _Rates:
    """At some prices of the needs, a purchase that meets them costs at least sure + sum boards_k y_k, both scaled.

    With prices w_j >= 0 of needs (v_jk, a_j):  sum c y >= sum c y + sum w_j (a_j - sum v_jk y_k).
    """

    sure: int
    boards: Counts

    def least(self, box: Box) -> int:
        """The least of it in a box, rounded up to a whole number once the scale is taken off."""
        sides = zip(self.boards, box.lows, box.highs, strict=True)
        return -(-(self.sure + sum(rate * (low if rate > 0 else high) for rate, low, high in sides)) >> _FINE)


@dataclass(frozen=True, slots=True)
class _Node:
    """A box to be searched, and the rates that bound it.

    counts: what the programme buys in it, when it knew so many needs; empty before it is asked.
    """

    box: Box
    rates: _Rates
    counts: tuple[float, ...] = ()
    known: int = 0


@dataclass(frozen=True, slots=True)
class Offer:
    """A purchase that meets every need known so far, its cost, and the box in which none costs less."""

    counts: Counts
    cost: int
    box: Box


class Purchases:
    """The search over purchases that cost no more than a level, which may be lowered."""

    def __init__(self, problem: Problem, level: int) -> None:
        self.costs = tuple(bin_.cost for bin_ in problem.bins)
        self.step, self.level = problem.step, level
        self.needs: list[Need] = []
        self._programme = Simplex(self.costs, float(_DEAR * level))
        self._bare = _Rates(0, tuple(cost << _FINE for cost in self.costs))
        self._heap: list[tuple[int, int, _Node]] = []
        self._pushed = 0
        self._push(0, _Node(_widest(problem, level), self._bare))

    @property
    def least(self) -> int:
        """No purchase that is left costs less; above the level when none is left."""
        return self._heap[0][0] if self._heap else self.level + self.step

    def learn(self, need: Need) -> None:
        """Ask this of every purchase as well."""
        if need.amount > 0:
            self.needs.append(need)
            self._programme.add([room / need.amount for room in need.rooms])

    def next(self, steps: int) -> tuple[Offer | None, int]:
        """The cheapest purchase that is left, None if there is none within the level or the steps; steps left."""
        while steps > 0 and self.least <= self.level:
            bound, _, node = heapq.heappop(self._heap)
            if not self._holds(node):
                steps -= 1
                self._push(bound, self._solved(node))
                continue
            counts = tuple(map(round, node.counts))
            cost = sum(cost * n for cost, n in zip(self.costs, counts, strict=True))
            if cost == bound and all(each.met(counts) for each in self.needs):
                return Offer(counts, cost, node.box), steps
            self._branch(bound, node)
        return None, steps

    def put_back(self, offer: Offer) -> None:
        """Search the offer's box again: more is needed than was known."""
        self._push(offer.cost, _Node(offer.box, self._bare))

    def rule_out(self, offer: Offer) -> None:
        """Search the offer's box without it, and without those that buy no more of any bin."""
        box = offer.box
        for k, count in enumerate(offer.counts):
            if count < box.highs[k]:
                box, more = box.cut(k, count)
                self._push(offer.cost, _Node(more, self._bare))

    def _holds(self, node: _Node) -> bool:
        """Whether what the programme buys in the box meets what has been learnt since."""
        return bool(node.counts) and all(each.met(node.counts) for each in self.needs[node.known :])

    def _solved(self, node: _Node) -> _Node:
        counts, prices = self._programme.solve(node.box.lows, node.box.highs)
        sure, boards = 0, list(self._bare.boards)
        for each, price in zip(self.needs, prices, strict=True):
            if weight := (int(price * 2**_PRICE) << (_FINE - _PRICE)) // each.amount:
                sure += weight * each.amount
                boards = [rate - weight * room for rate, room in zip(boards, each.rooms, strict=True)]
        return _Node(node.box, _Rates(sure, tuple(boards)), counts, len(self.needs))

    def _push(self, bound: int, node: _Node) -> None:
        """Keep a node that may hold something within the level; of equal bounds the newest goes first."""
        bound = max(bound, -(-node.rates.least(node.box) // self.step) * self.step)
        if bound <= self.level:
            self._pushed += 1
            heapq.heappush(self._heap, (bound, -self._pushed, node))

    def _branch(self, bound: int, node: _Node) -> None:
        """Two boxes of one, at the count furthest from whole; none of a box that is one purchase, as that fails."""
        box = node.box
        wide = [k for k, (low, high) in enumerate(zip(box.lows, box.highs, strict=True)) if low < high]
        if wide:
            k = max(wide, key=lambda k: abs(node.counts[k] - round(node.counts[k])))
            count = min(int(node.counts[k] + _NEARLY), box.highs[k] - 1)
            for part in box.cut(k, count):
                self._push(bound, _Node(part, node.rates))


def _widest(problem: Problem, level: int) -> Box:
    """All purchases within a level; whatever costs nothing is taken."""
    lows, highs = [], []
    for bin_ in problem.bins:
        most = level // bin_.cost if bin_.cost else _MANY
        highs.append(most if bin_.available is None else min(most, bin_.available))
        lows.append(0 if bin_.cost else highs[-1])
    return Box(tuple(lows), tuple(highs))
