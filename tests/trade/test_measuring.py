"""Setting a frame to a step: what touches still touches, nothing overlaps, and all of it lies on the step."""

from itertools import combinations, pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.estimating.takeoff import Line, take_off
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM, STEP
from sawbill.trade.lumber import section
from sawbill.trade.measuring import nearest, on_step


def stack(*starts: int) -> Frame:
    """Boards of 45 mm, each from one start [0.1 mm] to the next."""
    parts = []
    for start, end in pairwise(starts):
        place = Placement((start * MM // 10, 0, 0), "x", "y")
        parts.append(Part(f"board {start}", "board", section("45x95"), (end - start) * MM // 10, place))
    return Frame(tuple(parts))


def test_every_end_goes_to_the_nearest_mark_and_of_two_to_the_greater() -> None:
    """By hand: 12.4 mm is 12, 12.5 and 12.6 are 13."""
    assert [nearest(nm * MM // 10, MM) // MM for nm in (124, 125, 126, -125)] == [12, 13, 13, -12]
    frame = on_step(stack(0, 1004, 2005, 2996), MM)
    assert [part.box.span("x") for part in frame.parts] == [(0, 100 * MM), (100 * MM, 201 * MM), (201 * MM, 300 * MM)]


def test_sections_that_are_no_whole_number_of_steps_are_left_alone() -> None:
    frame = stack(0, 1004)
    assert on_step(frame, INCH // 16) is frame


@settings(max_examples=100)
@given(st.lists(st.integers(0, 5000), min_size=2, max_size=9, unique=True).map(sorted))
def test_boards_end_to_end_stay_so_and_none_overlaps_another(starts: list[int]) -> None:
    frame = on_step(stack(*starts), MM)
    boxes = [part.box for part in frame.parts]
    assert all(one.high[0] == other.low[0] for one, other in pairwise(boxes))
    assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))


@pytest.mark.parametrize("name", designs())
@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_frame_and_cut_list_agree_to_the_step(name: str, data: Any) -> None:
    """Where sections are whole steps, every part is cut to the length it has in its place; so a drawing may say it."""
    system = data.draw(st.sampled_from(["inch", "metric"]))
    try:
        frame = designs()[name].frame(data.draw(written_options(designs()[name], system)), reading(system))
    except OptionFaultsError:
        return
    step = STEP[system]
    if any(size % step for part in frame.parts for size in (part.section.thickness, part.section.width)):
        return
    cuts = take_off([Line("bed", 1, name, frame)], step).cut_list
    assert {key: cut.length for cut in cuts for key in cut.keys} == {part.key: part.length for part in frame.parts}
    corners = [nm for box in frame.boxes.values() for nm in (*box.low, *box.high)]
    heads = [nm for joint in frame.joints if isinstance(joint, Bolted | Screwed) for nm in joint.head]
    assert not [nm for nm in (*corners, *heads) if nm % step]
