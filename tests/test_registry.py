"""The registry: what may be offered is found by name, and what may not stops the start, by name."""

from __future__ import annotations

import sys
from dataclasses import replace
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

import sawbill_designs
from sawbill.registry import GROUP, BadDesignError, designs, load
from sawbill.trade.design import Design

MODULE = """
from sawbill.trade.design import Design
from sawbill.trade.frame import Frame

STOOL = Design("stool", "A stool", "To sit on.", (), lambda options: Frame(()), ("common practice, no source",))
OTHER = Design("bench", "A bench", "To sit on.", (), lambda options: Frame(()), ("common practice, no source",))
SHABBY = Design("shabby", "", "", (), lambda options: Frame(()))
BROKEN = Design("broken", "A title", "A summary", ("no option",), lambda options: Frame(()), ("a source",))
NUMBERED = Design(5, "A title", "A summary", (), lambda options: Frame(()), ("a source",))
NOT_A_DESIGN = "a stool"
"""


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A third party's module, importable while the test runs."""
    (tmp_path / "somebodys_stools.py").write_text(MODULE)
    (tmp_path / "somebodys_mistake.py").write_text("import a_module_that_is_not_there\n")
    monkeypatch.syspath_prepend(tmp_path)
    for name in ("somebodys_stools", "somebodys_mistake"):
        monkeypatch.delitem(sys.modules, name, raising=False)
    return "somebodys_stools"


def point(name: str, value: str) -> EntryPoint:
    return EntryPoint(name, value, GROUP)


def refused(*points: EntryPoint) -> list[str]:
    with pytest.raises(BadDesignError) as caught:
        load(points)
    return str(caught.value).splitlines()


def test_anybodys_design_is_found_through_its_entry_point(package: str) -> None:
    found = load([point("stool", f"{package}:STOOL"), point("bench", f"{package}:OTHER")])
    assert list(found) == ["bench", "stool"]
    assert found["stool"].title == "A stool"


def test_nothing_on_offer_is_no_fault() -> None:
    assert load([]) == {}


@pytest.mark.parametrize(
    ("name", "what", "fault"),
    [
        ("stool", "NOT_A_DESIGN", "it is a str, not a Design"),
        ("chair", "STOOL", "its entry point is called chair, but its name is stool"),
        ("broken", "BROKEN", "its declaration cannot be read: AttributeError"),
        ("numbered", "NUMBERED", "its declaration cannot be read: TypeError"),
        ("stool", "MISSING", "cannot be loaded: AttributeError"),
    ],
)
def test_a_bad_declaration_stops_the_start_by_name(package: str, name: str, what: str, fault: str) -> None:
    [line] = refused(point(name, f"{package}:{what}"))
    assert line.startswith(f"design {name} ({package}:{what})")
    assert fault in line


def test_every_fault_of_a_declaration_is_told(package: str) -> None:
    start = f"design shabby ({package}:SHABBY): it has no "
    assert refused(point("shabby", f"{package}:SHABBY")) == [
        start + word for word in ("title", "summary", "references")
    ]


def test_a_module_that_fails_to_load_is_named_and_not_passed_over(package: str) -> None:
    lines = refused(point("stool", f"{package}:STOOL"), point("mistake", "somebodys_mistake:DESIGN"))
    assert lines == [
        "design mistake (somebodys_mistake:DESIGN) cannot be loaded: "
        "ModuleNotFoundError(\"No module named 'a_module_that_is_not_there'\")"
    ]


def test_two_designs_of_one_name_stop_the_start(package: str) -> None:
    lines = refused(point("stool", f"{package}:STOOL"), point("stool", f"{package}:STOOL"))
    assert lines == [f"design stool ({package}:STOOL): there is another design with this name"]


def test_every_bad_design_is_told_at_once(package: str) -> None:
    lines = refused(
        point("shabby", f"{package}:SHABBY"), point("stool", f"{package}:NOT_A_DESIGN"), point("x", "not_there:X")
    )
    assert {line.split(" ")[1] for line in lines} == {"shabby", "stool", "x"}


def test_the_designs_on_offer_are_good_and_named_as_declared() -> None:
    offered = designs()
    assert "slatted-bed" in offered
    assert all(isinstance(design, Design) and design.name == name for name, design in offered.items())
    assert list(offered) == sorted(offered)
    assert replace(offered["slatted-bed"]).faults() == []


def test_every_design_module_of_ours_is_on_offer() -> None:
    """A module that declares a DESIGN and is not offered would be forgotten in silence."""
    modules = Path(sawbill_designs.__file__).parent.glob("*.py")
    declared = {path.stem.replace("_", "-") for path in modules if "\nDESIGN" in path.read_text(encoding="utf-8")}
    assert declared <= set(designs())
