"""Comparisons: one quote after the other, of each the few numbers that quotes are compared by.

A row's numbers are those of the quote that a single request would give. What a row does not show is not worked out:
near misses and the whole answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import tee
from typing import Any, Final, Literal, TypeVar

from sawbill import cutting
from sawbill.asked.request import RequestFaultsError, read_request
from sawbill.buying.boards import CutBoards, NothingFitsError
from sawbill.checks.finding import BY_BADNESS, Status
from sawbill.checks.strength import RULES
from sawbill.cutting import carried_lengths
from sawbill.making.rates import Minutes, Phase
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shop import Shop
from sawbill.quoting.comparing.grid import Combination
from sawbill.quoting.quote import Quote, make_quote
from sawbill.quoting.work import Work, work_for
from sawbill.registry import designs
from sawbill.trade.boxes import bounds
from sawbill.trade.frame import Frame, SleepingPlace

Shared = TypeVar("Shared")
Item = TypeVar("Item")
Result = TypeVar("Result")

RowStatus = Literal["quoted", "refused", "cannot_be_bought"]


_NONE: Final = Minutes()


@dataclass(frozen=True, slots=True)
class Figures:
    """The numbers of a quote [minor units], waste as a share, mass [g], the longest piece [nm].

    each: the total for one of the quantity, rounded down; waste: the share of the boards cut, by volume, that ends
    neither in a part (or the blank it is ripped from) nor in a leftover worth keeping; mass_g: of one frame;
    longest_piece: the longest side of what is carried; worst_check: of those that were made, None where nothing was
    looked at; serves: what it is for and how large that is, alike for rows that can stand for each other;
    worst_utilisation: the most that is used of what wood and bolts bear, None where any of that was not reckoned;
    unreckoned: the checks that came out so, for something carries and nobody knows how much it bears; hands_on,
    finishing, taking_apart: all people's time at work together, in each phase [min].
    """

    total: int
    each: int
    lumber: int
    hardware: int
    supplies: int
    trips: int
    tax: int
    boards: int
    waste: Fraction
    mass_g: int
    longest_piece: int
    failed_checks: int
    worst_check: Status | None
    worst_utilisation: Fraction | None
    hands_on: Minutes
    proof: cutting.Status
    unreckoned: int = 0
    serves: str = ""
    finishing: Minutes = _NONE
    taking_apart: Minutes = _NONE

    def paid(self, phases: Iterable[Phase]) -> Minutes:
        """The time at work in some phases together [min]."""
        times = {"making": self.hands_on, "finishing": self.finishing, "taking-apart": self.taking_apart}
        return sum((times[phase] for phase in phases), _NONE)


@dataclass(frozen=True, slots=True)
class Reason:
    """Why there is no quote: a stable code, and what would be right."""

    code: str
    detail: str


@dataclass(frozen=True, slots=True)
class Row:
    """A combination, and its figures or the reasons why it has none."""

    combination: Combination
    figures: Figures | None
    status: RowStatus = "quoted"
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class NoQuote:
    """The answer that there is no quote, and why."""

    status: RowStatus
    reasons: tuple[Reason, ...]


Books = Sequence[PriceBook] | Mapping[int, PriceBook]
"""Price books by their places."""


@dataclass(frozen=True, slots=True)
class Common:
    """What all rows have in common: the price books, and what is asked beside a line, as the JSON of a request."""

    books: Books
    asked: Mapping[str, Any]


Question = tuple[int, Mapping[str, Any]]
"""The price book's place, and the line that is asked of it, as the JSON of a request."""
Run = Callable[
    [Callable[[Common, Question], Figures | NoQuote], Common, Iterable[Question]], Iterator[Figures | NoQuote]
]
"""How many questions are answered: each in turn, or several at once, the answers in the order of the questions."""


def in_turn(
    function: Callable[[Shared, Item], Result], shared: Shared, items: Iterable[Item]
) -> Iterator[Result]:  # fmt: skip
    """Answer one question after the other."""
    return (function(shared, item) for item in items)


def compare(
    combinations: Iterable[Combination], common: Mapping[str, Any], books: Books, run: Run = in_turn,
    known: Callable[[Combination], Figures | None] = lambda _: None,
) -> Iterator[Row]:  # fmt: skip
    """Quote every combination, in order; each row comes as soon as it and those before it are done.

    common: what all of them ask for beside their line, as the JSON of a request has it; known: gives the figures of a
    row that is not to be worked out again.
    """
    ahead, behind = tee((each, known(each)) for each in combinations)
    asked = ((each.book, _line(each)) for each, figures in ahead if figures is None)
    answers = run(answer, Common(books, common), asked)
    for combination, figures in behind:
        found = next(answers) if figures is None else figures
        if isinstance(found, Figures):
            yield Row(combination, found)
        else:
            yield Row(combination, None, found.status, found.reasons)


def answer(common: Common, question: Question) -> Figures | NoQuote:
    """Answer one question: the figures of its quote, or why there is none."""
    at, line = question
    book = common.books[at]
    try:
        request = read_request({**common.asked, "lines": [line]}, book, designs())
        return figures_of(make_quote(request, book, suggest=False))
    except RequestFaultsError as error:
        return NoQuote("refused", tuple(Reason(fault.code, fault.detail) for fault in error.faults))
    except NothingFitsError as error:
        return NoQuote("cannot_be_bought", tuple(Reason(each.code, each.message) for each in error.lacking))


def figures_of(quote: Quote, work: Work | None = None) -> Figures:
    """Take from a quote of one line of a design what it is compared by; work: that of the quote, if it is known."""
    work = work or work_for(quote, quote.request.units)
    totals, (line,), (frame,) = quote.totals, quote.request.lines, quote.frames
    statuses = [finding.status for _, finding in quote.findings]
    made = [status for status in statuses if status is not Status.NOT_CHECKED] or statuses
    used = [finding.utilisation for _, finding in quote.findings if finding.rule in RULES]
    unreckoned = statuses.count(Status.UNRECKONED)
    return Figures(
        totals.total, totals.total // line.quantity, totals.lumber, totals.hardware, totals.supplies, totals.trips,
        totals.tax,
        boards=sum(boards.quantity for boards in quote.purchase.boards.bought),
        waste=waste_of(quote.purchase.boards.cut, quote.request.shop),
        mass_g=frame.mass_g,
        longest_piece=max(piece.longest for piece in frame.carried_pieces),
        failed_checks=statuses.count(Status.FAIL),
        worst_check=max(made, key=BY_BADNESS.index, default=None),
        worst_utilisation=None if unreckoned else max((each for each in used if each is not None), default=None),
        hands_on=work.hands_on,
        proof=quote.proof.status,
        unreckoned=unreckoned,
        serves=serves(line.frame) if line.frame else "",
        finishing=work.times["finishing"],
        taking_apart=work.times["taking-apart"],
    )  # fmt: skip


def serves(frame: Frame) -> str:
    """What a frame is for, and how large that is: who sleeps where, and what else carries people or goods."""
    high = f", {len(frame.high_beds)} of them high" if frame.high_beds else ""
    beds = sorted(f"sleeps {max(sides)} x {min(sides)}" for sides in map(_sides, frame.sleeping_places))
    carrying = (each for each in frame.surfaces if each.parts)
    others = sorted(
        f"{each.use} {size[0]} x {size[1]}"
        for each in carrying
        for size in [bounds(frame.boxes[part] for part in each.parts).size]
    )
    return "; ".join((*beds, *others)) + high


def _sides(place: SleepingPlace) -> tuple[int, int]:
    return place.mattress.length, place.mattress.width


def _line(asked: Combination) -> Mapping[str, Any]:
    """Write the line of a row, its design by name: every process finds the same designs on offer."""
    return {"label": asked.label, "design": asked.design.name, "options": asked.options, "quantity": asked.quantity}


def waste_of(cut: Iterable[CutBoards], shop: Shop) -> Fraction:
    """Of the boards cut, the share by volume that is of no more use: saw cuts, end trim, leftovers not worth keeping.

    A leftover is counted as it is carried, in as many pieces as it must be cut into.
    """
    sawn, lost = 0, 0
    for each in cut:
        wood, board = each.wood, each.board
        kept = sum(
            length for length in carried_lengths(board.leftover, wood.carry, shop.kerf)
            if length and length >= shop.keep_offcut
        )  # fmt: skip
        used = sum(part.length for part in board.cuts) + kept
        area = wood.section.thickness * wood.section.width * board.count
        sawn, lost = sawn + area * wood.length, lost + area * (wood.length - used)
    return Fraction(lost, sawn) if sawn else Fraction(0)
