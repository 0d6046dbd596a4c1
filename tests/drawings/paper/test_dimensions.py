"""Running dimensions keep apart, and are as near to their places as they can be."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from sawbill.drawings.paper.dimensions import spread

PLACES = st.lists(st.integers(0, 400), min_size=1, max_size=12).map(sorted)


@given(PLACES)
def test_they_stay_in_order_and_a_pitch_apart(places: list[int]) -> None:
    found = spread([float(each) for each in places], 3.5)
    assert all(b - a >= 3.5 - 1e-9 for a, b in pairwise(found))


@given(PLACES)
def test_nobody_moves_who_has_room(places: list[int]) -> None:
    apart = [10.0 * i for i, _ in enumerate(places)]
    assert spread(apart, 3.5) == apart


@given(st.lists(st.integers(0, 40), min_size=2, max_size=6).map(sorted))
def test_no_small_shift_of_any_group_brings_them_nearer(places: list[int]) -> None:
    """Least squares by trial: moving any run of neighbours a little either way is worse or breaks the pitch."""
    wanted = [float(each) for each in places]
    found = spread(wanted, 3.5)

    def far(at: list[float]) -> float:
        return sum((a - b) ** 2 for a, b in zip(at, wanted, strict=True))

    for i in range(len(found)):
        for j in range(i + 1, len(found) + 1):
            for by in (-0.01, 0.01):
                moved = [each + by if i <= k < j else each for k, each in enumerate(found)]
                if all(b - a >= 3.5 - 1e-9 for a, b in pairwise(moved)):
                    assert far(moved) >= far(found) - 1e-9
