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
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sawbill.cutting.closing.boxes import MET, Boxes, Rates, parted, searched
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.places import Ints
from sawbill.cutting.problem import Problem

Counts = tuple[int, ...]

_AT_ONCE = 2_000  # steps for which there is room made at a time
_DEAR = 1_000  # times the dearest purchase wanted: how far prices rise where no purchase will do


@dataclass(frozen=True, slots=True)
class Need:
    """What every purchase that holds the order meets: sum rooms_k y_k >= amount."""

    rooms: Counts
    amount: int

    @property
    def capped(self) -> Counts:
        """What a board of each bin holds of it, no more than all of it."""
        return tuple(min(room, self.amount) for room in self.rooms)

    @property
    def rates(self) -> list[float]:
        """What part of it a board of each bin meets, no more than all of it."""
        return [min(1.0, room / self.amount) for room in self.rooms]

    def met(self, counts: Sequence[int]) -> bool:
        """Whether a purchase meets it."""
        return sum(rate * n for rate, n in zip(self.rates, counts, strict=True)) >= 1 - MET


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


class Purchases:
    """The search over purchases that cost no more than a level, which may be lowered."""

    def __init__(self, problem: Problem, level: int) -> None:
        costs = [bin_.cost for bin_ in problem.bins]
        self.costs, self.size = np.array(costs, np.int64), len(costs)
        self.step, self.level = problem.step, level
        self._dear, self._needs = float(_DEAR * level), np.zeros((0, self.size))
        lows, highs = widest(problem, level)
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
            self._waiting, box, left = searched(
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
                parts.append((offer.cost, parted(boxes, self._used, offer.box, more, highs)))
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


def widest(problem: Problem, level: int) -> tuple[Ints, Ints]:
    """All purchases within a level; whatever costs nothing is taken, up to a board for each piece."""
    pieces = sum(row.demand for row in problem.rows)
    lows, highs = [], []
    for bin_ in problem.bins:
        most = level // bin_.cost if bin_.cost else pieces
        highs.append(most if bin_.available is None else min(most, bin_.available))
        lows.append(0 if bin_.cost else highs[-1])
    return np.array(lows, np.int64), np.array(highs, np.int64)
