"""Ways to share a tied row among sections: by definition, every one that no other makes needless."""

from __future__ import annotations

from itertools import product
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
    assert len(least_amounts([range(27)] * 4, 26)) == 3654
