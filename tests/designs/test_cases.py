"""Every design against its case file: parts, places, hardware and carried pieces, each case with its source."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from sawbill.buying.takeoff import frame_hardware
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.boxes import bounds
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import format_length, parse_length

CASES = Path(__file__).parent / "cases"


def cases() -> list[Any]:
    found = []
    for file in sorted(CASES.glob("*.toml")):
        data = tomllib.loads(file.read_text())
        found += [pytest.param(data["design"], case, id=f"{data['design']}: {case['name']}") for case in data["case"]]
    return found


def built(design: str, case: dict[str, Any]) -> Frame:
    return designs()[design].frame(case["options"], reading(case.get("system", "inch")))


@pytest.mark.parametrize(("design", "case"), cases())
def test_the_parts_of_the_case_are_there_in_number_and_length(design: str, case: dict[str, Any]) -> None:
    frame = built(design, case)
    for name, (count, length) in case.get("parts", {}).items():
        lengths = [part.length for part in frame.parts if part.name == name]
        assert lengths == [parse_length(length)] * count, name


@pytest.mark.parametrize(("design", "case"), cases())
def test_the_parts_of_the_case_stand_where_it_says(design: str, case: dict[str, Any]) -> None:
    frame = built(design, case)
    for key, spans in case.get("spans", {}).items():
        for axis, (low, high) in spans.items():
            assert frame.boxes[key].span(axis) == (parse_length(low), parse_length(high)), f"{key} along {axis}"


@pytest.mark.parametrize(("design", "case"), cases())
def test_the_hardware_of_the_case_is_counted(design: str, case: dict[str, Any]) -> None:
    needs = {
        ", ".join(filter(None, (need.item, need.size, need.length and format_length(need.length, "inch")))): count
        for need, count in frame_hardware(built(design, case)).items()
    }
    for name, count in case.get("hardware", {}).items():
        assert needs.get(name, 0) == count, name


@pytest.mark.parametrize(("design", "case"), cases())
def test_the_frame_comes_apart_into_the_pieces_of_the_case(design: str, case: dict[str, Any]) -> None:
    frame = built(design, case)
    pieces = {
        piece.name: max(bounds(frame.boxes[key] for key in piece.parts[: len(piece.parts) // piece.count]).size)
        for piece in frame.carried_pieces
    }
    expected = {name: parse_length(length) for name, length in case.get("carried", {}).items()}
    assert not expected or pieces == expected


def test_every_case_names_its_source() -> None:
    for file in CASES.glob("*.toml"):
        assert all(case["source"] for case in tomllib.loads(file.read_text())["case"])
