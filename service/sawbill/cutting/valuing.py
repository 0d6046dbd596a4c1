"""What pieces are worth, and boards at most: prices by which any purchase can be bounded without planning it.

The linear programme prices every piece. A board of a stock holds pieces worth so much at most, found exactly by the
knapsack. So boards bought hold, together, pieces worth no less than all that are needed: sum of w_k x_k >= total.
Any prices of pieces give a true bound; the programme's give a good one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from sawbill.cutting.linear import columns, greedy
from sawbill.cutting.linear.relaxation import relax
from sawbill.cutting.normalise import normalise
from sawbill.cutting.order import Order

_MANY = 10**6  # boards of a length: enough for any order, and a limit, so that no length is left out as needless


@dataclass(frozen=True, slots=True)
class Worths:
    """total: of all pieces; holds: the most that one board of a stock can hold, by its key [minor units]."""

    total: Fraction
    holds: Mapping[str, Fraction]


def worths(order: Order, end: float) -> Worths:
    """Price the pieces of an order that can be cut; end: the emergency stop (time.monotonic [s]).

    Boards are taken as carried whole, slivers as allowed and leftovers as worthless, so that a board holds no less.
    """
    stocks = tuple(replace(each, available=min(each.available or _MANY, _MANY), carry=None) for each in order.stocks)
    total, holds = Fraction(0), dict[str, Fraction]()
    for problem in normalise(replace(order, stocks=stocks, no_slivers=False, credit=Fraction(0))):
        fillers = greedy.knapsacks(problem)
        _, relaxation = relax(problem, fillers, greedy.complete(problem, fillers, {}), end)
        duals = relaxation.duals
        total += Fraction(sum(u * row.demand for u, row in zip(duals.rows, problem.rows, strict=True)), duals.scale)
        for bin_index, filling in columns.price(problem, fillers, duals, problem.demand).items():
            for key, _ in problem.bins[bin_index].lots:
                holds[key] = Fraction(filling.value, duals.scale)
    return Worths(total, holds)
