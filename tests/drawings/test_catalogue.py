"""Every sheet of every design, looked at: nothing outside, nothing over anything, every letter seen."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from tests.drawings.faults import faults
from tests.drawings.read import Drawing
from tests.drawings.subjects import NAMES, of, subject

from sawbill.drawings.catalogue import VIEWS, pictures, sheets
from sawbill.drawings.shop.details import detail_sheets
from sawbill.drawings.subject import Subject
from sawbill.registry import designs
from sawbill.testing import reading, written_options
from sawbill.trade.design import OptionFaultsError
from sawbill.trade.lengths import System

PICTURES = ("isometric", "exploded", "from-")
"""How the names of pictures of the whole begin; what stands out of sight is shown from behind or below."""


def look(drawn: Subject) -> None:
    """At all its sheets."""
    pages = sheets(drawn)
    assert len({page.name for page in pages}) == len(pages), "each has a name of its own"
    drawings = {page.name: Drawing(page.svg) for page in pages}
    for name, drawing in drawings.items():
        assert faults(drawing) == [], name
    shown = [set(drawing.kind("label")) for name, drawing in drawings.items() if name.startswith(PICTURES)]
    assert set().union(*shown) == set(drawn.labels.values()), "every letter of the cut list is in some picture"


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_no_text_leaves_the_frame_or_lies_over_anything_and_every_letter_is_seen(name: str, system: System) -> None:
    look(subject(name, system))


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=2, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
@given(data=st.data())
def test_so_it_is_for_options_at_random(name: str, system: System, data: Any) -> None:
    """What fails is not made smaller: drawing all sheets hundreds of times takes minutes."""
    design = designs()[name]
    written = data.draw(written_options(design, system))
    try:
        frame = design.frame(written, reading(system))
    except OptionFaultsError:
        return
    if written:  # the defaults, which come first, are looked at above
        look(of(frame, design.title, system))


CROWDED: tuple[tuple[str, System, dict[str, Any]], ...] = (
    ("daybed", "metric", {"ledger": "19x184"}),
    ("slatted-bed", "metric", {"doubled_middle": False, "post": "4x10 green", "slat_retention": "screws"}),
    ("loft-bed", "inch", {"post": "4x10 green", "bolt_size": "1/4 in", "mattress": "eu-100"}),
    ("slatted-bed", "metric", {
        "in_halves": True, "bolt_size": "3/8 in", "mattress": {"width": "1109 mm", "length": "2187 mm"},
        "slat": "42x42", "post": "3x5 green",
    }),
)  # fmt: skip
"""Joints that fill a sheet: more heights than a view is high, views that end at the frame, bolts at the bottom."""


@pytest.mark.parametrize(("name", "system", "options"), CROWDED)
def test_a_crowded_joint_keeps_within_its_sheet(name: str, system: System, options: dict[str, Any]) -> None:
    design = designs()[name]
    found = detail_sheets(of(design.frame(options, reading(system)), design.title, system))
    assert [fault for page in found for fault in faults(Drawing(page.svg))] == []


def test_a_tall_joint_with_many_bolts_is_still_drawn_large_enough_to_read() -> None:
    """Ten bolts above each other: their heights alone leave no room for a table below, at no scale."""
    options = {"ledger": "45x220", "rail": "47x220", "back_height": "36 in", "seat_height": "30 in", "post": "47x147"}
    frame = designs()["daybed"].frame(options, reading())
    drawings = [Drawing(page.svg) for page in detail_sheets(of(frame, "daybed"))]
    scales = [int(text.text[2:]) for each in drawings for text in each.texts if text.text.startswith("1:")]
    assert len(scales) == len(drawings)
    assert max(scales) <= 12
    assert [fault for each in drawings for fault in faults(each)] == []


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_is_drawn_and_says_what_it_is(view: str) -> None:
    page = VIEWS[view].draw(subject("bunk-bed"))
    drawing = Drawing(page.svg)
    assert drawing.title == f"Knock-down bunk bed: {page.title}"
    assert faults(drawing) == []
    described = drawing.root.get("aria-labelledby", "").split()
    assert [each.get("id") for each in drawing.root.iter() if each.get("id")] == described


def test_looks_are_attributes_and_never_a_style_sheet() -> None:
    for page in sheets(subject("slatted-bed")):
        assert "<style" not in page.svg
        assert "style=" not in page.svg


def test_what_only_lies_out_of_sight_gets_a_picture_of_its_own() -> None:
    """A leg under the middle of a low platform on stops, hidden from the front by its rails."""
    options = {"ledger": "4x6", "slat": "2x3 green", "stops": False}
    design = designs()["low-platform"]
    drawn = of(design.frame(options, reading()), design.title)
    assert len(pictures(drawn)) >= 2
    unseen = set(pictures(drawn)[0].unseen) & set(pictures(drawn)[1].unseen)
    shown = [set(Drawing(page.svg).kind("label")) for page in pictures(drawn)]
    assert unseen <= set().union(*shown[2:])


PROGRAM = """
import hashlib
from tests.drawings.subjects import subject
from sawbill.drawings.catalogue import sheets
from sawbill.drawings.model import glb
drawn = subject("daybed")
found = hashlib.sha256(glb(drawn))
for page in sheets(drawn):
    found.update(page.svg.encode())
print(found.hexdigest())
"""


def test_the_same_furniture_gives_the_same_bytes_whatever_the_hash_seed() -> None:
    found = {
        subprocess.run(
            [sys.executable, "-c", PROGRAM], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1
