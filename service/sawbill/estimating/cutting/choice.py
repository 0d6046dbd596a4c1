"""Which boards to buy, before how to cut them: the cost depends on that alone where leftovers are worth nothing.

Whatever the pieces are taken to be worth, u_i >= 0, let v_k be the most that one board of bin k can hold, from the
exact knapsack. Boards y_k that hold the order then meet the need

    sum v_k y_k >= sum u_i d_i = a,      and, as they are whole,      sum min(1, v_k / a) y_k >= 1.

The cheapest whole y that meets a few such needs is often far above the linear programme's optimum, which buys
parts of boards, and there are few counts to search over. The search is best first over boxes of purchases; a box's
bound comes from the prices that a small linear programme has found for any of them, of which there are few that differ:

    at prices w_j >= 0 of needs (r_jk)      sum c y >= sum w_j + sum_k (c_k - sum_j w_j r_jk) y_k.

It holds whatever the prices are, and is lowered by more than rounding can have made of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from typing import NamedTuple

import numpy as np

from sawbill.compiled import compiled, taller
from sawbill.estimating.cutting.knapsack import Flags, Knapsack
from sawbill.estimating.cutting.places import Ints
from sawbill.estimating.cutting.problem import Problem
from sawbill.estimating.cutting.simplex import Floats, solved

Counts = tuple[int, ...]

_ALIKE = 1e-9  # part by which prices differ that are the same again
_NEARLY = 1e-6  # a count so close to a whole number is one
_MET = 1e-9  # what a need may lack and be met: rounding
_ROUNDING = 1e-12  # more than what rounding makes of a bound, as a part of the sizes added up: some hundred terms
_HIGHEST = 2.0**60  # bound that is told: any is beyond whatever was asked
_DEAR = 1_000  # times the dearest purchase wanted: how far prices rise where no purchase will do


@dataclass(frozen=True, slots=True)
class Need:
    """What every purchase that holds the order meets: sum rooms_k y_k >= amount."""

    rooms: Counts
    amount: int

    @property
    def rates(self) -> list[float]:
        """What part of it a board of each bin meets, no more than all of it."""
        return [min(1.0, room / self.amount) for room in self.rooms]

    def met(self, counts: Sequence[int]) -> bool:
        """Whether a purchase meets it."""
        return sum(rate * n for rate, n in zip(self.rates, counts, strict=True)) >= 1 - _MET


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
class Offer:
    """A purchase that meets every need known so far, its cost, and the box in which none costs less, by its number."""

    counts: Counts
    cost: int
    box: int


class Boxes(NamedTuple):
    """Purchases between two, one box a row, as far as `used`; waiting: (bound, -turn, box), as a heap is.

    basic, at_high: the basis from which the programme goes on in a box; offered: whether `counts` is cheapest there.
    """

    used: int
    lows: Ints
    highs: Ints
    basic: Ints
    at_high: Flags
    offered: Flags
    counts: Ints
    waiting: Ints


class Rates(NamedTuple):
    """What prices of the needs prove of every purchase, one row for each prices as far as `used`.

    sure, boards: a purchase costs at least sure + sum boards_k y_k; sizes: of what each of those was added up from.
    """

    used: int
    prices: Floats
    sure: Floats
    boards: Floats
    sizes: Floats


class Purchases:
    """The search over purchases that cost no more than a level, which may be lowered."""

    def __init__(self, problem: Problem, level: int) -> None:
        costs = [bin_.cost for bin_ in problem.bins]
        self.costs, self.size = np.array(costs, np.int64), len(costs)
        self.step, self.level = problem.step, level
        self._dear, self._needs = float(_DEAR * level), np.zeros((0, self.size))
        lows, highs = _widest(problem, level)
        self._boxes = Boxes(
            1, lows[None, :], highs[None, :], np.zeros((1, 0), np.int64), np.zeros((1, self.size), np.bool_),
            np.zeros(1, np.bool_), np.zeros((1, self.size), np.int64), np.zeros((1, 3), np.int64),
        )  # fmt: skip
        bare = self.costs.astype(float)[None, :]
        self._rates = Rates(1, np.zeros((1, 0)), np.zeros(1), bare, bare.copy())

    @property
    def least(self) -> int:
        """No purchase that is left costs less; above the level when none is left."""
        waiting = self._boxes.waiting
        return min(int(waiting[:, 0].min(initial=self.level + self.step)), self.level + self.step)

    def learn(self, need: Need) -> None:
        """Ask this of every purchase as well."""
        if need.amount <= 0:
            return
        surplus = self.size + len(self._needs)
        self._needs = np.vstack([self._needs, need.rates])
        boxes, rates = self._boxes, self._rates
        self._boxes = boxes._replace(
            basic=np.column_stack([boxes.basic, np.full(len(boxes.basic), surplus)]),
            at_high=np.column_stack([boxes.at_high, np.zeros(len(boxes.at_high), np.bool_)]),
        )
        self._rates = rates._replace(prices=np.column_stack([rates.prices, np.zeros(len(rates.prices))]))

    def next(self, steps: int) -> tuple[Offer | None, int]:
        """The cheapest purchase that is left, None if there is none within the level or the steps; steps left."""
        self._boxes, self._rates, box, steps = _searched(
            self._boxes, self._rates, self._needs, self.costs, self._dear, self.level, self.step, steps
        )
        if box < 0:
            return None, steps
        counts = self._boxes.counts[box]
        return Offer(tuple(counts.tolist()), int(self.costs @ counts), box), steps

    def put_back(self, offer: Offer) -> None:
        """Search the offer's box again: more is needed than was known."""
        self._wait([(offer.cost, offer.box)])

    def rule_out(self, offer: Offer) -> None:
        """Search the offer's box without it, and without those that buy no more of any bin."""
        boxes, parts = self._boxes, []
        lows, highs = boxes.lows[offer.box].copy(), boxes.highs[offer.box].copy()
        for k, count in enumerate(offer.counts):
            if count < highs[k]:
                more = lows.copy()
                more[k] = count + 1
                self._boxes, box = _part(self._boxes, offer.box, more, highs)
                parts.append((offer.cost, box))
                highs = highs.copy()
                highs[k] = count
        self._wait(parts)

    def _wait(self, boxes: Sequence[tuple[int, int]]) -> None:
        """Have boxes searched that no offer is known of; of equal bounds the newest goes first."""
        turn = int(-self._boxes.waiting[:, 1].min(initial=0))
        added = [(bound, -turn - n, box) for n, (bound, box) in enumerate(boxes, 1)]
        for _, _, box in added:
            self._boxes.offered[box] = False
        waiting = np.vstack([self._boxes.waiting, np.array(added, np.int64).reshape(-1, 3)])
        self._boxes = self._boxes._replace(waiting=waiting)


def _widest(problem: Problem, level: int) -> tuple[Ints, Ints]:
    """All purchases within a level; whatever costs nothing is taken, up to a board for each piece."""
    pieces = sum(row.demand for row in problem.rows)
    lows, highs = [], []
    for bin_ in problem.bins:
        most = level // bin_.cost if bin_.cost else pieces
        highs.append(most if bin_.available is None else min(most, bin_.available))
        lows.append(0 if bin_.cost else highs[-1])
    return np.array(lows, np.int64), np.array(highs, np.int64)


@compiled
def _searched(
    boxes: Boxes, rates: Rates, needs: Floats, costs: Ints, dear: float, level: int, step: int, steps: int
) -> tuple[Boxes, Rates, int, int]:
    """What is known after the search, the box with the cheapest purchase or -1, and the steps left."""
    size, weights = len(costs), costs.astype(np.float64)
    waiting, turn, found = [(0, 0, 0)][:0], 0, -1
    for n in range(len(boxes.waiting)):
        waiting.append((boxes.waiting[n, 0], boxes.waiting[n, 1], boxes.waiting[n, 2]))
        turn = min(turn, boxes.waiting[n, 1])
    heapify(waiting)
    while found < 0 and len(waiting) and waiting[0][0] <= level and (steps > 0 or boxes.offered[waiting[0][2]]):
        bound, _, box = heappop(waiting)
        if boxes.offered[box]:
            if _all_met(needs, boxes.counts[box]):
                found = box
            else:
                boxes.offered[box] = False
                turn -= 1
                heappush(waiting, (bound, turn, box))
            continue
        steps -= 1
        counts, prices = _solved_in(boxes, box, needs, weights, dear)
        rates = _with_rates(rates, prices, needs, weights)
        bound = max(bound, _least(rates, boxes.lows[box], boxes.highs[box], step))
        if bound > level:
            continue
        cost = 0
        for k in range(size):
            boxes.counts[box, k] = round(counts[k])
            cost += costs[k] * boxes.counts[box, k]
        boxes.offered[box] = cost == bound and _all_met(needs, boxes.counts[box])
        turn -= 1
        if boxes.offered[box]:
            heappush(waiting, (bound, turn, box))
            continue
        k = _widest_apart(boxes, box, counts)
        if k < 0:  # one purchase, which fails
            continue
        count = min(int(counts[k] + _NEARLY), boxes.highs[box, k] - 1)
        lows, highs = boxes.lows[box].copy(), boxes.highs[box].copy()
        lows[k], highs[k] = count + 1, count
        for low, high in ((boxes.lows[box].copy(), highs), (lows, boxes.highs[box].copy())):
            own = max(bound, _least(rates, low, high, step))
            if own <= level:
                boxes, part = _part(boxes, box, low, high)
                turn -= 1
                heappush(waiting, (own, turn, part))
    left = np.zeros((len(waiting), 3), np.int64)
    for n in range(len(waiting)):
        left[n, 0], left[n, 1], left[n, 2] = waiting[n]
    boxes = Boxes(
        boxes.used, boxes.lows, boxes.highs, boxes.basic, boxes.at_high, boxes.offered, boxes.counts, left
    )  # fmt: skip
    return boxes, rates, found, steps


@compiled
def _all_met(needs: Floats, counts: Ints) -> bool:
    """Whether a purchase meets every need."""
    for row in range(len(needs)):
        total = 0.0
        for k in range(len(counts)):
            total += needs[row, k] * counts[k]
        if not total >= 1 - _MET:
            return False
    return True


@compiled
def _solved_in(boxes: Boxes, box: int, needs: Floats, costs: Floats, dear: float) -> tuple[Floats, Floats]:
    """What the programme buys in a box, parts of boards among it, and its prices; the box keeps the basis."""
    size, count = len(costs), len(needs)
    low, high = np.zeros((1, size + count)), np.zeros((1, size + count))
    basic, at_high = np.zeros((1, count), np.int64), np.zeros((1, size + count), np.bool_)
    for column in range(size + count):
        low[0, column] = boxes.lows[box, column] if column < size else 0.0
        high[0, column] = boxes.highs[box, column] if column < size else np.inf
        at_high[0, column] = boxes.at_high[box, column]
    for row in range(count):
        basic[0, row] = boxes.basic[box, row]
    counts, prices = solved(needs, costs, dear, low, high, basic, at_high)
    for column in range(size + count):
        boxes.at_high[box, column] = at_high[0, column]
    for row in range(count):
        boxes.basic[box, row] = basic[0, row]
    return counts[0], prices[0]


@compiled
def _widest_apart(boxes: Boxes, box: int, counts: Floats) -> int:
    """The bin whose count is furthest from whole, among those of which a box leaves the number open; -1 if none."""
    chosen, most = -1, -1.0
    for k in range(boxes.lows.shape[1]):
        if boxes.lows[box, k] < boxes.highs[box, k] and abs(counts[k] - round(counts[k])) > most:
            chosen, most = k, abs(counts[k] - round(counts[k]))
    return chosen


@compiled
def _with_rates(rates: Rates, prices: Floats, needs: Floats, costs: Floats) -> Rates:
    """The rates with those of some prices, unless they are there."""
    count, size = rates.used, len(costs)
    for n in range(count):
        same = True
        for row in range(len(needs)):
            other = rates.prices[n, row]
            same = same and abs(prices[row] - other) <= _ALIKE * max(prices[row], other)
        if same:
            return rates
    if count == len(rates.sure):
        rates = Rates(
            count,
            taller(rates.prices),
            np.append(rates.sure, rates.sure),
            taller(rates.boards),
            taller(rates.sizes),
        )
    sure = 0.0
    for row in range(len(needs)):
        rates.prices[count, row] = prices[row]
        sure += prices[row]
    rates.sure[count] = sure
    for k in range(size):
        paid = 0.0
        for row in range(len(needs)):
            paid += prices[row] * needs[row, k]
        rates.boards[count, k], rates.sizes[count, k] = costs[k] - paid, costs[k] + paid
    return Rates(count + 1, rates.prices, rates.sure, rates.boards, rates.sizes)


@compiled
def _least(rates: Rates, lows: Ints, highs: Ints, step: int) -> int:
    """The least that a purchase in a box costs, by whatever rates say most; a multiple of the step."""
    most = 0.0
    for n in range(rates.used):
        total = size = rates.sure[n]
        for k in range(len(lows)):
            count = lows[k] if rates.boards[n, k] > 0 else highs[k]
            total += rates.boards[n, k] * count
            size += rates.sizes[n, k] * count
        most = max(most, total - _ROUNDING * size)
    return int(np.ceil(min(most, _HIGHEST) / step)) * step


@compiled
def _part(boxes: Boxes, whole: int, lows: Ints, highs: Ints) -> tuple[Boxes, int]:
    """The boxes with a part of one of them, and its number."""
    count = boxes.used
    if count == len(boxes.lows):
        boxes = Boxes(
            count,
            taller(boxes.lows),
            taller(boxes.highs),
            taller(boxes.basic),
            taller(boxes.at_high),
            np.append(boxes.offered, boxes.offered),
            taller(boxes.counts),
            boxes.waiting,
        )
    for k in range(len(lows)):
        boxes.lows[count, k], boxes.highs[count, k] = lows[k], highs[k]
    for row in range(boxes.basic.shape[1]):
        boxes.basic[count, row] = boxes.basic[whole, row]
    for column in range(boxes.at_high.shape[1]):
        boxes.at_high[count, column] = boxes.at_high[whole, column]
    boxes.offered[count] = False
    return Boxes(
        count + 1,
        boxes.lows,
        boxes.highs,
        boxes.basic,
        boxes.at_high,
        boxes.offered,
        boxes.counts,
        boxes.waiting,
    ), count
