"""Beams against hand formulas, and against moments summed point by point."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sawbill.checks.spans import Patch, between, effect_of

INCH, LB = 25.4, 4.4482216152605


def test_a_beam_under_an_even_load() -> None:
    """60 in, 10 lb/in: M 4,500 in-lb, V 300 lb (w L2 / 8, w L / 2)."""
    effect = effect_of((0.0, 60 * INCH), [(0.0, 60 * INCH, 600 * LB)])
    assert effect.moment == pytest.approx(4500 * LB * INCH)
    assert effect.shear == pytest.approx(300 * LB)
    assert effect.reactions == pytest.approx((300 * LB, 300 * LB))


def test_a_load_spread_over_some_of_the_middle() -> None:
    """P / 4 (L - a / 2)."""
    assert between(0, 1000, [(300, 700, 100.0)])[0] == pytest.approx(100 / 4 * (1000 - 400 / 2))


def test_a_load_at_a_point() -> None:
    """P a b / L."""
    assert between(0, 1000, [(250, 250, 80.0)]) == pytest.approx((80 * 250 * 750 / 1000, 60, 20))


def test_an_end_that_reaches_out_turns_the_beam_over_its_support() -> None:
    """P a over the support, P (1 + a / L) on it; that the other end would lift is left out."""
    effect = effect_of((200.0, 1200.0), [(0.0, 0.0, 50.0)])
    assert effect.moment == pytest.approx(50 * 200)
    assert effect.reactions == pytest.approx((50 * 1.2, 0))
    mirrored = effect_of((0.0, 1000.0), [(1200.0, 1200.0, 50.0)])
    assert (mirrored.moment, mirrored.reactions) == (pytest.approx(50 * 200), pytest.approx((0, 60)))


def test_a_beam_over_two_equal_spans_bears_on_the_middle_with_a_quarter_more() -> None:
    """5/4 w L in the middle, 5/8 w L of shear beside it, w L2 / 8 over it: the three-moment equation (Clapeyron)."""
    effect = effect_of((0.0, 1000.0, 2000.0), [(0.0, 2000.0, 2000.0)])
    assert effect.reactions[1] == pytest.approx(1.25 * 1.0 * 1000)
    assert effect.shear == pytest.approx(0.625 * 1.0 * 1000)
    assert effect.moment == pytest.approx(1.0 * 1000**2 / 8)
    assert effect.reactions[0] >= 0.375 * 1000, "and on the ends with no less than they bear"


def test_each_span_of_several_is_taken_by_itself() -> None:
    effect = effect_of((0.0, 1000.0, 3000.0), [(0.0, 3000.0, 3000.0)])
    assert effect.moment == pytest.approx(1.0 * 2000**2 / 8)
    assert effect.span == 2000
    assert effect.reactions == pytest.approx((500, 1.25 * 1500, 1000))


LENGTH = 1000.0
PLACES = st.floats(0, LENGTH)
PATCHES = st.lists(
    st.builds(lambda a, b, load: (min(a, b), max(a, b), load), PLACES, PLACES, st.floats(0.1, 1000))
    | st.builds(lambda a, load: (a, a, load), PLACES, st.floats(0.1, 1000)),
    min_size=1, max_size=8,
)  # fmt: skip


@given(PATCHES)
def test_the_greatest_moment_is_found_wherever_it_is(patches: list[Patch]) -> None:
    most, left, right = between(0, LENGTH, patches)
    total = sum(load for _, _, load in patches)
    assert left + right == pytest.approx(total)

    def moment(place: float) -> float:
        turned = left * place
        for low, high, load in patches:
            if high <= place:
                turned -= load * (place - (low + high) / 2)
            elif low < place and high - low > 1e-3:
                turned -= load * (place - low) ** 2 / (2 * (high - low))
        return turned

    sampled = max(moment(LENGTH * i / 500) for i in range(501))
    assert sampled <= most * (1 + 1e-9) + 1e-6
    assert most <= sampled + total * LENGTH / 500 + 1e-6


@given(PATCHES, st.lists(PLACES, min_size=2, max_size=5, unique=True))
def test_what_the_supports_carry_is_all_there_is(patches: list[Patch], places: list[float]) -> None:
    """The lever of an end that reaches out comes on top, and for inner supports a quarter."""
    supports = sorted(places)
    assume(min(b - a for a, b in pairwise(supports)) >= 50)
    effect = effect_of(supports, patches)
    total = sum(load for _, _, load in patches)
    levers = 0.0
    for low, high, load in patches:
        for outer, inner, start, end in (
            (supports[0], supports[1], low, min(high, supports[0])),
            (supports[-1], supports[-2], max(low, supports[-1]), high),
        ):
            if end >= start and (start < supports[0] or end > supports[-1]):
                share = load * (end - start) / (high - low) if high - low > 1e-3 else load
                levers += share * abs((start + end) / 2 - outer) / abs(outer - inner)
    more = 1.25 if len(supports) > 2 else 1.0
    assert total * (1 - 1e-9) <= sum(effect.reactions)
    assert sum(effect.reactions) <= more * total + levers + 1e-6
    if len(supports) == 2:
        assert sum(effect.reactions) == pytest.approx(total + levers)
