"""Where glued parts sit: a rail by hand, and every glue-up put together again from what is told of it."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.making.gluing import Sitting, gluing
from sawbill.making.operations import glue_ups
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH

OWN_SIZE = {"mattress": "60 in x 80 in", "mattress_allowance": "0 in", "slat_clearance": "0 in", "rail": "2x6"}


def names(frame: Frame) -> dict[str, str]:
    return {part.key: part.name for part in frame.parts}


def test_the_ledger_sits_inside_its_rail_five_and_a_half_inches_from_either_end() -> None:
    """By hand: an end board of 1-1/2 and a post of 3-1/2 in stand before it, and half an inch of a bolt's tip."""
    frame = designs()["slatted-bed"].frame(OWN_SIZE, reading())
    told = next(each for each in gluing(frame, glue_ups(frame), names(frame)) if each.parts[0] == "left rail")
    assert told.rows[0] == Sitting(
        "ledger", "side rail", "right face", "head end", (INCH * 11 // 2,), "lower edge", 0
    )  # fmt: skip
    _, blocks = told.rows
    assert (blocks.part, blocks.onto, blocks.side) == ("spacer block", "ledger", "upper edge")
    assert not told.flush


def test_the_layers_of_a_post_are_flush_all_round() -> None:
    frame = designs()["slatted-bed"].frame(OWN_SIZE, reading())
    posts = [each for each in gluing(frame, glue_ups(frame), names(frame)) if "post" in each.parts[0]]
    assert len(posts) == 4 and all(each.flush for each in posts)


def side(frame: Frame, told: str) -> tuple[int, int]:
    """The axis, by its number, and the direction of a side by its name."""
    word = told.rpartition(" ")[0]
    return next(
        (i, toward)
        for i, axis in enumerate(AXES)
        for toward in (-1, 1)
        if frame.sides.name(axis, toward) == word  # type: ignore[arg-type]
    )


def sits(frame: Frame, row: Sitting, box: Box, other: Box) -> bool:
    """Whether a box lies where a row says, on another."""
    (meeting, toward), (along, _), (across, _) = (side(frame, told) for told in (row.side, row.along, row.across))
    touching = box.low[meeting] == other.high[meeting] if toward == 1 else box.high[meeting] == other.low[meeting]
    begins = box.low[along] - other.low[along] in row.places
    return touching and begins and box.low[across] - other.low[across] == row.place


@pytest.mark.parametrize("name", designs())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_every_part_of_a_glue_up_sits_where_it_is_told(name: str, data: Any) -> None:
    try:
        frame = designs()[name].frame(data.draw(written_options(designs()[name])), reading())
    except OptionFaultsError:
        return
    ups = glue_ups(frame)
    own = {part.key: part.key for part in frame.parts}
    for up, told in zip(ups, gluing(frame, ups, own), strict=True):
        assert set(told.parts) == set(up.parts)
        assert sorted(row.part for row in told.rows) == sorted(set(up.parts) - {told.parts[0]})
        for row in told.rows:
            assert sits(frame, row, frame.boxes[row.part], frame.boxes[row.onto])
            assert {row.part, row.onto} in [set(face.parts) for face in up.faces]
