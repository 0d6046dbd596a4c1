"""A lower bound on every plan's cost that can be cited as proof: whole numbers from start to end.

For prices u >= 0 of rows and m >= 0 of limited bins with

    sum u_i a_ip <= c_p + m_k   for every pattern p of every bin k,

no plan costs less than sum u_i d_i - sum m_k A_k: weigh the rows' demands by u, the limits by m. The linear
programme's prices break the inequality by rounding, or by much while columns are missing. The knapsack, exact,
says by how much at most, v_k = max_p (sum u_i a_ip - c_p) - m_k. Where boards are limited m_k is raised by it;
elsewhere all prices are shrunk by n_k / (n_k + v_k), n_k the least net cost of a pattern of bin k, as then

    t (sum u a - m_k) <= t (c_p + v_k) <= t c_p (1 + v_k / n_k) = c_p.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from sawbill.cutting.linear.columns import Duals, fine_scale, fullest, gain, price
from sawbill.cutting.linear.knapsack import NEVER, Filling, Knapsack
from sawbill.cutting.problem import Problem


def feasible_duals(problem: Problem, duals: Duals, fillings: Mapping[int, Filling]) -> tuple[Duals, Fraction]:
    """Prices that satisfy the inequality once all are shrunk by the factor returned with them."""
    bins, shrink = list(duals.bins), Fraction(1)
    for bin_index, filling in fillings.items():
        excess = gain(problem, duals, bin_index, filling)
        if filling.value <= NEVER // 2 or excess <= 0:
            continue
        bin_ = problem.bins[bin_index]
        if bin_.available is not None:
            bins[bin_index] += excess
            continue
        least = (bin_.cost - problem.worth(bin_index, bin_.usable)) * duals.scale
        shrink = min(shrink, Fraction(least, least + excess))
    return Duals(duals.rows, tuple(bins), duals.scale), shrink


def safe_bound(problem: Problem, duals: Duals, fillings: Mapping[int, Filling]) -> int:
    """No plan costs less [minor units]; fillings must be the best at these prices for the whole demand."""
    sound, shrink = feasible_duals(problem, duals, fillings)
    total = sum(u * row.demand for u, row in zip(sound.rows, problem.rows, strict=True))
    total -= sum(m * (bin_.available or 0) for m, bin_ in zip(sound.bins, problem.bins, strict=True))
    exact = shrink * Fraction(total, sound.scale) / problem.step
    return max(0, -(-exact.numerator // exact.denominator)) * problem.step


def sound_duals(problem: Problem, fillers: Sequence[Knapsack], duals: Duals) -> Duals:
    """Prices near the given ones that satisfy the inequality as they are, in whole numbers."""
    while True:
        fillings = price(problem, fillers, duals, problem.demand)
        sound, shrink = feasible_duals(problem, duals, fillings)
        if sound == duals and shrink == 1:
            return duals
        rows = tuple(u * shrink.numerator // shrink.denominator for u in sound.rows)
        bins = tuple(-(-m * shrink.numerator // shrink.denominator) for m in sound.bins)
        duals = Duals(rows, bins, duals.scale)


def length_duals(problem: Problem) -> Duals:
    """A piece is worth its length, as boards cost by length at least: near where boards can nearly be filled."""
    rates = [Fraction(bin_.cost, bin_.room) for bin_ in problem.bins if bin_.cost and bin_.room]
    rate, dearest = min(rates, default=Fraction(0)), max(bin_.cost for bin_ in problem.bins) + 1
    scale = fine_scale(float(dearest), fullest(problem), dearest)
    rows = tuple(int((row.length + problem.kerf) * rate * scale) // problem.unit for row in problem.rows)
    return Duals(rows, (0,) * len(problem.bins), scale)


def length_bound(problem: Problem, fillers: Sequence[Knapsack]) -> int:
    """The bound at these prices: at once."""
    duals = length_duals(problem)
    return safe_bound(problem, duals, price(problem, fillers, duals, problem.demand))
