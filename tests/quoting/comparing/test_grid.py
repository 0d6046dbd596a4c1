"""The grid: which rows there are, and in which order."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sawbill.quoting.comparing.grid import Entry, Grid
from sawbill.registry import designs

BED, BENCH = (designs()[name] for name in ("slatted-bed", "bench"))


def test_rows_go_by_design_then_option_by_option_then_price_book_then_quantity() -> None:
    grid = Grid([Entry("a", BED, {}), Entry("b", BED, {})], {"mattress": ["twin", "king"]}, 2, [1, 4])
    rows = [(row.label, row.options["mattress"], row.book, row.quantity) for row in grid]
    assert rows[:5] == [("a", "twin", 0, 1), ("a", "twin", 0, 4), ("a", "twin", 1, 1), ("a", "twin", 1, 4),
                        ("a", "king", 0, 1)]  # fmt: skip
    assert rows[8] == ("b", "twin", 0, 1)
    assert [row.number for row in grid] == list(range(16))


def test_an_option_that_a_design_does_not_have_is_left_out_for_it_and_its_rows_say_so() -> None:
    grid = Grid([Entry("bed", BED, {}), Entry("bench", BENCH, {})], {"mattress": ["twin", "king"]}, 1, [1])
    assert [(row.label, row.left_out, dict(row.options)) for row in grid] == [
        ("bed", (), {"mattress": "twin"}), ("bed", (), {"mattress": "king"}), ("bench", ("mattress",), {}),
    ]  # fmt: skip


def test_an_option_that_a_design_is_given_by_itself_is_not_swept_for_it() -> None:
    grid = Grid([Entry("own", BED, {"rail": "2x8"}), Entry("swept", BED, {})], {"rail": ["2x4", "2x6"]}, 1, [1])
    assert [(row.label, row.options["rail"], row.left_out) for row in grid] == [
        ("own", "2x8", ()), ("swept", "2x4", ()), ("swept", "2x6", ()),
    ]  # fmt: skip


@given(
    st.lists(st.sampled_from([BED, BENCH]), max_size=3),
    st.dictionaries(st.sampled_from(["mattress", "rail", "length", "slat"]), st.lists(st.integers(), min_size=1)),
    st.integers(0, 3),
    st.lists(st.integers(1, 9), max_size=3),
)
def test_rows_are_counted_without_being_made(entries, options, books, quantities) -> None:  # type: ignore[no-untyped-def]
    grid = Grid([Entry("x", design, {}) for design in entries], options, books, quantities)
    assert len(grid) == len(list(grid))
