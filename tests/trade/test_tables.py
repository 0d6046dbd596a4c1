import re
from importlib.resources import files

import pytest

from sawbill.trade import design_values, fasteners, finishes, lumber, mattresses, tables

EVERY_TABLE = {
    "sections": lumber.sections,
    "species": lumber.species,
    "grades": lumber.grades,
    "mattresses": mattresses.mattress_sizes,
    "bolts": fasteners.bolt_sizes,
    "screws": fasteners.screw_sizes,
    "hangers": fasteners.hangers,
    "finishes": finishes.finishes,
    "nds_values": design_values.nds_values,
    "strength_classes": design_values.strength_classes,
}


@pytest.mark.parametrize("table", EVERY_TABLE)
def test_every_row_says_where_it_comes_from(table):
    for thing in EVERY_TABLE[table]().values():
        dated = re.search(r"\b(19|20)\d\d\b", thing.source)
        assert dated or thing.source.startswith(("common practice, no source", "MEMORY: ")), thing


def test_every_packaged_table_is_one_of_those_that_are_listed():
    packaged = {path.name for path in (files("sawbill.trade") / "data").iterdir()}
    assert packaged == {f"{table}.csv" for table in [*EVERY_TABLE, "thread_rules", "visual_grades", "mattress_names"]}


@pytest.fixture
def table(monkeypatch):
    def written(text, **options):
        monkeypatch.setattr(tables, "_text", lambda name, package: text)
        return tables.rows.__wrapped__("sizes", "name", "width", **options)

    return written


def test_a_table_is_read_by_its_headings(table):
    assert [dict(row) for row in table('name,width,source\nwide,4 in,"a book, 1999"\n')] == [
        {"name": "wide", "width": "4 in", "source": "a book, 1999"}
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("name,width\nwide,4 in\n", "line 1: the columns are"),
        ("width,name,source\n4 in,wide,a book\n", "line 1: the columns are"),
        ("name,width,source\nwide,4 in,a book\nwider,5 in\n", "line 3: it has 2 cells, not 3"),
        ("name,width,source\nwide,4 in,a book,1999\n", "line 2: it has 4 cells, not 3"),
        ("name,width,source\nwide,4 in,\n", "line 2: the column source is empty"),
        ("name,width,source\nwide, ,a book\n", "line 2: the column width is empty"),
    ],
)
def test_a_damaged_table_is_refused_with_its_line(table, text, fault):
    with pytest.raises(tables.TableError, match=re.escape(f"sizes.csv, {fault}")):
        table(text)


def test_a_cell_may_be_empty_where_the_table_allows_it_but_never_the_source(table):
    assert table("name,width,source\nwide,,a book\n", may_be_empty=("width",))[0]["width"] == ""
    with pytest.raises(tables.TableError, match="source is empty"):
        table("name,width,source\nwide,,\n", may_be_empty=("width",))


def test_two_names_that_read_alike_are_refused():
    section = lumber.section("2x4")
    with pytest.raises(tables.TableError, match="'2x4' is listed twice"):
        tables.by_name([section, section])


def test_an_unknown_name_is_answered_with_the_nearest_known_ones():
    with pytest.raises(tables.UnknownNameError) as caught:
        tables.find("size", "king-sise", {"queen": 1, "king-size": 2, "twin": 3})
    assert caught.value.nearest == ("king-size",)
    assert str(caught.value) == "there is no size 'king-sise'; the nearest known are king-size"


def test_a_name_like_no_other_is_answered_with_the_first_known_ones():
    with pytest.raises(tables.UnknownNameError, match=r"known are 1x2, .* and \d+ more"):
        lumber.section("zzz")


def test_a_huge_name_is_not_repeated_in_full():
    with pytest.raises(tables.UnknownNameError) as caught:
        lumber.section("2x4" * 100_000)
    assert len(str(caught.value)) < 300
