"""Tables that fit a terminal: no line is too wide, and nothing is lost."""

from hypothesis import given
from hypothesis import strategies as st

from sawbill.answer import columns as c
from sawbill.answer.columns import Column
from sawbill.answer.forms.text import aligned
from sawbill.cli.output.fitting import fitted, layout_of
from sawbill.cli.output.forms import NARROWEST

WORD = st.text("abcdefghijklmnop0123456789-/", min_size=1, max_size=14)
CELL = st.lists(WORD, max_size=30).map(" ".join)


@st.composite
def tables(draw: st.DrawFn) -> tuple[list[Column], list[list[str]]]:
    """Columns of texts and numbers, their titles and some rows; the first column names its row in a word."""
    kinds = draw(st.lists(st.sampled_from(("text", "whole")), min_size=1, max_size=9))
    columns = [
        (c.text if kind == "text" or i == 0 else c.whole)(f"c{i}", "", 1 if kind == "whole" and i else "")[0]  # type: ignore[operator]  # both take these
        for i, kind in enumerate(kinds)
    ]
    titles = [draw(st.lists(WORD, min_size=1, max_size=3).map(" ".join)) for _ in columns]

    def cell(column: Column, place: int) -> st.SearchStrategy[str]:
        if place == 0:
            return WORD
        return st.integers(0, 10**9).map(str) if column.is_number else CELL

    row = st.tuples(*(cell(column, i) for i, column in enumerate(columns))).map(list)
    return columns, [titles, *draw(st.lists(row, min_size=1, max_size=6))]


@given(tables(), st.integers(NARROWEST, 160))
def test_no_line_is_wider_and_no_word_is_lost(table: tuple[list[Column], list[list[str]]], width: int) -> None:
    columns, rows = table
    lines = list(fitted(columns, rows, width))
    assert max(map(len, lines)) <= width
    text = "".join(lines)
    for cell in (cell for row in rows[1:] for cell in row):
        for word in cell.split():
            assert word in text


@given(tables())
def test_what_fits_is_set_as_without_a_width(table: tuple[list[Column], list[list[str]]]) -> None:
    columns, rows = table
    plain = list(aligned(columns, rows))
    assert list(fitted(columns, rows, max(map(len, plain)) + 2)) == plain
    assert list(layout_of(None)(columns, rows)) == plain


def test_titles_are_wrapped_before_texts_and_long_texts_told_under_their_row() -> None:
    columns = [*c.text("status", "", ""), *c.whole("hands_on_least", "", 1), *c.text("source", "", "")]
    rows = [["status", "hands on least", "source"], ["pass", "353", "National Design Specification for Wood, 2018"]]
    assert list(fitted(columns, rows, 60)) == [
        "  status  hands  source",
        "             on",
        "          least",
        "  pass      353  National Design Specification for Wood,",
        "                 2018",
    ]
    columns += [*c.text("part", "", ""), *c.text("label", "", "")]
    rows = [[*rows[0], "part", "label"], [*rows[1], "side rail of the bed", "guest room, second floor"]]
    assert list(fitted(columns, rows, 60)) == [
        "  status  hands  part                  label",
        "             on",
        "          least",
        "  pass      353  side rail of the bed  guest room, second",
        "                                       floor",
        "      source: National Design Specification for Wood, 2018",
    ]
