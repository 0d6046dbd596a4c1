"""Classes modulo a lattice, and the shortest ways between them, against plain search."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from sawbill.cutting.corner import search as module
from sawbill.cutting.corner.lattice import Lattice, lattice
from sawbill.cutting.corner.search import cheapest
from sawbill.cutting.corner.solutions import solutions
from sawbill.cutting.corner.sums import FAR, Corner, distances


def some_lattice(size: int, seed: int) -> tuple[np.ndarray, Lattice]:
    rng = random.Random(seed)
    while True:
        basis = np.array([[rng.choice([0, 0, 1, 2, 3]) for _ in range(size)] for _ in range(size)], np.int64)
        found = lattice(basis, 5_000)
        if found is not None:
            return basis, found


@pytest.mark.parametrize("seed", range(20))
def test_vectors_share_a_class_exactly_when_they_differ_by_a_whole_combination(seed: int) -> None:
    basis, own = some_lattice(4, seed)
    rng = np.random.default_rng(seed)
    for _ in range(30):
        one = rng.integers(-20, 20, 4)
        other = one + (basis @ rng.integers(-5, 5, 4) if rng.random() < 0.5 else rng.integers(-3, 4, 4))
        same = own.classes(one[:, None])[0] == own.classes(other[:, None])[0]
        whole = not (own.adjugate @ (one - other) % own.determinant).any()
        assert same == whole


@pytest.mark.parametrize("seed", range(10))
def test_there_are_as_many_classes_as_the_determinant(seed: int) -> None:
    basis, own = some_lattice(3, seed)
    box = np.array([[a, b, c] for a in range(12) for b in range(12) for c in range(12)]).T
    assert own.determinant == round(abs(np.linalg.det(basis)))
    assert math.prod(own.orders.tolist()) == own.determinant
    assert set(own.classes(box).tolist()) <= set(range(own.determinant))


@pytest.mark.parametrize("seed", range(10))
def test_distances_are_those_of_a_plain_shortest_path(seed: int) -> None:
    _, own = some_lattice(3, seed)
    rng = np.random.default_rng(seed)
    columns, costs = rng.integers(0, 4, (3, 5)), rng.integers(1, 20, 5)
    found = distances(own, own.classes(columns), costs, 60)
    assert found is not None
    best = {0: (0, np.zeros(3, np.int64))}
    for _ in range(60):  # Bellman and Ford
        for cost, vector in list(best.values()):
            for column in range(5):
                after = vector + columns[:, column]
                klass = int(own.classes(after[:, None])[0])
                total = cost + int(costs[column])
                if total <= 60 and total < best.get(klass, (FAR, vector))[0]:
                    best[klass] = (total, after)
    for klass in range(own.determinant):
        assert found[klass] == best.get(klass, (FAR, None))[0]


def a_corner(seed: int) -> tuple[Corner, int]:
    """Some corner, and the least cost of its solutions within 12, FAR if there is none."""
    basis, own = some_lattice(3, seed)
    rng = np.random.default_rng(seed)
    columns, costs = rng.integers(0, 4, (3, 4)), rng.integers(1, 9, 4)
    target = basis @ rng.integers(0, 3, 3) + columns @ rng.integers(0, 3, 4)
    best = FAR
    for counts in np.ndindex(8, 8, 8, 8):
        spent = int(costs @ counts)
        basic = own.adjugate @ (target - columns @ counts)
        if spent <= 12 and spent < best and (basic >= 0).all() and not (basic % own.determinant).any():
            best = spent
    return Corner(own, columns, costs, target, target, np.zeros(3, bool)), best


@pytest.mark.parametrize("seed", range(15))
def test_the_search_finds_the_cheapest_of_all_solutions(seed: int) -> None:
    corner, best = a_corner(seed)
    found = cheapest(corner, 12, 10**8)
    assert found.any == (best < FAR)
    if found.any:
        assert found.least == sum(int(corner.costs[c]) * n for c, n in found.beside.items()) == best
        everything = solutions(corner, best, 10**6)
        assert everything.complete
        assert (everything.beside @ corner.costs[everything.columns]).min() == best


@pytest.mark.parametrize("limit", ["work", "room"])
@pytest.mark.parametrize("seed", range(15))
def test_a_search_that_is_cut_short_promises_no_more_than_the_cheapest_costs(
    monkeypatch: pytest.MonkeyPatch, seed: int, limit: str
) -> None:
    corner, best = a_corner(seed)
    for amount in (1, 2, 3, 5, 9, 20):
        if limit == "room":
            monkeypatch.setattr(module, "NUMBERS", amount * (6 + 2 * 3))
        found = cheapest(corner, 12, 10**8 if limit == "room" else amount)
        assert found.least <= best
        if found.any:
            assert best <= sum(int(corner.costs[c]) * n for c, n in found.beside.items())


def test_a_listing_that_is_cut_short_says_so() -> None:
    seed = next(n for n in range(15) if 0 < a_corner(n)[1] < FAR)
    corner, best = a_corner(seed)
    assert not solutions(corner, best, 1).complete
