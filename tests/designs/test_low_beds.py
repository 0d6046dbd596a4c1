"""What all low beds keep to: nothing of a bolt stands beside who lies there."""

from __future__ import annotations

import pytest

from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.boxes import AXES
from sawbill.trade.fasteners import bolt_sizes
from sawbill.trade.frame import Bolted, Frame
from sawbill.trade.lengths import MM, System

ROOM = 10 * MM
"""How far the ends of bolts stay from a mattress at least (common practice, no source)."""
HEAD = 10 * MM
"""No head of a bolt of these sizes is higher (ISO 4014: 7.5 mm of an M12)."""


def ends_of(frame: Frame, bolt: Bolted) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """The boxes around what a bolt shows outside of the wood: its head, and its tip with nut and washer [nm]."""
    i, wide = AXES.index(bolt.axis), bolt_sizes()[bolt.size].large_washer_diameter // 2
    far = bolt.head[i] + bolt.toward * frame.grip(bolt)
    tip = bolt.head[i] + bolt.toward * frame.bolt_length(bolt)
    found = []
    for one, other in ((bolt.head[i] - bolt.toward * HEAD, bolt.head[i]), (far, tip)):
        low, high = [at - wide for at in bolt.head], [at + wide for at in bolt.head]
        low[i], high[i] = min(one, other), max(one, other)
        found.append((tuple(low), tuple(high)))
    return found


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("option", ["", "in_halves", "headboard", "footboard"])
@pytest.mark.parametrize("design", ["slatted-bed", "low-platform", "daybed"])
def test_no_head_nut_or_tip_of_a_bolt_stands_beside_a_sleeper(design: str, option: str, system: System) -> None:
    if option and option not in {each.name for each in designs()[design].options}:
        pytest.skip("it has no such option")
    rail = "2x6" if system == "inch" else "45x145"
    frame = designs()[design].frame({"rail": rail, **({option: "yes"} if option else {})}, reading(system))
    bolts = [joint for joint in frame.joints if isinstance(joint, Bolted)]
    assert bolts
    for place in frame.sleeping_places:
        low, high = place.opening.low, place.opening.high
        beside = [
            bolt.parts for bolt in bolts for near, far in ends_of(frame, bolt)
            if all(near[i] < high[i] + ROOM and far[i] > low[i] - ROOM for i in range(2))
            and near[2] < high[2] and far[2] > low[2]
        ]  # fmt: skip
        assert not beside
