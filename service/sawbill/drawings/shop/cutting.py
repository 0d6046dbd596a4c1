"""How boards are cut: a bar for each, with the running marks of a tape laid on from its squared end.

A mark stands at the far side of each part; the blade goes beyond it. Black is what the saw takes, hatched what is
left over, lines along a piece are those it is ripped by: all are told apart without colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Final

from sawbill.drawings.paper import lettering
from sawbill.drawings.paper.dimensions import spread
from sawbill.drawings.paper.scale import drill, printed
from sawbill.drawings.paper.sheet import NOT_TO_SCALE, PAPERS, Area, Heading, Page, Paper, blank, sheet
from sawbill.drawings.paper.svg import THICK, THIN, Canvas, Stroke
from sawbill.trade.lengths import System

BAR: Final = 7.0
"""How high a bar is: boards are told apart by their names, so all are alike [mm]."""
HATCH: Final = 2.0
"""Between the lines that hatch what is left over (ISO 128-3) [mm]."""
LEAST_BLACK: Final = 0.35
"""The least width a cut is drawn with [mm]."""
PAD: Final = 1.0
NOTE: Final = "Marks: far side of each part, from the squared end. Black: saw and trim; hatched: left over."


@dataclass(frozen=True, slots=True)
class SawnPiece:
    """A part, or a blank of small parts, as it lies in a board from `at`, which is counted from the squared end [nm].

    parts: how many come out of it; strips: into how many it is ripped side by side, so wide [nm], so long each part.
    """

    label: str
    at: int
    length: int
    parts: int = 1
    strips: int = 0
    ripped: int = 0
    part_length: int = 0


@dataclass(frozen=True, slots=True)
class SawnBoard:
    """So many boards cut alike. words: what they are; trim: sawn off to square the end, the blade included [nm].

    kerf: what one cut takes [nm].

    yard: the lengths into which the yard cuts it first [nm].
    """

    words: str
    count: int
    length: int
    trim: int
    kerf: int
    pieces: tuple[SawnPiece, ...]
    leftover: int
    yard: tuple[int, ...] = ()


def cutting_sheets(
    title: str, boards: Sequence[SawnBoard], system: System, paper: Paper | None = None
) -> list[Page]:  # fmt: skip
    """As many sheets as the boards take; paper: the usual one of the units unless given."""
    paper = paper or PAPERS[system]
    sheets = enumerate(_sheets_of(boards, system, paper), 1)
    return [_sheet(title, bars, system, paper, number) for number, bars in sheets]


def cutting_names(boards: Sequence[SawnBoard], system: System) -> list[str]:
    """What these sheets are called."""
    return [_name(number) for number, _ in enumerate(_sheets_of(boards, system, PAPERS[system]), 1)]


def _name(number: int) -> str:
    return "cutting" if number == 1 else f"cutting-{number}"


def _sheets_of(boards: Sequence[SawnBoard], system: System, paper: Paper) -> list[list[_Bar]]:
    """The bars of each sheet, one below the other."""
    area = blank(paper).inset(5)
    longest = max((board.length for board in boards), default=1)
    found: list[list[_Bar]] = []
    y = inf
    for board in boards:
        bar = _Bar(board, area, y, area.width / longest, system)
        if bar.bottom > area.bottom:
            found.append([])
            bar = replace(bar, y=area.top)
        found[-1].append(bar)
        y = bar.bottom
    return found


def _sheet(title: str, bars: Sequence[_Bar], system: System, paper: Paper, number: int) -> Page:
    words = "Bars for boards, each with its parts, the cuts between them and what is left over, and running marks."
    drawing = "how boards are cut" + (f", sheet {number}" if number > 1 else "")
    page = sheet(Heading(_name(number), title, drawing, NOT_TO_SCALE, system, words, paper, note=NOTE))
    for bar in bars:
        bar.draw(page.canvas)
    return Page(page.name, drawing, page.canvas.svg())


@dataclass(frozen=True)
class _Bar:
    """One board on paper, from its upper left; scale: paper millimetres to a nanometre."""

    board: SawnBoard
    area: Area
    y: float
    scale: float
    system: System

    def _words(self) -> str:
        """What boards these are, and all that is no part of them."""
        board = self.board
        count = "1 board" if board.count == 1 else f"{board.count} boards"
        trim, kerf_, left = drill(board.trim, self.system), drill(board.kerf, self.system), self._length(board.leftover)
        lost = f"trim {trim}, kerf {kerf_}, left {left}"
        yard = f"; cut by the yard into {', '.join(self._length(each) for each in board.yard)}" if board.yard else ""
        return f"{count} of {board.words}, {self._length(board.length)} long: {lost}{yard}"

    @property
    def rips(self) -> list[str]:
        """What is to be ripped of it, in words."""
        return [
            f"{each.label}: rip into {each.strips} strips {self._length(each.ripped)} wide, then cut "
            f"{each.parts} parts {self._length(each.part_length)} long"
            for each in dict.fromkeys(self.board.pieces)
            if each.strips
        ]

    @property
    def top(self) -> float:
        """Of the bar itself, below its words [mm]."""
        return self.y + lettering.SMALL + 1.8 + len(self.rips) * 3.9

    @property
    def bottom(self) -> float:
        """Where the next may begin [mm]."""
        return self.top + BAR + 10.5

    def draw(self, canvas: Canvas) -> None:
        """Draw the board, its parts and its marks."""
        board = self.board
        with canvas.group("board"):
            words = self._words()
            for i, line in enumerate((words, *self.rips)):
                canvas.text(self.area.left, self.y + lettering.SMALL + i * 3.9, line, bold=not i, kind="board")
            self._taken(canvas)
            self._leftover(canvas)
            canvas.rectangle(self.area.left, self.top, board.length * self.scale, BAR, line=THICK, kind="bar")
            for piece in board.pieces:
                self._piece(canvas, piece)
            self._marks(canvas)

    def _x(self, at: int) -> float:
        """Where a place on the tape is on paper."""
        return self.area.left + (self.board.trim + at) * self.scale

    def _taken(self, canvas: Canvas) -> None:
        """The trim, and the cut after each part."""
        if self.board.trim:
            self._black(canvas, self.area.left, self._x(0))
        ends = [
            *(piece.at for piece in self.board.pieces[1:]),
            self.board.length - self.board.trim - self.board.leftover,
        ]
        for piece, end in zip(self.board.pieces, ends, strict=True):
            if end > piece.at + piece.length:
                self._black(canvas, self._x(piece.at + piece.length), self._x(end))

    def _black(self, canvas: Canvas, left: float, right: float) -> None:
        canvas.rectangle(left, self.top, max(right - left, LEAST_BLACK), BAR, line=0, fill="#000", kind="saw")

    def _leftover(self, canvas: Canvas) -> None:
        """Hatched, with its length if that has room."""
        if not self.board.leftover:
            return
        right = self.area.left + self.board.length * self.scale
        left = right - self.board.leftover * self.scale
        text = f"left {self._length(self.board.leftover)}"
        wide = lettering.width(text, lettering.SMALL) + 2 * PAD
        canvas.strokes(_hatching(left, right, self.top, self.top + BAR), THIN, kind="leftover")
        if wide <= right - left:
            self._clear(canvas, (left + right) / 2, wide - 2 * PAD)
            canvas.text((left + right) / 2, self._baseline, text, anchor="middle", kind="leftover")

    def _piece(self, canvas: Canvas, piece: SawnPiece) -> None:
        left, right = self._x(piece.at), self._x(piece.at + piece.length)
        if piece.strips > 1:
            lines = [(left, self.top + BAR * i / piece.strips, right, self.top + BAR * i / piece.strips)
                     for i in range(1, piece.strips)]  # fmt: skip
            canvas.strokes(lines, THIN, kind="rip")
        with canvas.group("piece"):
            wide = lettering.width(piece.label, lettering.SMALL, bold=True)
            length = self._length(piece.length)
            both = wide + 1.2 + lettering.width(length, lettering.SMALL)
            middle = (left + right) / 2
            if both + PAD <= right - left:
                self._clear(canvas, middle, both)
                canvas.text(middle - both / 2, self._baseline, piece.label, bold=True, kind="label")
                canvas.text(middle - both / 2 + wide + 1.2, self._baseline, length, kind="length")
            elif wide + PAD <= right - left:
                self._clear(canvas, middle, wide)
                canvas.text(middle, self._baseline, piece.label, anchor="middle", bold=True, kind="label")

    def _clear(self, canvas: Canvas, middle: float, wide: float) -> None:
        """White behind a text that lines would run through."""
        canvas.rectangle(middle - wide / 2 - 0.6, self._baseline - lettering.SMALL - 0.6, wide + 1.2,
                         lettering.SMALL + 1.2, line=0, fill="#fff")  # fmt: skip

    @property
    def _baseline(self) -> float:
        return self.top + (BAR + lettering.SMALL) / 2

    def _marks(self, canvas: Canvas) -> None:
        """From the squared end to the far side of each part, spread where they would meet."""
        ends = [0, *(piece.at + piece.length for piece in self.board.pieces)]
        texts = [self._length(at) for at in ends]
        widths = [lettering.width(text, lettering.SMALL) for text in texts]
        wanted = [self._x(at) for at in ends]
        places = _within(spread(wanted, max(widths) + 1.5), widths, self.area)
        low, line = self.top + BAR, self.top + BAR + 5.5
        strokes: list[Stroke] = []
        for x, to, text in zip(wanted, places, texts, strict=True):
            strokes += [(x, low + 0.6, x, low + 1.8), (x, low + 1.8, to, low + 3.6)]
            canvas.text(to, line + lettering.SMALL - 1.2, text, anchor="middle", kind="mark")
        canvas.strokes(strokes, THIN, kind="mark")

    def _length(self, nm: int) -> str:
        return printed(nm, self.system)


def _within(places: Sequence[float], widths: Sequence[float], area: Area) -> list[float]:
    """Where texts are centred, moved as far as needed to stay inside of an area, and apart from each other."""
    found = list(places)
    limit = area.right + 3
    for i in reversed(range(len(found))):
        found[i] = min(found[i], limit - widths[i] / 2)
        limit = found[i] - widths[i] / 2 - 1.5
    least = area.left - 3
    for i, wide in enumerate(widths):
        found[i] = max(found[i], least + wide / 2)
        least = found[i] + wide / 2 + 1.5
    return found


def _hatching(left: float, right: float, top: float, bottom: float) -> Iterator[Stroke]:
    """Lines at 45 degrees in a rectangle."""
    high = bottom - top
    at = left - high
    while at < right:
        x1, y1, x2, y2 = at, bottom, at + high, top
        if x1 < left:
            x1, y1 = left, bottom - (left - at)
        if x2 > right:
            x2, y2 = right, bottom - (right - at)
        yield x1, y1, x2, y2
        at += HATCH
