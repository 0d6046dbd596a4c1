"""Cutting diagrams, read back: what they show adds up to the board, and is what the quote's plan says."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from itertools import pairwise

import pytest
from tests.drawings.faults import faults
from tests.drawings.read import NS, Drawing, number
from tests.drawings.subjects import NAMES

from sawbill.asked.request import read_request
from sawbill.drawings.shop.cutting import SawnBoard, SawnPiece, cutting_names, cutting_sheets
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.drawn import sawn_boards
from sawbill.quoting.quote import make_quote
from sawbill.registry import designs
from sawbill.trade.lengths import INCH, MM, System

WORDS = re.compile(r"(\d+) boards? of (.+), (\S+) long: trim (\S+), kerf (\S+), left (\S+)", re.ASCII)


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_parts_cuts_trim_and_what_is_left_add_up_to_the_board(
    name: str, system: System, samples: Mapping[str, PriceBook]
) -> None:
    quote = make_quote(read_request({"lines": [{"design": name}]}, samples[f"sample-{system}"], designs()),
                       samples[f"sample-{system}"])  # fmt: skip
    boards = sawn_boards(quote)
    shown: Counter[str] = Counter()
    read = 0
    for page in cutting_sheets(name, boards, system):
        drawing = Drawing(page.svg)
        assert faults(drawing) == []
        for group in drawing.groups("board"):
            texts = [(each.get("class"), each.text) for each in group.iter(f"{NS}text")]  # type: ignore[attr-defined]
            told = WORDS.match(texts[0][1])
            assert told, texts[0]
            count, _, *lengths = told.groups()
            length, trim, kerf, left = (number(each, system) for each in lengths)
            board = boards[read]
            read += 1
            marks = [number(text, system) for kind, text in texts if kind == "mark"]
            ends = [end - start - (kerf if i else 0) for i, (start, end) in enumerate(pairwise(marks))]
            assert ends == [piece.length for piece in board.pieces], "from mark to mark lie a cut and a part"
            after = length - trim - marks[-1] - left
            assert after == kerf or (left == 0 and 0 <= after < kerf), "the blade takes a cut, or the board ends in it"
            for piece in board.pieces:
                shown[piece.label] += piece.parts * int(count)
    assert read == len(boards)
    assert shown == {cut.id: cut.quantity for cut in quote.take_off.cut_list}
    black = sum(cut.quantity * cut.length for cut in quote.take_off.cut_list if cut.ripped is None)
    assert black == sum(board.count * piece.length for board in boards for piece in board.pieces if not piece.strips)


def test_strips_are_shown_as_lines_along_the_blank_and_told_in_words() -> None:
    blank = SawnPiece("D", 0, 12 * INCH, parts=24, strips=6, ripped=3 * INCH // 4, part_length=2 * INCH)
    board = SawnBoard("2x6 SPF No.2", 1, 96 * INCH, INCH // 2, INCH // 8, (blank,), 83 * INCH + INCH // 2 - INCH // 8)
    (page,) = cutting_sheets("Blocks", [board], "inch")
    drawing = Drawing(page.svg)
    assert "D: rip into 6 strips 3/4 wide, then cut 24 parts 2 long" in drawing.kind("board")
    assert sum(stroke.kind == "rip" for stroke in drawing.strokes) == 5


def test_many_boards_go_on_to_further_sheets_and_none_is_lost() -> None:
    boards = [
        SawnBoard(f"45x95 {i}", 1, 3000 * MM, 0, 3 * MM, (SawnPiece("A", 0, 2000 * MM),), 997 * MM) for i in range(30)
    ]
    pages = cutting_sheets("Many", boards, "metric")
    usual = ["cutting", "cutting-2", "cutting-3", "cutting-4", "cutting-5"]
    assert [page.name for page in pages] == cutting_names(boards, "metric") == usual[: len(pages)]
    told = [text for page in pages for text in Drawing(page.svg).kind("board")]
    assert [text.split(",")[0] for text in told] == [f"1 board of 45x95 {i}" for i in range(30)]


def test_short_parts_keep_their_marks_apart_and_inside() -> None:
    pieces = tuple(SawnPiece("A", i * 53 * MM, 50 * MM) for i in range(20))
    board = SawnBoard("45x95", 1, 3000 * MM, 0, 3 * MM, pieces, 3000 * MM - 20 * 53 * MM)
    (page,) = cutting_sheets("Short", [board], "metric")
    assert faults(Drawing(page.svg)) == []
