"""Running dimensions keep apart, and are as near to their places as they can be."""

from itertools import pairwise
from math import inf

from hypothesis import given
from hypothesis import strategies as st

from sawbill.drawings.paper.dimensions import ANYWHERE, Room, spread

PLACES = st.lists(st.integers(0, 400), min_size=1, max_size=12).map(sorted)


@given(PLACES)
def test_they_stay_in_order_and_a_pitch_apart(places: list[int]) -> None:
    found = spread([float(each) for each in places], 3.5)
    assert all(b - a >= 3.5 - 1e-9 for a, b in pairwise(found))


@given(PLACES)
def test_nobody_moves_who_has_room(places: list[int]) -> None:
    apart = [10.0 * i for i, _ in enumerate(places)]
    assert spread(apart, 3.5) == apart


@given(
    st.lists(st.integers(0, 40), min_size=2, max_size=6).map(sorted),
    st.sampled_from([ANYWHERE, (0.0, 40.0), (5.0, 25.0), (10.0, inf), (12.0, 29.5)]),
)
def test_no_small_shift_of_any_group_brings_them_nearer(places: list[int], within: Room) -> None:
    """Least squares by trial: moving any run of neighbours a little either way is worse, or breaks pitch or bounds."""
    wanted = [float(each) for each in places]
    found = spread(wanted, 3.5, within)
    first, last = within[0] - 1e-9, within[1] + 1e-9
    assert first <= found[0]
    assert found[-1] <= last

    def far(at: list[float]) -> float:
        return sum((a - b) ** 2 for a, b in zip(at, wanted, strict=True))

    for i in range(len(found)):
        for j in range(i + 1, len(found) + 1):
            for by in (-0.01, 0.01):
                moved = [each + by if i <= k < j else each for k, each in enumerate(found)]
                if first <= moved[0] and moved[-1] <= last and all(b - a >= 3.5 - 1e-9 for a, b in pairwise(moved)):
                    assert far(moved) >= far(found) - 1e-9


def test_too_many_for_their_room_begin_at_its_start() -> None:
    assert spread([8.0, 8.0, 9.0], 3.5, (7.0, 10.0)) == [7.0, 10.5, 14.0]
