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
from heapq import heappop, heappush
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.linear.knapsack import Flags, Knapsack
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.simplex import Floats, solved
from sawbill.cutting.problem import Problem

Counts = tuple[int, ...]

_ALIKE = 1e-9  # part by which prices differ that are the same again
_NEARLY = 1e-6  # a count so close to a whole number is one
_MET = 1e-9  # what a need may lack and be met: rounding
_ROUNDING = 1e-12  # more than what rounding makes of a bound, as a part of the sizes added up: some hundred terms
_HIGHEST = 2.0**60  # bound that is told: any is beyond whatever was asked
_AT_ONCE = 2_000  # steps for which there is room made at a time
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
    """Purchases between two, one box a row; rows beyond those that are used are room for more.

    basic, at_high: the basis from which the programme goes on in a box; offered: whether `counts` is cheapest there.
    """

    lows: Ints
    highs: Ints
    basic: Ints
    at_high: Flags
    offered: Flags
    counts: Ints


class Rates(NamedTuple):
    """What prices of the needs prove of every purchase, one row for each prices; rows beyond those used are room.

    sure, boards: a purchase costs at least sure + sum boards_k y_k; sizes: of what each of those was added up from.
    """

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
            lows[None, :], highs[None, :], np.zeros((1, 0), np.int64), np.zeros((1, self.size), np.bool_),
            np.zeros(1, np.bool_), np.zeros((1, self.size), np.int64),
        )  # fmt: skip
        bare = self.costs.astype(float)[None, :]
        self._rates = Rates(np.zeros((1, 0)), np.zeros(1), bare, bare.copy())
        self._used = np.ones(2, np.int64)  # boxes and rates
        self._waiting = np.zeros((1, 3), np.int64)  # (bound, -turn, box), as a heap is

    @property
    def least(self) -> int:
        """No purchase that is left costs less; above the level when none is left."""
        return min(int(self._waiting[:, 0].min(initial=self.level + self.step)), self.level + self.step)

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
        box = -1
        while box < 0 and len(self._waiting) and self._waiting[:, 0].min() <= self.level:
            part = min(steps, _AT_ONCE)
            self._make_room(part)
            self._waiting, box, left = _searched(
                self._boxes, self._rates, self._used, self._waiting, self._needs, self.costs, self._dear, self.level,
                self.step, part,
            )  # fmt: skip
            steps -= part - left
            if box < 0 and not part:
                break
        if box < 0:
            return None, steps
        counts = self._boxes.counts[box]
        return Offer(tuple(counts.tolist()), int(self.costs @ counts), box), steps

    def _make_room(self, steps: int) -> None:
        """For so many steps: each parts a box in two, and may find new prices; the compiled search makes none."""
        boxes, rates = self._used.tolist()
        self._boxes = Boxes(*(_roomy(each, boxes, 2 * steps) for each in self._boxes))
        self._rates = Rates(*(_roomy(each, rates, steps) for each in self._rates))

    def put_back(self, offer: Offer) -> None:
        """Search the offer's box again: more is needed than was known."""
        self._wait([(offer.cost, offer.box)])

    def rule_out(self, offer: Offer) -> None:
        """Search the offer's box without it, and without those that buy no more of any bin."""
        self._make_room(self.size)
        boxes, parts = self._boxes, []
        lows, highs = boxes.lows[offer.box].copy(), boxes.highs[offer.box].copy()
        for k, count in enumerate(offer.counts):
            if count < highs[k]:
                more = lows.copy()
                more[k] = count + 1
                parts.append((offer.cost, _part(boxes, self._used, offer.box, more, highs)))
                highs = highs.copy()
                highs[k] = count
        self._wait(parts)

    def _wait(self, boxes: Sequence[tuple[int, int]]) -> None:
        """Have boxes searched that no offer is known of; of equal bounds the newest goes first."""
        turn = int(-self._waiting[:, 1].min(initial=0))
        added = [(bound, -turn - n, box) for n, (bound, box) in enumerate(boxes, 1)]
        for _, _, box in added:
            self._boxes.offered[box] = False
        self._waiting = np.vstack([self._waiting, np.array(added, np.int64).reshape(-1, 3)])


def _roomy(rows: NDArray[Any], used: int, more: int) -> NDArray[Any]:
    """The same rows, with room for so many more than are used, and again as many where there was none."""
    if used + more <= len(rows):
        return rows
    return np.concatenate([rows, np.zeros((used + more, *rows.shape[1:]), rows.dtype)])


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
    boxes: Boxes, rates: Rates, used: Ints, waiting: Ints, needs: Floats, costs: Ints, dear: float, level: int,
    step: int, steps: int,
) -> tuple[Ints, int, int]:  # fmt: skip
    """What waits after the search, the box with the cheapest purchase or -1, and the steps left.

    A box comes up by its bound. Its programme is solved: either what it buys is whole, and waits for its turn by its
    cost; or the box is parted at the bin whose count is furthest from whole.
    """
    heap, turn, found, weights = [(0, 0, 0)][:0], 0, -1, costs.astype(np.float64)
    for n in range(len(waiting)):
        heappush(heap, (waiting[n, 0], waiting[n, 1], waiting[n, 2]))
        turn = min(turn, waiting[n, 1])
    while found < 0 and len(heap) and heap[0][0] <= level and (steps > 0 or boxes.offered[heap[0][2]]):
        bound, _, box = heappop(heap)
        turn -= 3
        if boxes.offered[box]:
            if _all_met(needs, boxes.counts[box]):
                found = box
            else:  # more is needed by now than when it was offered
                boxes.offered[box] = False
                heappush(heap, (bound, turn, box))
            continue
        steps -= 1
        counts, prices = _solved_in(boxes, box, needs, weights, dear)
        _add_rates(rates, used, prices, needs, weights)
        bound = max(bound, _least(rates, used, boxes.lows[box], boxes.highs[box], step))
        if bound > level:
            continue
        boxes.offered[box] = _whole_cost(boxes, box, counts, costs) == bound and _all_met(needs, boxes.counts[box])
        if boxes.offered[box]:
            heappush(heap, (bound, turn, box))
            continue
        k = _widest_apart(boxes, box, counts)
        if k < 0:  # one purchase, which fails
            continue
        count = min(int(counts[k] + _NEARLY), boxes.highs[box, k] - 1)
        for above in range(2):
            low, high = boxes.lows[box].copy(), boxes.highs[box].copy()
            if above:
                low[k] = count + 1
            else:
                high[k] = count
            own = max(bound, _least(rates, used, low, high, step))
            if own <= level:
                heappush(heap, (own, turn - above, _part(boxes, used, box, low, high)))
    left = np.zeros((len(heap), 3), np.int64)
    for n in range(len(heap)):
        left[n, 0], left[n, 1], left[n, 2] = heap[n]
    return left, found, steps


@compiled_part
def _whole_cost(boxes: Boxes, box: int, counts: Floats, costs: Ints) -> int:
    """What the counts cost once they are whole; the box keeps them."""
    cost = 0
    for k in range(len(costs)):
        boxes.counts[box, k] = round(counts[k])
        cost += costs[k] * boxes.counts[box, k]
    return cost


@compiled_part
def _all_met(needs: Floats, counts: Ints) -> bool:
    """Whether a purchase meets every need."""
    for row in range(len(needs)):
        total = 0.0
        for k in range(len(counts)):
            total += needs[row, k] * counts[k]
        if not total >= 1 - _MET:
            return False
    return True


@compiled_part
def _solved_in(boxes: Boxes, box: int, needs: Floats, costs: Floats, dear: float) -> tuple[Floats, Floats]:
    """What the programme buys in a box, parts of boards among it, and its prices; the box keeps the basis."""
    size, count = len(costs), len(needs)
    low, high = np.zeros(size + count), np.full(size + count, np.inf)
    for column in range(size):
        low[column], high[column] = boxes.lows[box, column], boxes.highs[box, column]
    return solved(needs, costs, dear, low, high, boxes.basic[box], boxes.at_high[box])


@compiled_part
def _widest_apart(boxes: Boxes, box: int, counts: Floats) -> int:
    """The bin whose count is furthest from whole, among those of which a box leaves the number open; -1 if none."""
    chosen, most = -1, -1.0
    for k in range(boxes.lows.shape[1]):
        if boxes.lows[box, k] < boxes.highs[box, k] and abs(counts[k] - round(counts[k])) > most:
            chosen, most = k, abs(counts[k] - round(counts[k]))
    return chosen


@compiled_part
def _add_rates(rates: Rates, used: Ints, prices: Floats, needs: Floats, costs: Floats) -> None:
    """Keep the rates of some prices, unless they are there."""
    count = used[1]
    for n in range(count):
        same = True
        for row in range(len(needs)):
            other = rates.prices[n, row]
            same = same and abs(prices[row] - other) <= _ALIKE * max(prices[row], other)
        if same:
            return
    sure = 0.0
    for row in range(len(needs)):
        rates.prices[count, row] = prices[row]
        sure += prices[row]
    rates.sure[count] = sure
    for k in range(len(costs)):
        paid = 0.0
        for row in range(len(needs)):
            paid += prices[row] * needs[row, k]
        rates.boards[count, k], rates.sizes[count, k] = costs[k] - paid, costs[k] + paid
    used[1] = count + 1


@compiled_part
def _least(rates: Rates, used: Ints, lows: Ints, highs: Ints, step: int) -> int:
    """The least that a purchase in a box costs, by whatever rates say most; a multiple of the step."""
    most = 0.0
    for n in range(used[1]):
        total = size = rates.sure[n]
        for k in range(len(lows)):
            count = lows[k] if rates.boards[n, k] > 0 else highs[k]
            total += rates.boards[n, k] * count
            size += rates.sizes[n, k] * count
        most = max(most, total - _ROUNDING * size)
    return int(np.ceil(min(most, _HIGHEST) / step)) * step


@compiled_part
def _part(boxes: Boxes, used: Ints, whole: int, lows: Ints, highs: Ints) -> int:
    """Keep a part of a box, for which there must be room; its number."""
    count: int = used[0]
    for k in range(len(lows)):
        boxes.lows[count, k], boxes.highs[count, k] = lows[k], highs[k]
    for row in range(boxes.basic.shape[1]):
        boxes.basic[count, row] = boxes.basic[whole, row]
    for column in range(boxes.at_high.shape[1]):
        boxes.at_high[count, column] = boxes.at_high[whole, column]
    boxes.offered[count] = False
    used[0] = count + 1
    return count
