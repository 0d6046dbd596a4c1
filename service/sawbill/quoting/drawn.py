"""What drawings see of a request and its quote: furniture with the letters of its parts, and boards as sawn."""

from __future__ import annotations

from collections.abc import Mapping

from sawbill import registry
from sawbill.asked.lines import USUAL_LABEL
from sawbill.asked.request import Request
from sawbill.buying.boards import CutBoards
from sawbill.buying.lots import strips_of
from sawbill.buying.takeoff import CutLine, take_off
from sawbill.drawings.paper.sheet import Page, Paper
from sawbill.drawings.shop.cutting import SawnBoard, SawnPiece, cutting_sheets
from sawbill.drawings.subject import Subject
from sawbill.making.drilling import Drilled
from sawbill.making.marks import marks
from sawbill.making.operations import operations
from sawbill.quoting.quote import Quote
from sawbill.quoting.work import work_of


def subjects_of(request: Request, paper: Paper | None = None) -> dict[int, Subject]:
    """The furniture of a request by its line, parts by their marks; a line of own parts has none.

    paper: what it is drawn on, if not on the usual of its units.
    """
    cut_list = take_off(request.lines, request.shop.rounding_step).cut_list
    found = {}
    for number, line in enumerate(request.lines):
        if line.frame is not None and line.design is not None:
            unnamed = line.label in (line.design, USUAL_LABEL.format(number + 1))
            title = registry.designs()[line.design].title if unnamed else line.label
            letters = {key: cut.id for cut in cut_list if cut.line == number for key in cut.keys}
            told = marks(line.frame, operations(line.frame).laid_out, letters)
            labels = {key: mark.name for key, mark in told.items()}
            found[number] = Subject(title, line.frame, labels, request.units, paper)
    return found


def drilled_of(request: Request, line: int) -> tuple[Drilled, ...]:
    """The holes of the furniture of a line, mark by mark."""
    return work_of(request, take_off(request.lines, request.shop.rounding_step), {}, request.units).drilling[line]


def cutting_pages(quote: Quote, paper: Paper | None = None) -> list[Page]:
    """The sheets of how the boards of a quote are cut."""
    subjects = subjects_of(quote.request)
    title = next(iter(subjects.values())).title if len(subjects) == 1 else "All furniture"
    return cutting_sheets(title, sawn_boards(quote), quote.request.units, paper)


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
    return strips_of(width, ripped, kerf), ripped, line.length
