"""The page that reckons a bed by hand: each line comes to what it says, and each part to what the service answers."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from sawbill.checks.site import Site
from sawbill.checks.strength.calculation import evaluated
from sawbill.checks.strength.reckoned import reckon
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.lumber import Material, find_grade, find_species
from sawbill.web.app import create_app

PAGE = (Path(__file__).parent.parent / "service" / "by-hand.md").read_text()
LINE = re.compile(r"^    ([A-Za-z][A-Za-z0-9]*) = (.+) = ([0-9.]+)$", re.MULTILINE)
RULES = {
    "bolts": "bolts", "end": "bolted-end", "bending": "bending", "bearing": "bearing", "twist": "torsion",
    "hanger": "hangers",
}  # fmt: skip
"""The last line of each part, and the rule that it is of."""


@pytest.fixture(scope="module")
def quote() -> Any:
    """What the service answers at the address on the page."""
    [address] = re.findall(r"    GET (/\S+)\n", PAGE)
    return create_app().test_client().get(address).json


def reckoned() -> dict[str, float]:
    """Every line, reckoned from its formula and the lines above it; each comes to the digits that it prints."""
    known: dict[str, float] = {}
    for name, formula, told in LINE.findall(PAGE):
        value = evaluated(formula, known)
        assert value == pytest.approx(float(told), rel=5e-4), (name, value)
        known[name] = value
    return known


def pressed(over: str, under: str) -> float:
    """The most that parts of a name press on others of that bed with, all of it in SPF No.2 [N]."""
    frame = designs()["slatted-bed"].frame({"mattress": "queen", "rail": "2x6", "end_board": "2x6"}, reading())
    kind = find_species("SPF"), find_grade("No.2")
    told = reckon(frame, Site(), {part.key: (Material(part.section, *kind),) for part in frame.parts})
    assert told is not None
    most = [
        float(told.solved.forces[number].max()) for number, link in enumerate(told.paths.links)
        if (link.member.parts[0].name, link.carrier.parts[0].name) == (over, under)
    ]  # fmt: skip
    return max(most)


def test_every_line_comes_to_what_it_says() -> None:
    assert len(reckoned()) == len(LINE.findall(PAGE)) > 30
    assert len(re.findall(r"^    [A-Za-z]", PAGE, re.MULTILINE)) == len(LINE.findall(PAGE)) + 1, "but for the address"


def test_each_part_comes_to_what_the_service_answers(quote: Any) -> None:
    known = reckoned()
    for name, rule in RULES.items():
        [sheet] = [each for each in quote["calculations"] if each["rule"] == rule]
        assert known[name] == pytest.approx(sheet["lines"][-1]["value"], abs=5e-4), rule


def test_what_is_taken_from_the_statics_of_the_frame_is_what_the_service_answers(quote: Any) -> None:
    forces = {each["rule"]: {line["symbol"]: line["value"] for line in each["lines"]} for each in quote["calculations"]}
    known = reckoned()
    assert forces["bolts"]["P"] == forces["bolted-end"]["P"] == pytest.approx(555.29, abs=0.01)
    assert known["P"] == pytest.approx(pressed("side rail", "post lamination"), abs=0.1)
    assert known["M"] == pytest.approx(forces["bending"]["M"], rel=2e-4)
    assert known["R"] == pytest.approx(-forces["bending"]["P2"], abs=0.1)
    assert forces["bearing"]["P"] == pytest.approx(1886.2, abs=0.5)
    assert forces["hangers"]["P"] == pytest.approx(1073.6, abs=0.5)
    assert known["T"] == pytest.approx(forces["torsion"]["T"], rel=2e-4)
