"""The catalogues as tables, from the same data that the trade's modules hold."""

import re
from decimal import Decimal

import pytest

from sawbill.answer.catalogues import CATALOGUES
from sawbill.answer.declared.trade import Fasteners, FineWriting, Lumber, MattressList
from sawbill.trade import fasteners, lumber, mattresses


def records(name, answer):
    names = [column.name for column in CATALOGUES[name].columns]
    return [dict(zip(names, row, strict=True)) for row in CATALOGUES[name].rows(answer)]


@pytest.mark.parametrize("table", CATALOGUES.values(), ids=lambda table: table.name)
def test_each_column_says_what_it_means_and_what_its_numbers_are(table):
    for column in table.columns:
        assert re.fullmatch(r"[a-z]+(_[a-z0-9]+)*", column.name)
        assert column.meaning.endswith("."), column.name
        assert column.unit or column.kind not in ("number", "money"), column.name
        if column.name.endswith("_mm") and column.kind == "number":
            assert column.unit == "mm"


def test_lumber_has_a_row_for_each_section_species_and_grade():
    rows = records("lumber", Lumber.written(None, FineWriting.of(None)))
    by_kind = {kind: [row for row in rows if row["kind"] == kind] for kind in ("section", "species", "grade")}
    assert [row["name"] for row in by_kind["section"]] == list(lumber.sections())
    assert [row["name"] for row in by_kind["species"]] == list(lumber.species())
    assert [row["name"] for row in by_kind["grade"]] == list(lumber.grades())
    two_by_four = next(row for row in rows if row["name"] == "2x4")
    assert two_by_four["width_mm"] == Decimal("88.9") and two_by_four["width"] == "3 1/2 in"  # PS 20-20, Table 3
    assert two_by_four["nominal_width"] == "4" and two_by_four["rank"] is None
    assert all(row["source"] for row in rows)


def test_mattresses_have_their_sizes_in_millimetres_and_in_the_units_asked_for():
    rows = records("mattresses", MattressList.written(None, FineWriting.of("metric")))
    assert [row["name"] for row in rows] == list(mattresses.mattress_sizes())
    queen = next(row for row in rows if row["name"] == "queen")
    assert (queen["width_mm"], queen["width"]) == (Decimal(1524), "1524 mm")


def test_fasteners_have_a_row_for_each_bolt_screw_hanger_and_item():
    rows = records("fasteners", Fasteners.written(None, FineWriting.of(None)))
    known = {
        "bolt": fasteners.bolt_sizes(), "screw": fasteners.screw_sizes(),
        "hanger": fasteners.hangers(), "item": fasteners.ITEMS,
    }  # fmt: skip
    assert [(row["kind"], row["name"]) for row in rows] == [
        (kind, name) for kind, names in known.items() for name in names
    ]  # fmt: skip
    bolt = next(row for row in rows if row["name"] == "3/8 in")
    lengths = fasteners.bolt_sizes()["3/8 in"].lengths
    assert [Decimal(text) * 10**6 for text in bolt["lengths_mm"].split(" ")] == list(lengths)
    assert len(bolt["lengths"].split(", ")) == len(lengths)
    assert bolt["tee_nut_flange_diameter_mm"] == Decimal("25.4") and bolt["has_size"] is None
