"""Layers that lie beside each other as one member: how much each takes part in bending."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.checks.members import layer_stiffnesses
from sawbill.trade.frame import Part, Placement
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import section

DEEP = 120
"""Of a 45x120 on edge [mm]."""
ALONE = 45 * DEEP**3 / 12
"""b d^3 / 12 [mm4]."""


def layers(*lengths: int) -> list[Part]:
    board = section("45x120")
    return [
        Part(f"layer {n}", "beam", board, length * MM, Placement((0, n * board.thickness, 0), "x", "z"))
        for n, length in enumerate(lengths)
    ]


@given(st.integers(DEEP // 2, 20 * DEEP), st.integers(1, 4))
def test_like_layers_bend_in_full_however_short_they_are(length: int, count: int) -> None:
    """Also on either side of what a layer has to be longer than to be spread over."""
    assert sum(layer_stiffnesses(layers(*[length] * count))) == pytest.approx(count * ALONE)


@given(st.integers(2 * DEEP + 1, 20 * DEEP), st.integers(DEEP // 2, 20 * DEEP))
def test_of_unlike_layers_the_longest_bends_in_full_and_a_shorter_one_no_more(one: int, other: int) -> None:
    first, second = layer_stiffnesses(layers(one, other))
    assert max(first, second) == pytest.approx(ALONE)
    assert (first - second) * (one - other) >= 0


def test_a_filler_no_longer_than_twice_its_depth_takes_no_part() -> None:
    assert layer_stiffnesses(layers(2000, 2 * DEEP)) == [pytest.approx(ALONE), 0.0]
