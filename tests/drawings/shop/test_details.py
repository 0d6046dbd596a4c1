"""Bolted joints drawn large: every bolt between pieces is in one, its numbers lead to where it is."""

from collections import Counter

import pytest
from tests.drawings.faults import faults
from tests.drawings.read import Drawing, number
from tests.drawings.subjects import NAMES, subject

from sawbill.drawings.shop.details import detail_sheets
from sawbill.trade.frame import Bolted


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("system", ["inch", "metric"])
def test_they_are_legible(name, system):
    for page in detail_sheets(subject(name, system)):
        assert faults(Drawing(page.svg)) == [], page.name


def test_a_queens_four_corners_are_alike_and_drawn_at_one_to_four():
    (page,) = detail_sheets(subject("slatted-bed"))
    drawing = Drawing(page.svg)
    assert page.title == "joint of head end board and left rail (4 alike)"
    assert "1:4" in [text.text for text in drawing.texts]
    assert set(drawing.kind("label")) >= {"A", "E"}


@pytest.mark.parametrize("name", ["slatted-bed", "bench", "daybed"])
def test_each_bolt_is_where_its_row_says(name):
    """Counted from the nearer end and side, and from the floor, some bolt between pieces has these three distances."""
    drawn = subject(name)
    frame = drawn.frame
    low, high = frame.bounds.low, frame.bounds.high
    between = [
        joint
        for joint in frame.joints
        if isinstance(joint, Bolted) and len({drawn.piece_of[key] for key in joint.parts}) > 1
    ]
    real = Counter()
    for joint in between:
        near = [min(at - a, b - at) for at, a, b in zip(joint.head, low, high, strict=True)]
        near[2] = joint.head[2] - low[2]
        real[tuple(None if "xyz"[k] == joint.axis else near[k] for k in range(3))] += 1
    step = 25_400_000 // 16
    for page in detail_sheets(drawn):
        for row in Drawing(page.svg).table("BOLTS"):
            places = list(row.values())[-3:]
            read = tuple(number(text, "inch") if text else None for text in places)
            assert any(close(read, one, step / 2) for one in real), row


def close(read, real, ease):
    pairs = list(zip(read, real, strict=True))
    return all((a is None) == (b is None) and (a is None or abs(a - b) <= ease) for a, b in pairs)
