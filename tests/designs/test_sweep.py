"""The second opinion is itself held against counting every unit cell."""

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.designs.sweep import maximal_free, overlaps

SPAN = st.tuples(st.integers(0, 6), st.integers(1, 4)).map(lambda start: (start[0], start[0] + start[1]))


def test_two_boxes_that_touch_share_nothing_and_a_nanometre_more_is_an_overlap() -> None:
    unit = ((0, 10), (0, 10), (0, 10))
    assert overlaps({"a": unit, "b": ((10, 20), (0, 10), (0, 10))}) == set()
    assert overlaps({"b": unit, "a": ((9, 20), (9, 19), (9, 19))}) == {("a", "b")}


@settings(max_examples=100)
@given(st.lists(st.tuples(SPAN, SPAN, SPAN), max_size=5))
def test_overlaps_are_those_that_counting_unit_cells_finds(boxes: list[tuple[tuple[int, int], ...]]) -> None:
    cells = [{(x, y, z) for x in range(*a) for y in range(*b) for z in range(*c)} for a, b, c in boxes]
    expected = {(f"{i}", f"{j}") for j in range(len(boxes)) for i in range(j) if cells[i] & cells[j]}
    assert overlaps({f"{i}": box for i, box in enumerate(boxes)}) == expected  # type: ignore[misc]


def test_a_board_across_a_window_leaves_one_opening_above_and_one_below() -> None:
    assert maximal_free([((-5, 105), (10, 20))], ((0, 100), (0, 50))) == {((0, 100), (0, 10)), ((0, 100), (20, 50))}
    assert maximal_free([], ((0, 100), (0, 50))) == {((0, 100), (0, 50))}
    assert maximal_free([((0, 100), (0, 50))], ((0, 100), (0, 50))) == set()


@settings(max_examples=60)
@given(st.lists(st.tuples(SPAN, SPAN), max_size=4))
def test_free_rectangles_are_those_that_counting_unit_cells_finds(solid: list[tuple[tuple[int, int], ...]]) -> None:
    taken = {(x, y) for u, v in solid for x in range(*u) for y in range(*v)}
    free = {
        ((a, b), (c, d))
        for a in range(7) for b in range(a + 1, 8) for c in range(7) for d in range(c + 1, 8)
        if not any((x, y) in taken for x in range(a, b) for y in range(c, d))
    }  # fmt: skip
    grown = {
        ((a, b), (c, d)) for (a, b), (c, d) in free
        if not free & {((a - 1, b), (c, d)), ((a, b + 1), (c, d)), ((a, b), (c - 1, d)), ((a, b), (c, d + 1))}
    }  # fmt: skip
    assert maximal_free(solid, ((0, 7), (0, 7))) == grown  # type: ignore[arg-type]
