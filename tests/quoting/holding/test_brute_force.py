"""The cheapest boards that hold against every way to choose the wood of every kind of part.

The model shares nothing with the search: it lists all sets of woods for all kinds, asks the checks of each, and has
the planner buy every one that passes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain, combinations, product
from random import Random
from typing import Any

import pytest

from sawbill.asked.lines import Line
from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import cheapest_sourcing, until
from sawbill.buying.takeoff import TakeOff, letters, take_off
from sawbill.checks.finding import Status
from sawbill.checks.strength import Loaded
from sawbill.checks.together import check_frame
from sawbill.cutting import EMERGENCY
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import Holding, held
from sawbill.trade.frame import Bolted, Frame, Part, Placement, Resting, Surface
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import Material, find_grade, find_species, section

Build = Callable[..., PriceBook]
Ask = Callable[[PriceBook, dict[str, Any]], Request]
WOOD = section("2x4")
WOODS = (("SPF", "Stud"), ("SPF", "No.2"), ("Douglas Fir-Larch", "No.2"), ("SPF", "2 Common"))
"""Weak, better, strong and heavy, and one of which no table tells the strength."""
KINDS = ("board", "rail", "leg", "brace")


def seat(length: int, boards: int) -> Frame:
    """Boards across two rails, each bolted to two legs; a brace of the rails' length lies below and bears nothing.

    It is called a rail too, so that the cut list has all three in one line.
    """
    rails = [Part(f"rail {n}", "rail", WOOD, length, Placement((0, y, 14 * INCH), "x", "z"))
             for n, y in ((1, 0), (2, 18 * INCH))]  # fmt: skip
    legs, bolts = [], []
    for n, y, rail in ((1, 3 * INCH // 2, 0), (2, 33 * INCH // 2, 1)):
        for m, x in ((1, 0), (2, length - WOOD.width)):
            leg = Part(f"leg {n}{m}", "leg", WOOD, 35 * INCH // 2, Placement((x, y, 0), "z", "x"))
            legs.append(leg)
            head, toward = (0, 1) if rail == 0 else (39 * INCH // 2, -1)
            bolts += [
                Bolted((rails[rail].key, leg.key), "3/8 in", (x + WOOD.width // 2, head, (15 + up) * INCH), "y", toward)
                for up in (0, 1)
            ]
    pitch = (length - WOOD.width) // (boards - 1)
    slats = [Part(f"board {n}", "board", WOOD, 39 * INCH // 2, Placement((n * pitch, 0, 35 * INCH // 2), "y", "x"))
             for n in range(boards)]  # fmt: skip
    brace = Part("brace", "rail", WOOD, length, Placement((0, 8 * INCH, 0), "x", "y"))
    rests = [Resting((slat.key, rail.key)) for slat in slats for rail in rails]
    surface = Surface("seat", "seat", tuple(slat.key for slat in slats))
    return Frame((*rails, *legs, *slats, brace), (*rests, *bolts), surfaces=(surface,))


def kind_of(key: str) -> str:
    return key.split()[0]


def book_of(build: Build, random: Random, woods: Sequence[tuple[str, str]]) -> PriceBook:
    """Boards of two lengths in each wood, better ones dearer as a rule."""
    rows = [
        {"species": species, "grade": grade, "length": f"{length} in", "supplier": supplier,
         "price": f"{(length * 4 + 40 * n + random.randrange(60)) / 100:.2f}"}
        for n, (species, grade) in enumerate(woods) for length in random.sample((72, 96, 120, 144), 2)
        for supplier in [random.choice(("Yard", "Other yard"))]
    ]  # fmt: skip
    return build_with_bolts(build, rows, random.choice((0, 2, 5)))


def build_with_bolts(build: Build, rows: Sequence[Mapping[str, str]], trip: int = 0) -> PriceBook:
    """A book of boards, and of bolts that fit."""
    trips = [{"name": "Yard", "trip": "1.00"}, {"name": "Other yard", "trip": str(trip)}]
    lengths = [("tee nut", None), ("washer", None), *(("hex bolt", f"{n} in") for n in ("3", "3 1/4", "3 1/2", "4"))]
    bolts = [
        {"item": item, "size": "3/8 in", "price": "0.10", **({"length": length} if length else {})}
        for item, length in lengths
    ]
    return build(rows, bolts, suppliers=trips)


def subsets(woods: Sequence[Material]) -> Iterator[tuple[Material, ...]]:
    return chain.from_iterable(combinations(woods, n) for n in range(1, len(woods) + 1))


def bad(frame: Frame, request: Request, loaded: Loaded, by: Mapping[str, tuple[Material, ...]]) -> frozenset[str]:
    """What fails or is not known of a frame in so much wood for each kind."""
    materials = {key: by[kind_of(key)] for key in frame.by_key}
    found = check_frame(frame, request.site, materials, loaded)
    return frozenset(each.rule for each in found if each.status in (Status.FAIL, Status.UNRECKONED))


def split(off: TakeOff, by: Mapping[str, tuple[Material, ...]]) -> TakeOff:
    """A line for each kind, which may be cut from its woods alone."""
    lines = []
    for cut in off.cut_list:
        for kind in dict.fromkeys(map(kind_of, cut.keys)):
            keys = tuple(key for key in cut.keys if kind_of(key) == kind)
            lines.append(replace(cut, keys=keys, quantity=len(keys), may_be=by[kind]))
    return replace(off, cut_list=tuple(replace(cut, id=letters(n)) for n, cut in enumerate(lines)))


def least(
    frame: Frame, request: Request, book: PriceBook, woods: Sequence[Material]
) -> tuple[Fraction | None, frozenset[str]]:
    """The least cost of all choices in which nothing fails but what does in all, None if there is none; what does.

    Of wood of which nothing is known no rule fails: what does in all that are known does in all.
    """
    loaded, off = Loaded(frame, request.site), take_off(request.lines, request.shop.rounding_step)
    every = [dict(zip(KINDS, chosen, strict=True)) for chosen in product(*[list(subsets(woods))] * len(KINDS))]
    fails = [bad(frame, request, loaded, by) for by in every]
    known = [rules for rules in fails if "unknown-strength" not in rules]
    always = frozenset.intersection(*known or fails)
    passing = [by for by, rules in zip(every, fails, strict=True) if rules <= always]
    largest = [by for by in passing if not any(_within(by, other) for other in passing)]
    costs = []
    for by in largest:
        try:
            costs.append(cheapest_sourcing(split(off, by), request, book, until(EMERGENCY)).cost)
        except NothingFitsError:
            continue
    return min(costs, default=None), always


def _within(by: Mapping[str, tuple[Material, ...]], other: Mapping[str, tuple[Material, ...]]) -> bool:
    return by != other and all(set(by[kind]) <= set(other[kind]) for kind in KINDS)


def asking(ask: Ask, book: PriceBook, frame: Frame, user: int) -> Request:
    """A request for a frame, used by people of a mass [g]."""
    parts = {"lines": [{"parts": [{"section": "2x4", "length": "9 in"}]}], "site": {"heaviest_user": f"{user} g"}}
    return replace(ask(book, parts), lines=(Line("seat", 1, None, frame),))


def held_at(request: Request, book: PriceBook, woods: Sequence[Material]) -> tuple[Holding, Fraction | None]:
    """What the search buys, held against brute force; what the best of all choices costs, if any passes."""
    holding = held(take_off(request.lines, request.shop.rounding_step), request, book, until(EMERGENCY))
    frame = request.lines[0].frame
    assert frame is not None
    best, always = least(frame, request, book, woods)
    unmended = {each.rule for _, each in holding.unmended}
    assert best is None or unmended <= always, (unmended, always)
    assert holding.bought.sourcing.gap == 0
    return holding, best


def judged(
    build: Build, ask: Ask, number: int, chosen: Sequence[tuple[str, str]]
) -> tuple[Fraction, Fraction | None, Fraction]:
    """What the search pays, what the best of all choices costs, and what the cheapest boards of all do."""
    random = Random(number)
    book = book_of(build, random, chosen)
    frame = seat(random.choice((44, 52, 60, 66)) * INCH, random.choice((6, 8, 10)))
    request = asking(ask, book, frame, random.randrange(60, 115) * 1000)
    holding, best = held_at(request, book, [known(wood) for wood in chosen])
    return holding.bought.sourcing.cost, best, holding.free.sourcing.cost


def known(wood: tuple[str, str]) -> Material:
    return Material(WOOD, find_species(wood[0]), find_grade(wood[1]), treated=False)


@pytest.mark.parametrize("number", range(6))
def test_the_purchase_costs_what_the_best_of_all_choices_does(tiny_book: Build, ask: Ask, number: int) -> None:
    woods = Random(number).sample(WOODS, 2)
    paid, best, _ = judged(tiny_book, ask, number, woods)
    assert best is None or paid == best


def test_heavier_wood_that_breaks_what_carries_it_is_not_bought(tiny_book: Build, ask: Ask) -> None:
    """Just so much weight that rails hold under boards of spruce and not under heavier ones of Douglas fir.

    Each kind holds by itself then, in either wood: only the whole purchase fails.
    """
    light, heavy = ("SPF", "Stud"), ("Douglas Fir-Larch", "Stud")
    frame, rows = seat(66 * INCH, 10), []
    for wood, price in ((light, "5.00"), (heavy, "4.90")):
        rows += [{"species": wood[0], "grade": wood[1], "length": f"{n} in", "price": price} for n in (72,)]
    book = build_with_bolts(tiny_book, rows)

    def bends(user: int, board: tuple[str, str]) -> bool:
        request = asking(ask, book, frame, user)
        by = dict.fromkeys(KINDS, (known(heavy),)) | {"board": (known(board),)}
        return "bending" in bad(frame, request, Loaded(frame, request.site), by)

    low, high = 40_000, 110_000
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if bends(middle, heavy) else (middle, high)
    assert bends(high, heavy) and not bends(high, light)
    holding, best = held_at(asking(ask, book, frame, high), book, [known(light), known(heavy)])
    assert any(each.rule == "bending" for _, each in holding.failed)
    assert holding.bought.sourcing.cost == best and holding.purchases > 2


if __name__ == "__main__":
    import sys
    import time

    from tests.conftest import tiny_book as fixture

    from sawbill.asked.request import read_request

    build, ask = fixture.__wrapped__(), lambda book, raw: read_request(raw, book, {})
    for number in range(*map(int, sys.argv[1:3])):
        start = time.process_time()
        chosen = Random(number).sample(WOODS, int(sys.argv[3]))
        paid, best, free = judged(build, ask, number, chosen)
        note = "none" if best is None else "same" if paid == best == free else "holds" if paid == best else "DIFFERS"
        words = [number, note, float(paid), best and float(best), float(free), round(time.process_time() - start, 1)]
        print(*words, chosen, flush=True)
