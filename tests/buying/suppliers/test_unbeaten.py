"""Ways that none cheaper beats: found by a sorted border, and by holding each against each."""

from __future__ import annotations

import numpy as np
import pytest

from sawbill.buying.suppliers.unbeaten import BLOCK, unbeaten


@pytest.mark.parametrize("sellers", [1, 2, 3])
def test_a_way_is_kept_where_each_cheaper_one_spends_less_somewhere(sellers: int) -> None:
    chance = np.random.default_rng(sellers)
    for _ in range(200):
        goods = chance.integers(0, 6, (int(chance.integers(1, 30)), sellers))
        kept = [n for n in range(len(goods)) if not any((goods[m] >= goods[n]).all() for m in range(n))]
        assert unbeaten(goods).tolist() == kept


@pytest.mark.parametrize("number", [BLOCK - 1, BLOCK, BLOCK + 1, 3 * BLOCK])
def test_ways_are_kept_alike_wherever_a_block_of_them_ends(number: int) -> None:
    goods = np.random.default_rng(number).integers(0, 30, (number, 3))
    kept = [n for n in range(number) if not any((goods[m] >= goods[n]).all() for m in range(n))]
    assert unbeaten(goods).tolist() == kept
