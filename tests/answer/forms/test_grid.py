"""Columns of a sheet that tables of other columns share."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from sawbill.answer.forms.workbook.grid import NEAR, grid

WIDTHS = st.lists(st.integers(1, 40), min_size=1, max_size=9)


def test_a_column_that_could_end_where_another_ends_is_made_as_wide():
    widths, begins = grid([[10, 20], [12, 30, 5]], [True, True], 60)
    assert widths == [12, 30, 18]
    assert begins == [[0, 1, 3], [0, 1, 2, 3]]


def test_a_column_far_from_any_end_gets_one_of_its_own_and_others_take_two():
    widths, begins = grid([[10, 10], [30, 10]], [False, False], 50)
    assert widths == [10, 10, 10, 10, 10]
    assert begins == [[0, 1, 2], [0, 3, 4]]


@given(st.lists(st.tuples(WIDTHS, st.booleans()), min_size=1, max_size=6), st.integers(20, 200))
def test_no_column_is_narrower_than_it_has_to_be_nor_much_wider(tables, wide):
    widths, begins = grid([each for each, _ in tables], [spread for _, spread in tables], wide)
    assert sum(widths) >= wide and min(widths) > 0
    for (least, spread), edges in zip(tables, begins, strict=True):
        has = [sum(widths[a:b]) for a, b in pairwise(edges)]
        assert all(a >= b for a, b in zip(has, least, strict=True))
        inner = len(has) - spread
        assert all(a <= b + NEAR for a, b in zip(has[:inner], least[:inner], strict=True))
        assert not spread or edges[-1] == len(widths)
