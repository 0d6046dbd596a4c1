"""What is declared of a key is what is written, described and shown."""

from decimal import Decimal
from types import SimpleNamespace

import pytest

from sawbill.answer import columns as c
from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import PLAIN, Answered, Writing
from sawbill.trade.lengths import INCH


class Hole(Answered):
    """A hole."""

    kind = f.text("What it is.", "bored", choices=["bored", "cut"])
    wide = f.length("How wide it is; null for a slot.", 25.4, "1 in", none=True)
    tool = f.text("What makes it; null where anything does.", "bit", "tool.name", none=True)
    costs = f.money("What it costs.", "1.50")
    share = f.number("How much of it is left [share of 1], at least.", 0.5, lambda hole, _: hole.left / 100)


class Board(Answered):
    """A board with holes."""

    first = f.group(
        Hole, "The first; null of a whole board.", lambda board, _: next(iter(board.holes), None), none=True
    )
    holes = f.rows(Hole, "All of them.")
    at = f.rows(f.length("A place.", 25.4, "1 in"), "Where they are.")
    marks = f.rows(f.text("A mark.", "A"), "How they are marked.")
    of = f.rows({"bored": Hole}, "By what they are.", "holes")


HOLE = SimpleNamespace(kind="bored", wide=INCH, tool=SimpleNamespace(name=""), costs=150, left=25)
WRITTEN = {"kind": "bored", "wide": {"mm": 25.4, "text": "1 in"}, "tool": None, "costs": "1.50", "share": 0.25}
USD = Writing("inch", 2)


def test_keys_are_written_in_the_order_of_their_declaration_each_as_its_kind_is():
    assert list(Hole.written(HOLE, USD).items()) == list(WRITTEN.items())


def test_groups_and_lists_are_written_by_what_they_hold():
    board = SimpleNamespace(holes=[HOLE], at=(INCH,), marks=("A",))
    length = {"mm": 25.4, "text": "1 in"}
    assert Board.written(board, USD) == {
        "first": WRITTEN, "holes": [WRITTEN], "at": [length], "marks": ["A"], "of": [WRITTEN]
    }  # fmt: skip
    assert Board.written(SimpleNamespace(holes=[], at=(), marks=()), USD)["first"] is None


def test_what_may_be_null_is_null_and_nothing_else_may_be():
    assert Hole.written(SimpleNamespace(**{**vars(HOLE), "wide": None}), USD)["wide"] is None
    with pytest.raises(TypeError):
        Hole.written(SimpleNamespace(**{**vars(HOLE), "costs": None}), USD)


def test_amounts_are_written_with_the_decimals_of_their_currency_from_minor_units_and_from_decimals():
    assert [USD.money(5), USD.money(Decimal(5)), USD.money(-5)] == ["0.05", "5.00", "-0.05"]
    assert [PLAIN.money(5), PLAIN.money(5)] == ["5", "5"]


def test_a_column_has_its_name_words_unit_and_example_from_the_key():
    (share,) = c.of(Hole.share)
    assert (share.name, share.meaning, share.unit) == ("share", "How much of it is left, at least.", "share of 1")
    (kind,) = c.of(Hole.kind)
    assert (kind.meaning, kind.example) == ("What it is: bored or cut.", "bored")
    number, text = c.of(Hole.wide)
    assert (number.name, number.unit, number.example, text.example) == ("wide_mm", "mm", 25.4, "1 in")
    assert text.meaning.startswith("How wide it is; empty for a slot.")
    assert [column.cell(WRITTEN) for column in (number, text, share)] == [Decimal("25.4"), "1 in", Decimal("0.25")]


def test_what_has_no_cell_is_no_column():
    for key in (Board.first, Board.holes):
        with pytest.raises(ValueError, match=f"{key.key} has no cell"):
            c.of(key)
