"""Which boards to buy, before how to cut them: the cost depends on that alone where leftovers are worth nothing.

Whatever the pieces are taken to be worth, u_i >= 0, let v_k be the most that one board of bin k can hold, from the
exact knapsack. Boards y_k that hold the order then meet the need

    sum v_k y_k >= sum u_i d_i.

The cheapest whole y that meets a few such needs is often far above the linear programme's optimum, which buys
parts of boards, and there are few counts to search over. The search is best first over boxes of purchases, many at
a time; a box's bound comes from the prices that a small linear programme has found for any of them, of which there
are few that differ, and is exact in whole numbers whatever they are.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from sawbill.estimating.cutting.knapsack import Knapsack
from sawbill.estimating.cutting.problem import Problem
from sawbill.estimating.cutting.simplex import Simplex, Start

Counts = tuple[int, ...]

_FINE = 100  # bits to which what a need's price makes of a board's cost is kept
_PRICE = 40  # bits of them that a price itself is rounded to
_MANY = 2**40  # more boards than any order needs
_AT_ONCE = 32  # boxes that are searched together
_ALIKE = 9  # digits to which prices agree that are the same again
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
        for bin_index, filling in filler.best(values, most).items():
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


class _Pool:
    """All rates found so far. Floats tell which of them bounds a box best; the bound itself is in whole numbers."""

    def __init__(self, bare: _Rates) -> None:
        self._rates: list[_Rates] = []
        self._sure = np.empty(0)
        self._low, self._high = np.empty((0, len(bare.boards))), np.empty((0, len(bare.boards)))
        self.add([bare])

    def add(self, found: Sequence[_Rates]) -> None:
        """More of them."""
        if found:
            self._rates += found
            boards = np.array([each.boards for each in found], float)
            self._sure = np.append(self._sure, [float(each.sure) for each in found])
            self._low = np.vstack([self._low, np.maximum(boards, 0.0)])
            self._high = np.vstack([self._high, np.minimum(boards, 0.0)])

    def least(self, boxes: Sequence[Box]) -> list[int]:
        """The least that a purchase in each box costs."""
        lows = np.array([box.lows for box in boxes], float)
        highs = np.array([box.highs for box in boxes], float)
        chosen = (self._sure[:, None] + self._low @ lows.T + self._high @ highs.T).argmax(axis=0)
        return [self._rates[n].least(box) for n, box in zip(chosen.tolist(), boxes, strict=True)]


@dataclass(frozen=True, slots=True)
class Offer:
    """A purchase that meets every need known so far, its cost, and the box in which none costs less.

    start: where the programme may go on from in the box.
    """

    counts: Counts
    cost: int
    box: Box
    start: Start = field(compare=False)


@dataclass(frozen=True, slots=True)
class _Node:
    """A box to be searched; start: where the programme goes on from; offer: what is cheapest there, once it is."""

    box: Box
    start: Start
    offer: Offer | None = None


class Purchases:
    """The search over purchases that cost no more than a level, which may be lowered."""

    def __init__(self, problem: Problem, level: int) -> None:
        self.costs = tuple(bin_.cost for bin_ in problem.bins)
        self.step, self.level = problem.step, level
        self.needs: list[Need] = []
        self._programme = Simplex(self.costs, float(_DEAR * level))
        self._bare = _Rates(0, tuple(cost << _FINE for cost in self.costs))
        self._pool, self._met = _Pool(self._bare), set[tuple[float, ...]]()
        self._heap: list[tuple[int, int, _Node]] = []
        self._pushed = 0
        self._push([(0, _Node(_widest(problem, level), self._programme.start()))])

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
            bound, _, node = self._heap[0]
            if node.offer is None:
                boxes = self._unsearched(_AT_ONCE)
                steps -= len(boxes)
                self._search(boxes)
                continue
            heapq.heappop(self._heap)
            if all(each.met(node.offer.counts) for each in self.needs):
                return node.offer, steps
            self._keep(bound, replace(node, offer=None))
        return None, steps

    def put_back(self, offer: Offer) -> None:
        """Search the offer's box again: more is needed than was known."""
        self._keep(offer.cost, _Node(offer.box, offer.start))

    def rule_out(self, offer: Offer) -> None:
        """Search the offer's box without it, and without those that buy no more of any bin."""
        box = offer.box
        parts = []
        for k, count in enumerate(offer.counts):
            if count < box.highs[k]:
                box, more = box.cut(k, count)
                parts.append((offer.cost, _Node(more, offer.start)))
        self._push(parts)

    def _unsearched(self, most: int) -> list[tuple[int, _Node]]:
        """The most promising boxes that no offer is known of, taken off the heap."""
        found: list[tuple[int, _Node]] = []
        known = []
        while self._heap and len(found) < most and self.least <= self.level:
            entry = heapq.heappop(self._heap)
            if entry[2].offer is None:
                found.append((entry[0], entry[2]))
            else:
                known.append(entry)
        for entry in known:
            heapq.heappush(self._heap, entry)
        return found

    def _search(self, nodes: Sequence[tuple[int, _Node]]) -> None:
        """Put boxes to the programme; keep what is cheapest in one where it is whole, else the two halves of it."""
        solved = self._programme.solve(
            [node.start for _, node in nodes],
            [node.box.lows for _, node in nodes],
            [node.box.highs for _, node in nodes],
        )
        self._learn_rates(solved.prices)
        bounds = self._bounds(nodes)
        parts = []
        for n, (bound, (_, node)) in enumerate(zip(bounds, nodes, strict=True)):
            if bound <= self.level:
                counts, start = solved.counts[n].tolist(), solved.start(n)
                offer = self._offer(bound, counts, node.box, start)
                if offer is not None:
                    self._keep(bound, _Node(node.box, start, offer))
                else:
                    parts += [(bound, _Node(part, start)) for part in _halves(node.box, counts)]
        self._push(parts)

    def _offer(self, bound: int, counts: Sequence[float], box: Box, start: Start) -> Offer | None:
        """What the programme buys, if it is whole and costs what any purchase in the box does at least."""
        whole = tuple(map(round, counts))
        cost = sum(cost * n for cost, n in zip(self.costs, whole, strict=True))
        if cost == bound and all(each.met(whole) for each in self.needs):
            return Offer(whole, cost, box, start)
        return None

    def _learn_rates(self, prices: NDArray[np.float64]) -> None:
        """What new prices say of every purchase."""
        found = []
        for each in prices.tolist():
            key = tuple(float(f"{price:.{_ALIKE}g}") for price in each)
            if key not in self._met:
                self._met.add(key)
                found.append(self._rates(each))
        self._pool.add(found)

    def _rates(self, prices: Sequence[float]) -> _Rates:
        sure, boards = 0, list(self._bare.boards)
        for each, price in zip(self.needs, prices, strict=True):
            if weight := (int(price * 2**_PRICE) << (_FINE - _PRICE)) // each.amount:
                sure += weight * each.amount
                boards = [rate - weight * room for rate, room in zip(boards, each.rooms, strict=True)]
        return _Rates(sure, tuple(boards))

    def _bounds(self, nodes: Sequence[tuple[int, _Node]]) -> list[int]:
        """The least that purchases in each box cost: no less than was known, and no less than any rates say."""
        least = self._pool.least([node.box for _, node in nodes])
        return [max(bound, -(-own // self.step) * self.step) for own, (bound, _) in zip(least, nodes, strict=True)]

    def _push(self, nodes: Sequence[tuple[int, _Node]]) -> None:
        """Keep those boxes that may hold something within the level."""
        if nodes:
            for bound, (_, node) in zip(self._bounds(nodes), nodes, strict=True):
                self._keep(bound, node)

    def _keep(self, bound: int, node: _Node) -> None:
        """Of equal bounds the newest goes first."""
        if bound <= self.level:
            self._pushed += 1
            heapq.heappush(self._heap, (bound, -self._pushed, node))


def _halves(box: Box, counts: Sequence[float]) -> Sequence[Box]:
    """Two boxes of one, at the count furthest from whole; none of a box that is one purchase, as that fails."""
    wide = [k for k, (low, high) in enumerate(zip(box.lows, box.highs, strict=True)) if low < high]
    if not wide:
        return ()
    k = max(wide, key=lambda k: abs(counts[k] - round(counts[k])))
    return box.cut(k, min(int(counts[k] + _NEARLY), box.highs[k] - 1))


def _widest(problem: Problem, level: int) -> Box:
    """All purchases within a level; whatever costs nothing is taken."""
    lows, highs = [], []
    for bin_ in problem.bins:
        most = level // bin_.cost if bin_.cost else _MANY
        highs.append(most if bin_.available is None else min(most, bin_.available))
        lows.append(0 if bin_.cost else highs[-1])
    return Box(tuple(lows), tuple(highs))
