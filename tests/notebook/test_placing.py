"""The parts in their places are those of the cut list, and stand as large as the furniture is."""

from __future__ import annotations

import sawbill


def test_the_parts_are_those_of_the_cut_list(bed: sawbill.Quote) -> None:
    placed = bed.frame.groupby("letter").agg(quantity=("part", "count"), length=("length", "first"))
    listed = bed.table("cut-list", exact=False).set_index("part")
    assert placed["quantity"].to_dict() == listed["quantity"].to_dict()
    assert (placed["length"] - listed["length_mm"]).abs().max() < 1.6  # a cut is set to the saw's 1/16 in


def test_together_they_are_as_large_as_the_furniture(bed: sawbill.Quote) -> None:
    frame = bed.frame
    assert frame.attrs["units"]["size_x"] == "mm"
    for axis, name in zip("xyz", ("length", "width", "height"), strict=True):
        extent = (frame[axis] + frame[f"size_{axis}"]).max() - frame[axis].min()
        assert extent == float(bed.value(name))


def test_a_line_of_own_parts_stands_nowhere() -> None:
    both = sawbill.quote(["bench", sawbill.line(parts=[{"section": "1x8", "length": "30 in"}])])
    assert both.frame["line"].unique().tolist() == [0]
