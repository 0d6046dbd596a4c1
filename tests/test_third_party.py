"""Somebody else's package: installed beside the service, its design is on offer with no change of ours."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tests.drawings.faults import faults
from tests.drawings.read import Drawing

PACKAGE = Path(__file__).parent / "third_party"
MODULE = Path("garden_stands") / "plant_stand.py"
NAME = "design plant-stand (garden_stands.plant_stand:DESIGN)"

ASK = """
import json, sys
from sawbill.web.app import create_app

client = create_app().test_client()
print(json.dumps([[answer.status_code, answer.json] for answer in map(client.get, sys.argv[1:])]))
"""

COMMAND = "from sawbill.cli.main import main; main()"


def run(installed: Path, *command: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run Python in another process, from nowhere near the sources, with the package on its path."""
    environment = {**os.environ, "PYTHONPATH": str(installed), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        [sys.executable, *command],
        cwd=cwd or installed, env=environment, capture_output=True, text=True, timeout=120,
    )  # fmt: skip


DRAW = """
import json
from sawbill.drawings.catalogue import sheets
from sawbill.quoting.drawn import subjects_of
from sawbill.asked.request import read_request
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.registry import designs
book = Shelf(sample_folder()).get("sample-inch")
request = read_request({"lines": [{"design": "plant-stand"}]}, book, designs())
print(json.dumps({page.name: page.svg for page in sheets(subjects_of(request)[0])}))
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The package, built and installed into a folder of its own, without a network."""
    folder = tmp_path_factory.mktemp("third_party")
    shutil.copytree(PACKAGE, folder / "source", ignore=shutil.ignore_patterns("__pycache__"))
    offline = ("--no-index", "--no-deps", "--no-build-isolation", "--no-cache-dir", "--disable-pip-version-check")
    done = run(
        folder,
        "-m",
        "pip",
        "install",
        "--quiet",
        *offline,
        "--target",
        str(folder / "installed"),
        str(folder / "source"),
    )
    assert done.returncode == 0, done.stderr
    return folder / "installed"


@pytest.fixture(scope="module")
def answers(installed: Path) -> dict[str, Any]:
    """The answers of a service that finds the package, by path."""
    paths = (
        "/v1/designs",
        "/v1/designs/plant-stand",
        "/v1/designs/plant-stand/quote?price_book=sample-inch&boards=4&board=2x6&length=40%20in",
    )
    done = run(installed, "-c", ASK, *paths)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert [status for status, _ in told] == [200, 200, 200]
    return {path.partition("?")[0]: body for path, (_, body) in zip(paths, told, strict=True)}


def test_it_is_in_the_catalogue_beside_ours(answers: dict[str, Any]) -> None:
    names = [design["name"] for design in answers["/v1/designs"]["designs"]]
    assert "plant-stand" in names and "slatted-bed" in names
    assert names == sorted(names)


def test_its_schema_lists_its_options(answers: dict[str, Any]) -> None:
    schema = answers["/v1/designs/plant-stand"]["schema"]
    assert list(schema["properties"]) == ["length", "boards", "gap", "board", "foot", "screw"]


def test_it_is_quoted_with_its_cut_list_its_screws_and_a_total(answers: dict[str, Any]) -> None:
    quote = answers["/v1/designs/plant-stand/quote"]
    cut = {row["name"]: (row["section"], row["length"]["text"], row["quantity"]) for row in quote["cut_list"]}
    assert cut == {"board": ("2x6", "40 in", 4), "foot": ("2x4", "23 1/2 in", 2)}
    assert [(row["item"], row["quantity"]) for row in quote["hardware"]] == [("wood screw", 16)]
    assert float(quote["totals"]["total"]) > 0


def test_it_is_drawn_on_every_sheet_without_a_line_of_its_own(installed: Path) -> None:
    done = run(installed, "-c", DRAW)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert [name for name in told if name.startswith("isometric")] and "piece-1" in told and "places" in told
    drawing = Drawing(told["piece-1"])
    assert faults(drawing) == []
    assert {row["part"].split("\u00a0")[0] for row in drawing.table("PARTS")} == {"A", "B"}
    assert len(drawing.table("HOLES")) >= 1


def test_its_own_test_passes(installed: Path) -> None:
    done = run(installed, "-m", "pytest", str(installed.parent / "source"), cwd=installed.parent / "source")
    assert done.returncode == 0, done.stdout


# ---- a fault in it stops the start; tests/test_registry.py has every kind of fault

FAULTS = {
    "it has no title": ('title="Plant stand"', 'title=""'),
    "cannot be loaded: NameError": ("build=build", "build=not_there"),
}


@pytest.fixture
def with_fault(installed: Path, tmp_path: Path) -> Callable[[str], Path]:
    """The installed package with one fault in the declaration of its design."""

    def make(fault: str) -> Path:
        folder = shutil.copytree(installed, tmp_path / "installed")
        text = (folder / MODULE).read_text()
        good, bad = FAULTS[fault]
        assert text.count(good) == 1
        (folder / MODULE).write_text(text.replace(good, bad))
        return folder

    return make


def test_a_fault_in_it_stops_the_start_with_its_name_and_no_trace(with_fault: Callable[[str], Path]) -> None:
    done = run(with_fault("cannot be loaded: NameError"), "-c", COMMAND, "serve")
    assert done.returncode == 1
    assert done.stderr.startswith(NAME)
    assert "cannot be loaded: NameError" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_fault_in_it_stops_a_quote_of_any_design(with_fault: Callable[[str], Path]) -> None:
    done = run(with_fault("it has no title"), "-c", COMMAND, "quote", "slatted-bed")
    assert (done.returncode, done.stderr) == (1, f"{NAME}: it has no title\n")


def test_a_fault_in_it_stops_a_server_that_loads_the_application(with_fault: Callable[[str], Path]) -> None:
    """Without the fault the same command ends well."""
    command = ("-m", "gunicorn", "--check-config", "sawbill.wsgi:app")
    folder = with_fault("it has no title")
    done = run(folder, *command)
    assert done.returncode == 1
    assert f"{NAME}: it has no title" in done.stderr
    good, bad = FAULTS["it has no title"]
    (folder / MODULE).write_text((folder / MODULE).read_text().replace(bad, good))
    assert run(folder, *command).returncode == 0
