"""The loops of the search for boards to buy (see choice.py), over boxes: purchases between two."""

from __future__ import annotations

from heapq import heappop, heappush
from typing import NamedTuple

import numpy as np

from sawbill.compiled import compiled, compiled_part
from sawbill.cutting.linear.knapsack import Flags
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.linear.simplex import Floats, solved

MET = 1e-9  # what a need may lack and be met: rounding
_ALIKE = 1e-9  # part by which prices differ that are the same again
_NEARLY = 1e-6  # a count so close to a whole number is one
_ROUNDING = 1e-12  # more than what rounding makes of a bound, as a part of the sizes added up: some hundred terms
_HIGHEST = 2.0**60  # bound that is told: any is beyond whatever was asked


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


@compiled
def searched(
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
        bound, k, count = _looked_into(boxes, rates, used, needs, costs, weights, dear, level, step, box, bound)
        if boxes.offered[box]:
            heappush(heap, (bound, turn, box))
        for above in range(2 if k >= 0 else 0):
            low, high = boxes.lows[box].copy(), boxes.highs[box].copy()
            if above:
                low[k] = count + 1
            else:
                high[k] = count
            own = max(bound, _least(rates, used, low, high, step))
            if own <= level:
                heappush(heap, (own, turn - above, parted(boxes, used, box, low, high)))
    left = np.zeros((len(heap), 3), np.int64)
    for n in range(len(heap)):
        left[n, 0], left[n, 1], left[n, 2] = heap[n]
    return left, found, steps


@compiled_part
def _looked_into(
    boxes: Boxes, rates: Rates, used: Ints, needs: Floats, costs: Ints, weights: Floats, dear: float, level: int,
    step: int, box: int, bound: int,
) -> tuple[int, int, int]:  # fmt: skip
    """The bound of a box, and the bin and the count where it is parted; -1 where it is not: it is offered, or left."""
    counts, prices = _solved_in(boxes, box, needs, weights, dear)
    _add_rates(rates, used, prices, needs, weights)
    bound = max(bound, _least(rates, used, boxes.lows[box], boxes.highs[box], step))
    if bound > level:
        return bound, -1, 0
    boxes.offered[box] = _whole_cost(boxes, box, counts, costs) == bound and _all_met(needs, boxes.counts[box])
    k = -1 if boxes.offered[box] else _widest_apart(boxes, box, counts)
    if k < 0:  # one purchase, which fails
        return bound, -1, 0
    return bound, k, min(int(counts[k] + _NEARLY), boxes.highs[box, k] - 1)


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
        if not total >= 1 - MET:
            return False
    return True


@compiled_part
def _solved_in(boxes: Boxes, box: int, needs: Floats, costs: Floats, dear: float) -> tuple[Floats, Floats]:
    """What the programme buys in a box, parts of boards among it, and its prices; the box keeps the basis."""
    size, count = len(costs), len(needs)
    low, high = np.zeros(size + count), np.empty(size + count)
    for column in range(size):
        low[column], high[column] = boxes.lows[box, column], boxes.highs[box, column]
    for column in range(size, size + count):
        high[column] = np.inf
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
def parted(boxes: Boxes, used: Ints, whole: int, lows: Ints, highs: Ints) -> int:
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
