"""What an order costs at least: never more than it costs, whatever is asked for.

`python -m tests.buying.test_least 0 2000` holds so many requests at random, from this seed on, against their purchase.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from random import Random
from typing import Any

import pytest

from sawbill.asked.request import Request, RequestFaultsError, read_request
from sawbill.buying import least, least_boards
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.least import LeastCost
from sawbill.buying.suppliers import cheapest_sourcing, total_of
from sawbill.buying.takeoff import take_off
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.registry import designs
from sawbill.trade.option import Choice, Count, Section

Build = Callable[..., PriceBook]
Ask = Callable[[PriceBook, dict[str, Any]], Request]


def asked(random: Random, book: PriceBook) -> dict[str, Any]:
    """A request at random: sections of all kinds, boards on hand, quantities, what a shop sets."""
    sections = sorted({offer.section.name for offer in book.lumber})
    design = designs()[random.choice(list(designs()))]
    options: dict[str, Any] = {}
    for each in design.options:
        if isinstance(each, Section) and random.random() < 0.5:
            options[each.name] = random.choice(sections)
        elif isinstance(each, Choice) and random.random() < 0.2:
            options[each.name] = random.choice(each.choices)
        elif isinstance(each, Count) and random.random() < 0.3:
            options[each.name] = random.randint(each.least, min(each.most, each.least + 3))
    shop = {name: value for name, value in SHOP.items() if random.random() < 0.2}
    raw: dict[str, Any] = {
        "lines": [{"design": design.name, "options": options, "quantity": random.choice((1, 1, 2, 5, 20))}],
        "shop": shop,
    }  # fmt: skip
    if random.random() < 0.3:
        raw["on_hand"] = [{"section": random.choice(sections), "length": "8 ft", "quantity": random.randint(1, 8)}]
    if random.random() < 0.2:
        raw["lumber"] = {"species": [random.choice(book.lumber).species]}
    return raw


SHOP = {"offcut_value": "30 %", "longest_board": "8 ft", "yard_cuts": True, "spare_boards": 1, "kerf": "1 mm"}


def told(seed: int) -> str:
    """What is wrong with the bound of a request; nothing if it holds."""
    random = Random(seed)
    book = Shelf(sample_folder()).get(random.choice(("sample-inch", "sample-metric")))
    raw = asked(random, book)
    try:
        request = read_request(raw, book, designs())
    except RequestFaultsError:
        return ""
    off = take_off(request.lines, request.shop.rounding_step)
    cost = LeastCost(request, book)
    least, planned = cost.of(off), cost.planned(off)
    try:
        total = total_of(cheapest_sourcing(off, request, book), book)
    except NothingFitsError:
        return ""
    sound = least is not None and planned is not None and least <= planned <= total
    return "" if sound else f"{raw}: {least}, planned {planned}, costs {total}"


@pytest.mark.parametrize("seed", range(12))
def test_the_least_is_never_above_what_it_costs(seed: int) -> None:
    assert not told(seed)


def test_it_is_what_one_board_a_pack_and_a_trip_cost(tiny_book: Build, ask: Ask) -> None:
    """By hand: two 40 in parts fit one 96 in board of 5.00; trip 2.00; a tenth of tax on the goods: 7.50."""
    book = tiny_book([{"length": "96 in", "price": "5.00"}, {"length": "48 in", "price": "4.00"}],
                     suppliers=[{"name": "Yard", "trip": "2.00"}])  # fmt: skip
    request = ask(book, {"lines": [{"parts": [{"section": "2x4", "length": "40 in", "quantity": 2}]}]})
    off = take_off(request.lines, request.shop.rounding_step)
    assert (
        LeastCost(request, book).of(off)
        == LeastCost(request, book).planned(off)
        == 750
        == total_of(cheapest_sourcing(off, request, book), book)
    )


def test_planned_it_counts_that_parts_of_unlike_lengths_do_not_fill_boards(tiny_book: Build, ask: Ask) -> None:
    """By hand: two 96 in boards of 5.00 hold the length of three 50 in parts, but each holds one of them: with a tenth
    of tax 16.50, not 11.00."""
    book = tiny_book([{"length": "96 in", "price": "5.00"}], suppliers=[{"name": "Yard"}])
    request = ask(book, {"lines": [{"parts": [{"section": "2x4", "length": "50 in", "quantity": 3}]}]})
    cost, off = LeastCost(request, book), take_off(request.lines, request.shop.rounding_step)
    assert (cost.of(off), cost.planned(off)) == (1100, 1650)
    assert total_of(cheapest_sourcing(off, request, book), book) == 1650


def test_what_no_board_is_long_enough_for_cannot_be_bought(tiny_book: Build, ask: Ask) -> None:
    book = tiny_book([{"length": "48 in", "price": "4.00"}])
    request = ask(book, {"lines": [{"parts": [{"section": "2x4", "length": "60 in", "quantity": 1}]}]})
    assert LeastCost(request, book).of(take_off(request.lines, request.shop.rounding_step)) is None


if __name__ == "__main__":
    first, number = (int(word) for word in sys.argv[1:3])
    wrong = [each for seed in range(first, first + number) if (each := told(seed))]
    print("\n".join(wrong) or f"{number} requests: the least is above no purchase")
    raise SystemExit(bool(wrong))


def lengths_of(cost: LeastCost, ask: Ask, book: PriceBook, lengths: range) -> list[int | None]:
    """What three parts of each length cost at least, planned."""
    found = list[int | None]()
    for length in lengths:
        request = ask(book, {"lines": [{"parts": [{"section": "2x4", "length": f"{length} in", "quantity": 3}]}]})
        found.append(cost.planned(take_off(request.lines, request.shop.rounding_step)))
    return found


def test_what_is_kept_for_others_is_bounded_and_changes_nothing(
    tiny_book: Build, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = tiny_book([{"length": "96 in", "price": "5.00"}], suppliers=[{"name": "Yard"}])
    cost = LeastCost(ask(book, {"lines": [{"parts": [{"section": "2x4", "length": "9 in", "quantity": 1}]}]}), book)
    all_kept = lengths_of(cost, ask, book, range(20, 60))
    monkeypatch.setattr(least, "MOST_BOARDS", 8)
    monkeypatch.setattr(least_boards, "MOST_PLANS", 4)
    assert lengths_of(cost, ask, book, range(20, 60)) == all_kept
    assert lengths_of(cost, ask, book, range(60, 90)) == [1650] * 30, "one in each board of 5.00, a tenth of tax"
    assert len(cost._known) <= 8 and len(cost._boards_for._known) <= 4


def test_what_a_clock_cut_short_is_not_kept(tiny_book: Build, ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    book = tiny_book([{"length": "96 in", "price": "5.00"}], suppliers=[{"name": "Yard"}])
    cost = LeastCost(ask(book, {"lines": [{"parts": [{"section": "2x4", "length": "9 in", "quantity": 1}]}]}), book)
    with monkeypatch.context() as late:
        late.setattr(least_boards, "until", lambda _: 0.0)
        lengths_of(cost, ask, book, range(50, 51))
    assert not cost._boards_for._known
    lengths_of(cost, ask, book, range(50, 51))
    assert cost._boards_for._known
