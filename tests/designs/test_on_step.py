"""Every design places parts and holes on the marks of the shop's tape, and cuts parts as long as they are there.

Held for sections that are a whole number of steps: what others leave is in `Options.step`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.asked.lines import Line
from sawbill.buying.takeoff import take_off
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.frame import Bolted, Frame, Hung, Screwed
from sawbill.trade.lengths import INCH, MM, System
from sawbill.trade.lumber import section
from sawbill_designs.common.places import shared

TAPES: Final[tuple[tuple[System, int], ...]] = (
    ("inch", INCH // 16), ("inch", INCH // 32), ("inch", INCH // 8), ("metric", MM), ("metric", MM // 2),
    ("metric", 5 * MM),
)  # fmt: skip
OURS: Final = [name for name in designs() if designs()[name].build.__module__.startswith("sawbill_designs")]


def off_the_marks(frame: Frame, step: int) -> Iterator[str]:
    """Every corner of a part, middle of a hole and play that no mark of a tape tells."""
    for key, box in frame.boxes.items():
        yield from (f"{key} at {nm}" for nm in (*box.low, *box.high) if nm % step)
    for joint in frame.joints:
        if isinstance(joint, Bolted | Screwed):
            yield from (f"{joint.parts} at {nm}" for nm in joint.head if nm % step)
        if isinstance(joint, Hung) and joint.gap % step:
            yield f"{joint.parts} with a play of {joint.gap}"


def in_whole_steps(written: dict[str, Any], design: Design, step: int) -> dict[str, Any]:
    """The same options without the sections that are no whole number of steps."""
    named = {option.name for option in design.options if option.kind == "section"} & {*written}
    odd = {name for name in named if section(written[name]).thickness % step or section(written[name]).width % step}
    return {name: value for name, value in written.items() if name not in odd}


@pytest.mark.parametrize("name", OURS)
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_part_and_hole_is_on_the_step_and_is_cut_as_long_as_it_is(name: str, data: Any) -> None:
    design = designs()[name]
    system, step = data.draw(st.sampled_from(TAPES))
    written = in_whole_steps(data.draw(written_options(design, system)), design, step)
    try:
        frame = design.frame(written, reading(system, step))
    except OptionFaultsError:
        return
    assert not list(off_the_marks(frame, step))
    for cut in take_off([Line("it", 1, name, frame)], step).cut_list:
        for part in (frame.by_key[key] for key in cut.keys):
            assert (cut.length, cut.ripped, cut.least) == (part.length, part.ripped, part.least)


@settings(max_examples=300)
@given(st.integers(0, 400), st.integers(1, 20), st.integers(1, 16))
def test_a_room_is_shared_out_in_whole_steps_alike_from_both_ends(room: int, gaps: int, step: int) -> None:
    found = shared(room, gaps, step)
    assert (sum(found), len(found)) == (room, gaps)
    whole = [gap // step for gap in found]
    assert max(whole) - min(whole) <= 1
    assert max(found) <= -(-room // (gaps * step)) * step  # so none is wider than a widest gap in whole steps
    assert sum(gap % step > 0 for gap in found) <= 1
    if (room // step) % gaps % 2 == 0 or gaps % 2:
        assert whole == whole[::-1]
