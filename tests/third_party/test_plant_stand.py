"""All that the test of a design needs, and one fact of this one."""

from garden_stands.plant_stand import DESIGN

from sawbill.testing import check_design, reading
from sawbill.trade.lengths import INCH


def test_it_is_a_good_design() -> None:
    check_design(DESIGN)


def test_three_boards_with_two_gaps_are_as_deep_as_they_add_up_to() -> None:
    frame = DESIGN.frame({"board": "2x4", "gap": "1/2 in"}, reading())
    assert frame.bounds.size[1] == (3 * 7 + 2) * INCH // 2
