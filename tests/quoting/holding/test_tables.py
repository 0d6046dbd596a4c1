"""The boxes that woods allowed together are shared out into, against all there are."""

from __future__ import annotations

from itertools import chain, combinations, product
from random import Random

import pytest

from sawbill.quoting.holding.tables import boxes
from sawbill.trade.lumber import Material, find_grade, find_species, section

WOODS = [
    Material(section("2x4"), find_species(species), find_grade(grade))
    for species in ("SPF", "Douglas Fir-Larch") for grade in ("Stud", "No.2")
]  # fmt: skip


@pytest.mark.parametrize("number", range(20))
def test_boxes_are_the_largest_of_which_every_combination_is_allowed(number: int) -> None:
    random = Random(number)
    size = random.choice((1, 2, 2, 3))
    every = list(product(WOODS, repeat=size))
    allowed = frozenset(random.sample(every, random.randrange(1, len(every))))
    sets = [frozenset(some) for some in chain.from_iterable(combinations(WOODS, n) for n in range(1, 5))]
    fitting = [box for box in product(sets, repeat=size) if all(each in allowed for each in product(*box))]
    largest = {
        box for box in fitting
        if not any(other != box and all(a <= b for a, b in zip(box, other, strict=True)) for other in fitting)
    }  # fmt: skip
    found = boxes(allowed, size)
    assert len(found) == len(set(found)) and set(found) == largest
