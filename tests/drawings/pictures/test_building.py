"""Putting together, stage by stage: every part comes once, what is there stays in light lines, the way back is the same
backwards."""

import re
from collections import Counter

import pytest
from tests.drawings.faults import faults
from tests.drawings.read import Drawing
from tests.drawings.subjects import NAMES, of, subject

from sawbill.drawings.catalogue import names, page, steps
from sawbill.drawings.pictures.building import taking_apart
from sawbill.registry import designs
from sawbill.testing import reading


def told(drawing):
    """The parts of a picture's table."""
    return Counter({row["mark"]: int(row["count"]) for row in drawing.table("PARTS")})


@pytest.mark.parametrize("name", NAMES)
def test_every_part_comes_in_one_step_and_is_seen_in_it_or_said_to_be_hidden(name):
    drawn = subject(name)
    come = Counter()
    for each in steps(drawn):
        drawing = Drawing(each.svg)
        parts = told(drawing)
        hidden = [mark for said in drawing.remarks("NOT SEEN") for mark in said.partition(":")[0].split(", ")]
        assert sorted({*drawing.kind("label"), *hidden}) == sorted(parts)
        assert faults(drawing) == []
        come += parts
    assert come == Counter(drawn.labels.values())


def test_what_is_joined_to_what_stands_comes_along_an_arrow_and_what_is_set_in_place_does_not():
    first, _, third, *_ = (Drawing(each.svg) for each in steps(subject("slatted-bed")))
    assert not [stroke for stroke in first.strokes if stroke.kind in ("arrow", "faint")]
    assert len([stroke for stroke in third.strokes if stroke.kind == "arrow"]) == 2
    assert [stroke for stroke in third.strokes if stroke.kind == "faint"]


def test_taking_apart_is_putting_together_backwards():
    drawn = subject("bunk-bed")
    count = len(drawn.stages)
    for turn in (0, count - 2):
        off, on = Drawing(taking_apart(drawn, turn).svg), Drawing(page(drawn, f"step-{count - turn}").svg)
        assert told(off) == told(on)
        assert [(s.x1, s.y1) for s in off.strokes if s.kind == "outline"] == [
            (s.x1, s.y1) for s in on.strokes if s.kind == "outline"
        ]
    assert "lift away" in " ".join(Drawing(taking_apart(drawn, 0).svg).remarks("DO"))


def test_every_name_leads_to_a_picture_and_no_other_does():
    drawn = subject("bench")
    assert all(page(drawn, name) for name in names(drawn)[-2:])
    assert page(drawn, f"step-{len(drawn.stages) + 1}") is None
    assert page(drawn, "inside") is None


@pytest.mark.parametrize(
    "options", [{"way_up": "steps"}, {"way_up": "steps", "mattress": "king", "clear_height": "76 in"}]
)
def test_many_holes_and_high_beds_stay_on_the_sheet(options):
    design = designs()["loft-bed"]
    known = {option.name for option in design.options}
    drawn = of(design.frame({k: v for k, v in options.items() if k in known}, reading()), design.title)
    for each in steps(drawn):
        assert faults(Drawing(each.svg)) == [], each.name
        assert not re.search(r"continued", each.svg)
