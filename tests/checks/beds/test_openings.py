"""Openings in a wall: the maximal free rectangles, against an independent sweep, and the outline of its tops."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from tests.designs.sweep import maximal_free

from sawbill.checks.beds.openings import Rect, Stretch, not_above, openings, skyline

WINDOW = Rect(0, 0, 20, 12)
SPANS = st.tuples(st.integers(-3, 22), st.integers(-3, 22)).filter(lambda pair: pair[0] < pair[1])
BLOCKS = st.lists(st.builds(lambda x, y: Rect(x[0], y[0], x[1], y[1]), SPANS, SPANS), max_size=7)


def test_between_two_boards_there_is_one_opening_as_wide_as_their_distance() -> None:
    (found,) = openings(Rect(0, 0, 100, 30), [Rect(0, 0, 100, 10), Rect(0, 17, 100, 30)])
    assert (found, found.gap) == (Rect(0, 10, 100, 17), 7)


def test_boards_that_touch_leave_none() -> None:
    assert openings(Rect(0, 0, 100, 30), [Rect(0, 0, 100, 10), Rect(0, 10, 100, 30)]) == []


def test_a_window_without_width_or_height_has_none() -> None:
    assert openings(Rect(0, 0, 0, 30), []) == openings(Rect(0, 0, 100, 0), [Rect(0, 0, 10, 10)]) == []


@given(BLOCKS)
def test_a_second_opinion_finds_the_same_openings(blocks: list[Rect]) -> None:
    found = {(each.left, each.right, each.bottom, each.top) for each in openings(WINDOW, blocks)}
    solid = [((each.left, each.right), (each.bottom, each.top)) for each in blocks]
    theirs = maximal_free(solid, ((WINDOW.left, WINDOW.right), (WINDOW.bottom, WINDOW.top)))
    assert found == {(*across, *up) for across, up in theirs}


@given(BLOCKS, st.integers(1, 12))
def test_a_block_passes_just_where_an_opening_is_as_wide_as_it(blocks: list[Rect], size: int) -> None:
    def free(left: int, bottom: int) -> bool:
        square = Rect(left, bottom, left + size, bottom + size)
        return all(each.within(square).gap == 0 for each in blocks)

    places = ((x, y) for x in range(WINDOW.right - size + 1) for y in range(WINDOW.top - size + 1))
    assert any(free(*place) for place in places) == any(each.gap >= size for each in openings(WINDOW, blocks))


@given(BLOCKS)
def test_an_outline_is_as_high_as_the_highest_block_everywhere(blocks: list[Rect]) -> None:
    outline = skyline(0, 20, blocks, 0)
    assert [each.start for each in outline[1:]] == [each.end for each in outline[:-1]]
    for each in outline:
        for at in range(each.start, each.end):
            tops = [block.top for block in blocks if block.left <= at < block.right]
            assert each.top == max([0, *tops])


def test_what_lies_low_is_joined_into_stretches() -> None:
    outline = [Stretch(0, 5, 9), Stretch(5, 7, 2), Stretch(7, 8, 4), Stretch(8, 20, 9)]
    assert not_above(outline, 4) == [Stretch(5, 8, 4)]
    assert not_above(outline, 1) == []
