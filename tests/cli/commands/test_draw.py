"""The command `draw`, used as in a terminal."""

from __future__ import annotations

import json
import struct
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.drawings.read import Drawing

from sawbill.cli.main import main
from sawbill.cli.output.ending import NO, USAGE


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def test_a_view_is_printed_unless_a_file_is_named(tmp_path: Path) -> None:
    printed = run("draw", "slatted-bed", "--set", "mattress=king", "--view", "exploded")
    assert printed.exit_code == 0, printed.output
    file = tmp_path / "bed.svg"
    assert run("draw", "slatted-bed", "--set", "mattress=king", "--view", "exploded", "-o", str(file)).exit_code == 0
    assert file.read_text() == printed.stdout
    assert Drawing(printed.stdout).title == "Knock-down slatted bed: taken apart"


def test_lengths_are_in_the_units_of_the_book_or_those_asked_for() -> None:
    for words, unit in (((), "inches"), (("--prices", "sample-metric"), "mm"), (("--units", "metric"), "mm")):
        result = run("draw", "bench", "--view", "sides", *words)
        assert unit in [text.text for text in Drawing(result.stdout).texts]


def test_all_sheets_come_in_one_zip_with_the_cutting_diagrams_and_the_model(tmp_path: Path) -> None:
    first, second = tmp_path / "one.zip", tmp_path / "two.zip"
    for file in (first, second):
        assert run("draw", "bench", "-o", str(file)).exit_code == 0
    assert first.read_bytes() == second.read_bytes()
    with zipfile.ZipFile(first) as archive:
        names = [name.split("-", 1)[1] for name in archive.namelist()]
        assert names[:3] == ["isometric.svg", "exploded.svg", "sides.svg"]
        assert {"places.svg", "model.glb", "cutting.svg"} <= set(names)
        titles = [Drawing(archive.read(name).decode()).title for name in archive.namelist() if name.endswith(".svg")]
    assert all(title.startswith("Knock-down bench: ") for title in titles)


def test_a_model_is_binary_gltf(tmp_path: Path) -> None:
    file = tmp_path / "bench.glb"
    assert run("draw", "bench", "-o", str(file)).exit_code == 0
    magic, version, length, size = struct.unpack("<4sIII", file.read_bytes()[:16])
    assert (magic, version, length) == (b"glTF", 2, file.stat().st_size)
    assert json.loads(file.read_bytes()[20 : 20 + size])["nodes"][0]["name"] == "Knock-down bench"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("bench", "-o", "bench.txt"), "end its name with .svg for one view, .png for the same in pixels, .glb"),
        (("bench", "--view", "inside"), '--view is "inside"; it may be isometric, exploded'),
        (("no-bench",), "no-bench"),
        (("bench", "--set", "length=9 mi"), "length"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_what_would_be_right(words: tuple[str, ...], told: str) -> None:
    result = run("draw", *words)
    assert result.exit_code == 2
    assert told in result.output


def test_what_cannot_be_bought_is_still_drawn_but_has_no_cutting_diagrams(tmp_path: Path) -> None:
    asked = ("draw", "bench", "--prices", "sample-metric", "--set", "leg=4x4")
    assert run(*asked).exit_code == 0
    result = run(*asked, "-o", str(tmp_path / "all.zip"))
    assert result.exit_code == NO
    assert "4x4" in result.output


def test_the_shops_sheet_and_the_customers_are_one_document_each(tmp_path: Path) -> None:
    file = tmp_path / "bench.html"
    assert run("draw", "bench", "-o", str(file), "--paper", "A4").exit_code == 0
    page = file.read_text()
    assert "Shopping list" in page and "size: A4 portrait" in page and ": step 1 of 5" in page
    assert run("draw", "bench", "-o", str(file), "--customer", "--terms", "Paid in full.").exit_code == 0
    assert "Paid in full." in file.read_text() and "Shopping list" not in file.read_text()


def test_a_step_beyond_the_last_is_told_with_those_there_are() -> None:
    result = run("draw", "bench", "--view", "step-9")
    assert result.exit_code == 2
    assert "step-5" in result.output


def test_a_line_of_a_request_is_drawn_and_a_selling_price_is_shown(tmp_path: Path) -> None:
    request = json.dumps({"lines": [{"design": "bench"}, {"design": "shelf-unit"}]})
    drawn = CliRunner().invoke(main, ["draw", "--request", "-", "--of", "1", "--view", "front"], input=request)
    assert Drawing(drawn.stdout).title == "Shelf unit: seen from the front"
    file = tmp_path / "offer.html"
    words = ("draw", "bench", "--customer", "-o", str(file), "--factor", "2", "--markup", "30 %")
    assert run(*words, "--price-by", "cost-plus-markup").exit_code == 0
    quoted = json.loads(run("quote", "bench", "--markup", "30 %", "--format", "json").stdout)
    assert quoted["selling_prices"][0]["amount"] in file.read_text()
    refused = run(*words, "--price-by", "cost-and-margin")
    assert refused.exit_code == USAGE and "--price-by is" in refused.stderr
