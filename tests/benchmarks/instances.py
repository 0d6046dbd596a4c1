"""Instances for the benchmark, made anew from a seed: classical classes of the literature, and a workshop's orders.

No published file is copied. READ: the rule or its numbers were read in a published description; MEMORY: from memory.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path

from sawbill.cutting import Order, Piece, Stock

EIGHTH = 3_175_000  # 1/8 in [nm]
MM = 1_000_000
WOOD = frozenset({"wood"})


def packing(capacity: int, sizes: Iterable[int]) -> Order:
    """One stock length at price 1: the fewest boards."""
    pieces = tuple(Piece(f"p{size}", size, count, WOOD) for size, count in sorted(Counter(sizes).items()))
    return Order((Stock("board", "wood", capacity, 1),), pieces)


def falkenauer_u(n: int, rng: random.Random) -> Order:
    """Uniform sizes 20..100, capacity 150. READ (Falkenauer 1996, OR-Library)."""
    return packing(150, (rng.randint(20, 100) for _ in range(n)))


def falkenauer_t(n: int, rng: random.Random) -> Order:
    """Triplets that fill capacity 1000 exactly, so n / 3 boards. READ (range), MEMORY (two-step rule)."""
    sizes = []
    for _ in range(n // 3):
        first = rng.randint(380, 490)
        second = rng.randint(250, (1000 - first) // 2)
        sizes += [first, second, 1000 - first - second]
    return packing(1000, sizes)


def scholl_1(n: int, rng: random.Random) -> Order:
    """Capacity 100, 120 or 150, sizes from 1, 20 or 30 to 100. READ (Scholl, Klein, Juergens 1997)."""
    least = rng.choice([1, 20, 30])
    return packing(rng.choice([100, 120, 150]), (rng.randint(least, 100) for _ in range(n)))


def scholl_2(n: int, rng: random.Random) -> Order:
    """Capacity 1000, mean size 1000 / 3, 5, 7 or 9, spread 20, 50 or 90 per cent. READ."""
    mean, spread = 1000 / rng.choice([3, 5, 7, 9]), rng.choice([0.2, 0.5, 0.9])
    return packing(1000, (rng.randint(int(mean * (1 - spread)) + 1, int(mean * (1 + spread))) for _ in range(n)))


def scholl_3(n: int, rng: random.Random) -> Order:
    """Capacity 100 000, sizes 20 000..35 000. READ (capacity, n), MEMORY (sizes)."""
    return packing(100_000, (rng.randint(20_000, 35_000) for _ in range(n)))


def hard28_like(n: int, rng: random.Random) -> Order:
    """Capacity 1000, n sizes 1..800. READ (capacity, n of 160..200), MEMORY (sizes of Schoenfield's hard ones).

    Only those are hard whose sizes fill boards badly: of many the published set keeps 28, this takes what comes.
    """
    return packing(1000, (rng.randint(1, 800) for _ in range(n)))


def augmented(n: int, rng: random.Random) -> Order:
    """Capacity 2500 and n sizes in threes that fill boards exactly, as in the AI and ANI classes of Delorme, Iori and
    Martello (2016). READ (capacity, n, that boards are filled in full), MEMORY (how sizes are drawn).

    Their ANI are made of AI by a board's worth less of room; here both are what comes: no word on which a plan has.
    """
    sizes = []
    for _ in range(n // 3):
        first = rng.randint(2500 // 3, 2500 // 2)
        second = rng.randint((2500 - first) // 3, (2500 - first) // 2)
        sizes += [first, second, 2500 - first - second]
    return packing(2500, sizes)


def schwerin(n: int, rng: random.Random) -> Order:
    """Capacity 1000, sizes 150..200. READ (capacity, n), MEMORY (sizes)."""
    return packing(1000, (rng.randint(150, 200) for _ in range(n)))


def cutgen(n: int, rng: random.Random) -> Order:
    """n lengths between 1 % and 20 .. 80 % of 1000, mean demand 10, 50 or 100. MEMORY (Gau, Waescher 1995)."""
    top = rng.choice([200, 400, 600, 800])
    shares = [rng.random() for _ in range(n)]
    total = n * rng.choice([10, 50, 100])
    demand: Counter[int] = Counter()
    for share in shares:
        demand[rng.randint(10, top)] += max(1, round(share / sum(shares) * total))
    pieces = tuple(Piece(f"p{size}", size, count, WOOD) for size, count in sorted(demand.items()))
    return Order((Stock("board", "wood", 1000, 1),), pieces)


def variable_sized(n: int, rng: random.Random) -> Order:
    """n lengths 1..100 in boards of several capacities up to 150, cost = capacity. MEMORY (Belov's classes)."""
    stocks = tuple(Stock(f"s{size}", "wood", size, size) for size in sorted(rng.sample(range(70, 151, 10), 4)))
    demand: Counter[int] = Counter()
    for _ in range(n):
        demand[rng.randint(20, 70)] += rng.randint(1, 20)
    pieces = tuple(Piece(f"p{size}", size, count, WOOD) for size, count in sorted(demand.items()))
    return Order(stocks, pieces)


def workshop(n: int, rng: random.Random) -> Order:
    """n lengths from 2 to 8 stock lengths, 0.72 cents +- 15 % per 1/8 in, kerf 1/8 in, trim 1/2 in; up to thousands."""
    feet = sorted(rng.sample([6, 7, 8, 9, 10, 12, 14, 16, 18, 20], rng.randint(2, 8)))
    stocks = tuple(
        Stock(f"{f} ft", "wood", f * 96 * EIGHTH, round(f * 96 * 0.72 * rng.uniform(0.85, 1.15)), trim=4 * EIGHTH)
        for f in feet
    )
    longest, most = min(90 * 8, feet[-1] * 96 - 16), rng.choice([10, 100, 1000, 4000])
    lengths = rng.sample(range(48, longest + 1), n)
    pieces = tuple(
        Piece(f"p{length}", length * EIGHTH, round(4 * (most / 4) ** rng.random()), WOOD) for length in sorted(lengths)
    )
    return Order(stocks, pieces, kerf=EIGHTH)


def fetched(folder: Path) -> list[tuple[str, str, Order]]:
    """Instances of the literature from files that the benchmark's user has: one order a file, its folder the class.

    As they are published: the number of items, the capacity, then a size a line, with its count where there is one.
    """
    found = []
    for path in sorted(folder.rglob("*.txt")):
        numbers = [list(map(int, line.split())) for line in path.read_text().splitlines() if line.strip()]
        sizes = Counter[int]()
        for size, *count in numbers[2:]:
            sizes[size] += count[0] if count else 1
        found.append((path.parent.name, f"{path.parent.name} {path.stem}", packing(numbers[1][0], sizes.elements())))
    return found


def small(n: int, rng: random.Random) -> Order:
    """n lengths of 250 to 2000 mm out of up to six stock lengths of one section or two, some few or on hand."""
    sections = ["wood"] if rng.random() < 0.75 else ["wood", "fir"]
    stocks = [
        Stock(
            f"{section} {length}", section, length * MM, round(length * rng.uniform(0.3, 0.45)),
            rng.choice([None] * 5 + [rng.randint(1, 6)]), rng.choice([0, 0, 10 * MM]),
        )
        for section in sections
        for length in rng.sample(range(2100, 6001, 300), rng.randint(1, 6 // len(sections)))
    ]  # fmt: skip
    for number in range(rng.choice([0, 0, 0, 1, 2])):
        length = rng.randint(500, 3000)
        stocks.append(Stock(f"own {number}", rng.choice(sections), length * MM, 0, rng.randint(1, 2), 0, True))
    pieces = tuple(
        Piece(
            f"p{number}", rng.randint(250, 2000) * MM, round(10 ** rng.uniform(0, 1.6)),
            frozenset(sections if rng.random() < 0.2 else [rng.choice(sections)]),
        )
        for number in range(n)
    )  # fmt: skip
    return Order(tuple(stocks), pieces, kerf=rng.choice([0, 3 * MM, EIGHTH]))


Maker = Callable[[int, random.Random], Order]
CLASSICAL: dict[str, tuple[Maker, tuple[int, ...]]] = {
    "Falkenauer U": (falkenauer_u, (120, 250, 500, 1000)),
    "Falkenauer T": (falkenauer_t, (60, 120, 249, 501)),
    "Scholl 1": (scholl_1, (50, 100, 200, 500)),
    "Scholl 2": (scholl_2, (50, 100, 200, 500)),
    "Scholl 3": (scholl_3, (200,)),
    "Hard28-like": (hard28_like, (160, 180, 200)),
    "augmented": (augmented, (201,)),
    "Schwerin": (schwerin, (100, 120)),
    "CUTGEN": (cutgen, (10, 20, 40)),
    "variable-sized": (variable_sized, (10, 20, 40)),
}
SMALL: dict[str, tuple[Maker, tuple[int, ...]]] = {"small": (small, tuple(range(1, 7)))}
WORKSHOP: dict[str, tuple[Maker, tuple[int, ...]]] = {"workshop": (workshop, tuple(range(4, 16)))}


def made(classes: dict[str, tuple[Maker, tuple[int, ...]]], each: int, seed: int = 1) -> list[tuple[str, str, Order]]:
    """So many instances of every class and size, as (class, name, order)."""
    return [
        (name, f"{name} {size}/{number}", maker(size, random.Random(f"{seed} {name} {size} {number}")))
        for name, (maker, sizes) in classes.items()
        for size in sizes
        for number in range(each)
    ]
