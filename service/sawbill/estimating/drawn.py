"""A quote as drawings see it: the furniture of a line with the letters of its parts, and the boards as sawn."""

from __future__ import annotations

from collections.abc import Mapping

from sawbill.drawings.shop.cutting import SawnBoard, SawnPiece
from sawbill.drawings.subject import Subject
from sawbill.estimating.boards import CutBoards
from sawbill.estimating.quote import Quote
from sawbill.estimating.takeoff import CutLine
from sawbill.trade.lengths import System


def subject_of(quote: Quote, line: int, title: str, system: System) -> Subject:
    """The furniture of a line of a request. Raises LookupError: the line has none."""
    frame = quote.request.lines[line].frame
    if frame is None:
        raise LookupError(f"line {line} has no furniture")
    letters = {key: cut.id for cut in quote.take_off.cut_list if cut.line == line for key in cut.keys}
    return Subject(title, frame, letters, system)


def sawn_boards(quote: Quote) -> list[SawnBoard]:
    """The boards of a quote in the order of its cutting plan."""
    lines = {cut.id: cut for cut in quote.take_off.cut_list}
    return [_sawn(boards, lines, quote.request.shop.kerf) for boards in quote.purchase.boards.cut]


def _sawn(boards: CutBoards, lines: Mapping[str, CutLine], kerf: int) -> SawnBoard:
    wood, board = boards.wood, boards.board
    pieces = tuple(
        SawnPiece(cut.key, cut.at, cut.length, cut.parts, *_strips(lines[cut.key], wood.section.width, kerf))
        if cut.blank
        else SawnPiece(cut.key, cut.at, cut.length)
        for cut in board.cuts
    )
    words = " ".join(each for each in (wood.section.name, wood.species, wood.grade) if each)
    return SawnBoard(words, board.count, wood.length, wood.trim, kerf, pieces, board.leftover, board.carried)


def _strips(line: CutLine, width: int, kerf: int) -> tuple[int, int, int]:
    """Into how many strips a board so wide is ripped, a cut between each two; how wide; how long a part is [nm]."""
    ripped = line.ripped or width
    return (width + kerf) // (ripped + kerf), ripped, line.length
