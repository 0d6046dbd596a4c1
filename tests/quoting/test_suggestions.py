"""Near misses: a little less length that a cheaper board would reward."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest

from sawbill import cutting
from sawbill.asked.lines import Line
from sawbill.buying.suppliers import Sourcing, cheapest_sourcing, search
from sawbill.buying.takeoff import take_off
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.quoting.suggestions import near_misses
from sawbill.trade.frame import Frame, Part, Placement
from sawbill.trade.lengths import INCH, MM, format_length, parse_length
from sawbill.trade.lumber import section

Raw = dict[str, Any]
Build = Callable[..., PriceBook]
Make = Callable[[PriceBook, Raw], Quote]


@pytest.fixture
def book(tiny_book: Build) -> PriceBook:
    """Boards of 10 ft at 5.00 and of 12 ft at 8.00; 1/8 in kerf, no trim; 10 % tax on top."""
    return tiny_book([{"length": "10 ft", "price": "5.00"}, {"length": "12 ft", "price": "8.00"}])


def slats(length: str, shortest: str | None = None, quantity: int = 4) -> Raw:
    part = {"name": "slat", "section": "2x4", "length": length, "quantity": quantity}
    return {"lines": [{"parts": [{**part, **({"shortest": shortest} if shortest else {})}]}]}


def test_two_slats_a_sixteenth_too_long_for_a_ten_foot_board_are_told_with_what_shorter_ones_save(
    book: PriceBook, quote: Make
) -> None:
    """Two of 60 in and a kerf of 1/8 in are 120-1/8 in; two of 59-15/16 in and a kerf are 120 in."""
    whole = quote(book, slats("60 in", "59 3/4 in"))
    (miss,) = whole.near_misses
    assert (miss.part, miss.length, miss.shorter) == ("A", 60 * INCH, parse_length("59 15/16 in"))
    shorter = quote(book, slats("59 15/16 in"))
    assert miss.saves == whole.totals.total - shorter.totals.total == 660  # two of 8.00 become two of 5.00, taxed


def test_what_is_saved_is_the_difference_of_the_totals_as_they_are_charged(tiny_book: Build, quote: Make) -> None:
    """10 % tax on 2 x 8.03 and on 2 x 5.00 is 1.606 and 1.00: charged 1.61, so 6.67 is saved, not 6.66."""
    book = tiny_book([{"length": "10 ft", "price": "5.00"}, {"length": "12 ft", "price": "8.03"}])
    whole = quote(book, slats("60 in", "59 3/4 in"))
    (miss,) = whole.near_misses
    assert miss.saves == whole.totals.total - quote(book, slats("59 15/16 in")).totals.total == 667


def test_a_length_that_must_be_kept_is_never_told(book: PriceBook, quote: Make) -> None:
    assert not quote(book, slats("60 in")).near_misses


def test_nothing_is_told_where_the_range_does_not_reach_the_length_that_would_save(
    book: PriceBook, quote: Make
) -> None:
    assert not quote(book, slats("60 1/4 in", "60 in")).near_misses


def test_nothing_is_told_where_the_shorter_length_saves_nothing(book: PriceBook, quote: Make) -> None:
    assert not quote(book, slats("60 in", "59 3/4 in", quantity=1)).near_misses


def test_of_an_order_that_is_not_proven_only_what_is_saved_for_certain_is_told(
    tiny_book: Build, quote: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With no choice of suppliers searched, the order could be as cheap with the lengths it has."""
    chance = random.Random(48)
    rows = [
        {
            "supplier": f"Yard {n}", "item_code": f"B{width}-{feet}", "section": f"2x{width}", "length": f"{feet} ft",
            "price": f"{feet - 5 + chance.randint(-9, 9) / 10:.2f}",
        }
        for n in range(4)
        for width in (4, 6, 8)
        for feet in (10, 12)
        if chance.random() < 0.7
    ]  # fmt: skip
    book = tiny_book(rows, suppliers=[{"name": f"Yard {n}", "trip": f"{n + 1}.00"} for n in range(4)])
    others = [{"name": f"rail {width}", "section": f"2x{width}", "length": "58 in", "quantity": 4} for width in (6, 8)]

    def of(length: str, shortest: str | None = None) -> Quote:
        asked = slats(length, shortest)
        asked["lines"][0]["parts"] += others
        return quote(book, asked)

    (known,) = of("60 in", "59 3/4 in").near_misses
    assert known.saves == of("60 in").totals.total - of("59 15/16 in").totals.total > 0
    monkeypatch.setattr(search, "MOST_NODES", 0)
    hasty = of("60 in", "59 3/4 in")
    assert hasty.proof.gap > 0
    assert all(0 < miss.saves <= known.saves for miss in hasty.near_misses)


def test_what_is_told_of_a_large_order_of_three_suppliers_is_true(tiny_book: Build, quote: Make) -> None:
    """45 lengths, six of them with a shortest: nothing is told that the order has as it is, or that is not had."""
    chance = random.Random(6)
    rows = [
        {
            "supplier": f"Yard {n}", "item_code": f"B{feet}", "length": f"{feet} ft",
            "price": f"{feet * chance.uniform(0.55, 0.7):.2f}",
        }
        for n in range(3)
        for feet in (8, 10, 12, 16)
    ]  # fmt: skip
    book = tiny_book(rows, suppliers=[{"name": f"Yard {n}", "trip": f"{n + 1}.00"} for n in range(3)])
    parts = [
        {"section": "2x4", "length": f"{eighths // 8} {eighths % 8}/8 in", "quantity": chance.randint(1, 6)}
        for eighths in chance.sample(range(96, 560), 45)
    ]
    ranged = [
        {**part, "shortest": f"{int(part['length'].split()[0]) - 1} in"} if n % 8 == 0 else part
        for n, part in enumerate(parts)
    ]
    plain, told = quote(book, {"lines": [{"parts": parts}]}), quote(book, {"lines": [{"parts": ranged}]})
    least = plain.totals.total - plain.proof.gap
    for miss in told.near_misses:
        cut = next(n for n, line in enumerate(told.take_off.cut_list) if line.id == miss.part)
        shorter = [*parts]
        shorter[cut] = {**parts[cut], "length": format_length(miss.shorter, "inch", step=INCH // 16)}
        had = quote(book, {"lines": [{"parts": shorter}]}).totals.total
        assert had + miss.saves <= max(least, told.totals.total - told.proof.gap)


def test_nothing_is_told_that_would_hold_less_or_be_known_less(book: PriceBook, quote: Make) -> None:
    made = quote(book, slats("60 in", "59 3/4 in"))
    end = cutting.until(cutting.EMERGENCY)
    bought = cheapest_sourcing(made.take_off, made.request, book, end)
    tried: list[bool] = []

    def near(good: bool) -> int:
        def as_good(_: Sourcing) -> bool:
            tried.append(good)
            return good

        return len(near_misses(made.take_off, made.request, book, bought, as_good, end)[0])

    assert (near(good=True), near(good=False), tried) == (1, 0, [True, False])


def test_the_shortest_length_is_brought_up_to_the_shops_step_and_the_strictest_of_like_parts_holds() -> None:
    def slat(key: str, y: int, least: int | None) -> Part:
        place = Placement((0, y, 0), "x", "y")
        return Part(key, "slat", section("2x4"), 60 * INCH, place, rounding="down", least=least)

    def least(*each: int | None) -> int | None:
        parts = tuple(slat(f"slat {n}", n * 100 * MM, shortest) for n, shortest in enumerate(each))
        (cut,) = take_off([Line("bed", 1, "bed", Frame(parts))], INCH // 16).cut_list
        return cut.least

    assert least(59 * INCH + 1) == 59 * INCH + INCH // 16
    assert least(58 * INCH, 59 * INCH) == 59 * INCH
    assert least(58 * INCH, None) is None


def test_a_bed_from_the_sample_book_tells_only_what_a_quote_of_its_own_bears_out(inch: PriceBook, quote: Make) -> None:
    """A slat may be 1/4 in shorter and lies on both ledgers still."""
    made = quote(inch, {"lines": [{"design": "slatted-bed", "options": {"mattress": "king"}}]})
    assert all(0 < miss.saves < made.totals.total and miss.shorter < miss.length for miss in made.near_misses)
