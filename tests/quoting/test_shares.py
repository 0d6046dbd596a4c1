"""Shares: what each line bears, by the stated rule, to the last minor unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.quoting.shares import Share, shares

Raw = dict[str, Any]
Make = Callable[[PriceBook, Raw], Quote]
GROUPS = ("lumber", "hardware", "supplies", "trips", "tax", "total")


def parts(*rows: tuple[str, int], quantity: int = 1, hardware: int = 0) -> Raw:
    """A line of 2x4s by length and count, and of so many washers."""
    line: Raw = {"parts": [{"section": "2x4", "length": length, "quantity": n} for length, n in rows]}
    if hardware:
        line["hardware"] = [{"item": "washer", "size": "3/8 in", "quantity": hardware}]
    return {**line, "quantity": quantity}


@pytest.fixture
def book(tiny_book: Callable[..., PriceBook]) -> PriceBook:
    """A 2x4 of 100 in at 9.00, washers in tens at 1.00; no kerf; a trip of 3.00; 10 % tax on top."""
    shop = {"kerf": "0 in", "end_trim": "0 in", "rounding_step": "1/16 in", "keep_offcut": "12 in", "spare_boards": 0}
    washers = [{"item": "washer", "size": "3/8 in", "pack": 10, "price": "1.00"}]
    yard = [{"name": "Yard", "trip": "3.00"}]
    return tiny_book([{"length": "100 in", "price": "9.00"}], washers, shop=shop, suppliers=yard)


def borne(found: tuple[Share, ...], group: str) -> list[int]:
    return [getattr(share, group) for share in found]


def test_a_board_is_borne_by_the_lengths_taken_up_on_it_and_its_leftover_with_them(
    book: PriceBook, quote: Make
) -> None:
    """40 in and 20 in on one board of 100 in: two thirds and one third of 9.00, of trip and tax too."""
    found = shares(quote(book, {"lines": [parts(("40 in", 1)), parts(("20 in", 1))]}))
    assert borne(found, "lumber") == [600, 300]
    assert borne(found, "trips") == [200, 100]
    assert borne(found, "tax") == [60, 30]
    assert borne(found, "total") == [860, 430]


def test_the_saws_width_of_each_cut_is_borne_with_it(book: PriceBook, quote: Make) -> None:
    """With 1/4 in to each cut, one of 39-3/4 in takes up 40 in, and two of 9-3/4 in take up 20 in."""
    lines = [parts(("39 3/4 in", 1)), parts(("9 3/4 in", 2))]
    assert borne(shares(quote(book, {"lines": lines, "shop": {"kerf": "1/4 in"}})), "lumber") == [600, 300]


def test_a_line_bears_nothing_of_boards_that_it_takes_nothing_from(book: PriceBook, quote: Make) -> None:
    """80 in fills its own board; the other is borne by 50 in and 25 in, two to one."""
    lines = [parts(("80 in", 1)), parts(("50 in", 1)), parts(("25 in", 1))]
    assert borne(shares(quote(book, {"lines": lines})), "lumber") == [900, 600, 300]


def test_packs_are_borne_by_the_pieces_used(book: PriceBook, quote: Make) -> None:
    """Two packs of ten for 9 and 3 washers: 1.50 and 0.50."""
    found = shares(quote(book, {"lines": [parts(hardware=9), parts(hardware=1, quantity=3)]}))
    assert borne(found, "hardware") == [150, 50]
    assert borne(found, "lumber") == [0, 0]


def test_what_rounding_leaves_goes_to_the_lines_it_took_most_from(book: PriceBook, quote: Make) -> None:
    """1.00 over seven equal lines is 14 each and two of 15; the trip of 3.00 is 42 6/7 each, so six of 43."""
    found = shares(quote(book, {"lines": [parts(hardware=1)] * 7}))
    assert borne(found, "hardware") == [15, 15, 14, 14, 14, 14, 14]
    assert borne(found, "trips") == [43, 43, 43, 43, 43, 43, 42]


def test_one_of_a_batch_bears_its_part_and_what_is_left_is_told(book: PriceBook, quote: Make) -> None:
    (share,) = shares(quote(book, {"lines": [parts(("30 in", 1), quantity=7)]}))
    assert share.total == 3 * 900 + 300 + 270
    assert (share.each, share.remainder) == (467, 1)


def test_boards_on_hand_cost_no_line_anything_and_spare_ones_are_borne_by_all_that_is_cut(
    book: PriceBook, quote: Make
) -> None:
    own = [{"section": "2x4", "length": "60 in", "quantity": 1}]
    lines = [parts(("40 in", 1)), parts(("20 in", 1))]
    free = quote(book, {"lines": lines, "on_hand": own})
    assert borne(shares(free), "total") == [0, 0]
    spare = quote(book, {"lines": lines, "on_hand": own, "shop": {"spare_boards": 1}})
    assert borne(shares(spare), "lumber") == [600, 300]


def test_a_line_alone_bears_the_totals(samples: Mapping[str, PriceBook], quote: Make) -> None:
    for book in samples.values():
        made = quote(book, {"lines": [{"design": "slatted-bed", "options": {"mattress": "twin"}, "quantity": 3}]})
        (share,) = shares(made)
        assert [getattr(share, group) for group in GROUPS] == [getattr(made.totals, group) for group in GROUPS]


LENGTHS = st.sampled_from(["10 in", "17 in", "33 in", "41 in", "60 in"])
LINES = st.lists(
    st.builds(
        lambda rows, quantity, washers: parts(*rows, quantity=quantity, hardware=washers),
        st.lists(st.tuples(LENGTHS, st.integers(1, 3)), min_size=1, max_size=3),
        st.integers(1, 4),
        st.integers(0, 12),
    ),
    min_size=1,
    max_size=5,
)


@settings(max_examples=40)
@given(lines=LINES, included=st.booleans(), spare=st.integers(0, 2))
def test_shares_add_up_to_every_total(
    tiny_book: Callable[..., PriceBook], quote: Make, lines: list[Raw], included: bool, spare: int
) -> None:
    washers = [{"item": "washer", "size": "3/8 in", "pack": 7, "price": "0.99", "supplier": "Other yard"}]
    book = tiny_book([{"length": "8 ft", "price": "4.37"}], washers, prices_include_tax=included)
    made = quote(book, {"lines": lines, "shop": {"spare_boards": spare}})
    found = shares(made)
    for group in GROUPS:
        assert sum(borne(found, group)) == getattr(made.totals, group)
    for share, line in zip(found, made.request.lines, strict=True):
        assert min(getattr(share, group) for group in GROUPS) >= 0
        assert share.each * line.quantity + share.remainder == share.total
        assert 0 <= share.remainder < line.quantity
