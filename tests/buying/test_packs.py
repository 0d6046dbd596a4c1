"""Whole packs: the cheapest mix, held against trying every mix."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.buying.packs import Pack, buy_packs

packs = st.builds(
    Pack,
    size=st.integers(1, 12),
    price=st.integers(1, 40),
    least=st.integers(1, 3),
    available=st.none() | st.integers(0, 4),
)


def cost(counts: tuple[int, ...], offered: list[Pack]) -> int:
    return sum(count * pack.price for count, pack in zip(counts, offered, strict=True))


def cheapest_by_trying(need: int, offered: list[Pack]) -> int | None:
    """Every mix of up to as many packs as could be of use."""
    ranges = [
        [
            0,
            *(
                k
                for k in range(p.least, max(p.least, -(-need // p.size)) + 1)
                if p.available is None or k <= p.available
            ),
        ]
        for p in offered
    ]
    costs = [
        cost(counts, offered)
        for counts in product(*ranges)
        if sum(c * p.size for c, p in zip(counts, offered, strict=True)) >= need
    ]
    return min(costs, default=None)


@given(st.integers(0, 30), st.lists(packs, max_size=3))
def test_no_mix_is_cheaper_than_the_one_chosen(need: int, offered: list[Pack]) -> None:
    counts = buy_packs(need, offered)
    least = cheapest_by_trying(need, offered)
    if counts is None:
        assert least is None
        return
    assert cost(counts, offered) == least
    assert sum(c * p.size for c, p in zip(counts, offered, strict=True)) >= need
    for count, pack in zip(counts, offered, strict=True):
        assert count == 0 or count >= pack.least
        assert pack.available is None or count <= pack.available


@given(
    st.integers(0, 3000),
    st.lists(st.builds(Pack, size=st.integers(1, 12), price=st.integers(1, 40)), min_size=1, max_size=3),
)
def test_a_large_need_costs_what_the_plain_recursion_says(need: int, offered: list[Pack]) -> None:
    best = [0]
    for n in range(1, need + 1):
        best.append(min(best[max(0, n - p.size)] + p.price for p in offered))
    counts = buy_packs(need, offered)
    assert counts is not None
    assert cost(counts, offered) == best[need]


@pytest.mark.parametrize(
    ("need", "counts"),
    [
        pytest.param(14, (1, 1), id="one pack of ten and one of five rather than three of five"),
        pytest.param(20, (0, 2), id="two packs of ten rather than four of five"),
        pytest.param(0, (0, 0), id="nothing for no need"),
    ],
)
def test_packs_of_five_and_ten(need: int, counts: tuple[int, int]) -> None:
    assert buy_packs(need, [Pack(5, 300), Pack(10, 499)]) == counts


def test_a_price_for_three_packs_is_taken_only_when_three_pay() -> None:
    dear_and_cheap = [Pack(10, 500), Pack(10, 300, least=3)]
    assert buy_packs(10, dear_and_cheap) == (1, 0)
    assert buy_packs(20, dear_and_cheap) == (0, 3)


def test_too_little_in_stock_is_said_with_none() -> None:
    assert buy_packs(21, [Pack(10, 500, available=2)]) is None
