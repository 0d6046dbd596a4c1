"""What a notebook shows is short, tells what fails first, and needs nothing beside it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

import sawbill


@pytest.fixture(scope="module")
def failing() -> sawbill.Quote:
    """A bed of the cheapest boards, which do not hold whom it is for."""
    return sawbill.quote(
        "slatted-bed", mattress="queen", label="A <b>bold</b> bed", lumber={"must_hold": False},
        site={"heaviest_user": "300 kg"},
    )  # fmt: skip


def test_a_quote_is_told_in_a_line(bed: sawbill.Quote, failing: sawbill.Quote) -> None:
    assert repr(bed) == f"<Quote slatted-bed: {bed.total} USD, proven; no check failed; sample-inch>"
    failed = (failing.checks["status"] == "fail").sum()
    assert failed and f"{failed} check" in repr(failing) and len(repr(failing)) < 200


def test_what_fails_comes_before_the_total(failing: sawbill.Quote) -> None:
    shown = failing._repr_html_()
    rule = failing.checks.set_index("status").loc[["fail"], "rule"].iloc[0]
    assert shown.index("Does not pass") < shown.index(rule) < shown.index(str(failing.total))
    assert "not a certificate" in shown
    assert "&lt;b&gt;bold" in shown and "<b>bold" not in shown


def test_it_is_well_formed_and_asks_for_nothing_from_elsewhere(bed: sawbill.Quote) -> None:
    (picture,) = ET.fromstring(bed._repr_html_()).iter("img")
    assert picture.attrib["src"].startswith("data:image/svg+xml;base64,")
    assert len(bed._repr_html_()) < 100_000


def test_a_drawing_shows_itself_and_can_be_kept(bed: sawbill.Quote, tmp_path: Path) -> None:
    drawing = bed.drawing("exploded")
    assert ET.fromstring(drawing._repr_html_()).tag == "img" and ET.fromstring(drawing.svg).tag.endswith("svg")
    assert repr(drawing) == "Drawing(name='exploded')"
    drawing.save(tmp_path / "bed.svg")
    assert (tmp_path / "bed.svg").read_text() == drawing.svg
    with pytest.raises(sawbill.FaultsError, match="isometric, exploded"):
        bed.drawing("inside")
    with pytest.raises(sawbill.FaultsError, match="line is 3; it may be 0"):
        bed.drawing(line=3)


def test_the_designs_are_told_with_their_options() -> None:
    offered = sawbill.designs()
    assert len(offered) == len(offered.table) and set(offered) == set(offered.table.index)
    bed = offered["slatted-bed"]
    assert bed.options.loc["mattress", "default"] == "queen"
    usual = sawbill.price_book("sample-metric").to_dict()["usual_sections"]
    assert bed.options_for("sample-metric").loc["rail", "default"] == usual["rail"]
    assert bed.options_for("metric").loc["clear_height", "default"].endswith("mm")
    assert "clear_height" in bed._repr_html_() and "slatted-bed" in offered._repr_html_()
