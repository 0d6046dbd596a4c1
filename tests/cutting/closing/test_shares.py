"""Ways to share a tied row among sections: by definition, every one that no other makes needless."""

from __future__ import annotations

from itertools import islice, product
from operator import le
from random import Random

from sawbill.cutting.closing.sections import least_amounts


def test_the_ways_to_share_are_those_that_no_other_makes_needless() -> None:
    for seed in range(60):
        dice = Random(seed)
        demand = dice.randint(1, 9)
        able = [
            sorted({0, *(dice.randint(0, demand) for _ in range(dice.randint(0, 4)))})
            for _ in range(dice.randint(1, 3))
        ]
        enough = [each for each in product(*able) if sum(each) >= demand]
        needed = [one for one in enough if not any(other != one and all(map(le, other, one)) for other in enough)]
        assert sorted(least_amounts(able, demand)) == sorted(needed)


def test_many_alike_parts_of_four_sections_are_shared_without_comparing_every_two_ways() -> None:
    """26 parts in 4 sections: 3,654 ways, the compositions of 26 into 4 (29 choose 3), of 19,683 that reach it."""
    assert sum(1 for _ in least_amounts([range(27)] * 4, 26)) == 3654


def test_where_the_ways_to_share_are_very_many_no_more_are_listed_than_may_be() -> None:
    """2,000 parts of nine sections, some 10^24 ways (2,008 choose 8): the first come at once, and are needed."""
    able, demand = [range(2_001)] * 9, 2_000
    first = list(islice(least_amounts(able, demand), 1_000))
    assert len(set(first)) == 1_000
    assert {sum(each) for each in first} == {demand}
