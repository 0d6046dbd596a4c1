"""What is cut: the cut list, the boards it is cut from, the saw's stops, and what is left over."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.answer.declared.writing import QuoteWriting
from sawbill.buying import boards as bought
from sawbill.buying.lots import strips_of
from sawbill.buying.takeoff import CutLine as Cuts
from sawbill.cutting import Cut as Piece
from sawbill.cutting import carried_lengths
from sawbill.making.drilling import Drilled
from sawbill.quoting.quote import Quote
from sawbill.trade.design_values import values_of


class DrilledAlike(Answered):
    """Parts of one letter that are drilled alike."""

    mark = f.text("What to mark them with: the letter and a number.", "C2", "mark.name")
    each = f.whole("How many of one frame.", 4, lambda drilled, _: len(drilled.parts))
    mirror_of = f.text("The mark whose mirror image they are; null of none before.", None, "mark.mirror_of", none=True)


def _marks(cut: Cuts, out: QuoteWriting) -> list[Drilled]:
    """The marks of parts that are drilled differently, or none where all are alike."""
    drilled = out.work.drilling.get(cut.line, ())
    return [each for each in drilled if each.letter == cut.id and each.mark.name != each.letter]


def _design_values(cut: Cuts, out: QuoteWriting) -> list[str]:
    """What the wood cut for parts is reckoned with; none of all of it where of some nothing is known."""
    found = [values_of(wood) if cut.ripped is None else None for wood in out.quote.woods[cut.id]]
    return [] if None in found else [*dict.fromkeys(each.words for each in found if each is not None)]


class CutLine(Answered):
    """Parts that are cut alike."""

    part = f.text("What names them through the whole answer.", "A", "id")
    line = f.whole("The line of the request they belong to, from 0.", 0)
    label = f.text("What the line is called.", "guest room", lambda cut, out: out.label(cut.line))
    name = f.text("What they are called, as in the drawings.", "side rail")
    section = f.text("The section they are cut from.", "2x6", "section.name")
    length = f.length("The length they are cut to.", 2133.6, "84 in")
    ripped = f.length(
        "The width they are ripped to; null where they keep their section's width.", 19.05, "3/4 in", none=True
    )
    quantity = f.whole("How many there are in all.", 4)
    species = f.rows(
        f.text("A species.", "SPF"), "The species that will do; none named: any.",
        lambda cut, out: cut.species or out.quote.request.species,
    )  # fmt: skip
    grades = f.rows(
        f.text("A grade.", "No.2"), "The grades that will do; none named: any.",
        lambda cut, out: cut.grades or out.quote.request.grades,
    )  # fmt: skip
    design_values = f.rows(
        f.text("Species and grade, or class, and the table.", "SPF No.2, NDS Supplement 2018, Table 4A"),
        "With which values the wood that is cut for them is reckoned, where it carries; none where of some no table "
        "tells.", _design_values,
    )  # fmt: skip
    marks = f.rows(
        DrilledAlike, "Where its parts are drilled differently: which are alike. Empty where all are.", _marks
    )


class PlanCut(Answered):
    """Pieces that are cut alike."""

    part = CutLine.part
    name = CutLine.name
    section = CutLine.section
    length = CutLine.length
    quantity = CutLine.quantity
    species = CutLine.species
    grades = CutLine.grades


class CutOf(NamedTuple):
    """A cut, and the boards that it is of."""

    boards: bought.CutBoards
    cut: Piece


def _strips(sawn: CutOf, out: QuoteWriting) -> int | None:
    """Into how many strips a blank is ripped; None of what is no blank."""
    boards, cut = sawn
    if not cut.blank:
        return None
    return strips_of(boards.wood.section.width, out.ripped[cut.key], out.quote.request.shop.kerf)


class Cut(Answered):
    """One piece of a board, or one blank that small parts are ripped and cut from."""

    part = f.text("The part, as the cut list names it.", "D", "cut.key")
    length = f.length("The length cut off.", 381, "15 in", "cut.length")
    at = f.length("Where it begins, from the board's squared end.", 1524, "60 in", "cut.at")
    to = f.length(
        "Where it ends, from there: the mark on the tape; the saw cuts beyond it.", 1905, "75 in",
        lambda sawn, _: sawn.cut.at + sawn.cut.length,
    )  # fmt: skip
    parts = f.whole("How many parts it gives: 1, or more out of a blank.", 1, "cut.parts")
    blank = f.flag("Whether it is a blank for small parts.", "cut.blank", example=False)
    strips = f.whole("Into how many strips a blank is ripped; null of all else.", None, _strips, none=True)


class CutBoards(Answered):
    """Boards that are cut alike."""

    count = f.whole("How many boards are cut so.", 6, "board.count")
    section = f.text("Their section.", "2x4", "wood.section.name")
    species = f.text("Their species; null where it is not known.", "SPF", "wood.species", none=True)
    grade = f.text("Their grade; null where it is not known.", "No.2", "wood.grade", none=True)
    stock_length = f.length("The length there is to cut from.", 2438.4, "96 in", "wood.length")
    on_hand = f.flag(
        "Whether they are boards that the maker had.", lambda boards, _: boards.wood.offer is None, example=False
    )
    item_code = f.text(
        "The supplier's code for them; null for boards on hand.", "A-204-08",
        lambda boards, _: boards.wood.offer.item_code if boards.wood.offer else None, none=True,
    )  # fmt: skip
    trim = f.length("What squaring the end of one takes.", 12.7, "1/2 in", "wood.trim")
    kerf = f.length("What the saw takes of one in all its cuts, the trim apart.", 6.35, "1/4 in")
    cuts = f.rows(
        Cut, "The pieces in the order they are cut, longest first.",
        lambda boards, _: [CutOf(boards, cut) for cut in boards.board.cuts],
    )  # fmt: skip
    leftover = f.length("What is left of one.", 381, "15 in", "board.leftover")
    yard_cuts = f.rows(
        f.length("A length to be carried.", 2438.4, "96 in"),
        "The lengths to have one cut into at the yard, from its squared end on, one saw's width lost between each two; "
        "none where it is carried whole. The first has the end trim on it still, unless yard_squares.", "board.carried",
    )  # fmt: skip
    yard_squares = f.flag(
        "Whether the yard squares its end first, as trim and first cut together are too long to carry.",
        "squared_at_yard", example=False,
    )  # fmt: skip


class StopSetting(NamedTuple):
    """A setting of the saw's stop [nm]: how often each part is cut at it, from which row of the cutting plan."""

    section: str
    length: int
    cuts: Counter[tuple[str, int]]


def stops(quote: Quote) -> Iterator[StopSetting]:
    """The settings of the saw's stop, longest first within a section."""
    found: defaultdict[tuple[str, int], Counter[tuple[str, int]]] = defaultdict(Counter)
    for row, boards in enumerate(quote.purchase.boards.cut):
        for cut in boards.board.cuts:
            found[boards.wood.section.name, cut.length][cut.key, row] += boards.board.count
    for section, length in sorted(found, key=lambda stop: (stop[0], -stop[1])):
        yield StopSetting(section, length, found[section, length])


class SawStop(Answered):
    """One setting of the saw's stop."""

    section = f.text("The section of the boards.", "2x4")
    length = f.length("What to set the stop to.", 1546.225, "60 7/8 in")
    count = f.whole("How many cuts to that length, from all boards together.", 14, lambda stop, _: stop.cuts.total())
    parts = f.rows(
        f.text("A part of the cut list.", "I"), "The parts that are cut at it.",
        lambda stop, _: sorted({part for part, _ in stop.cuts}, key=lambda part: (len(part), part)),
    )  # fmt: skip
    boards = f.rows(
        f.whole("A row of the cutting plan, from 0.", 0), "The boards they come from.",
        lambda stop, _: sorted({row for _, row in stop.cuts}),
    )  # fmt: skip


class Offcuts(NamedTuple):
    """Leftovers alike: their section, what is known of their wood, their length [nm], how many."""

    section: str
    species: str
    grade: str
    design_values: str
    length: int
    quantity: int


def leftovers(quote: Quote) -> list[Offcuts]:
    """What is worth keeping of the boards cut, and spare boards, as they are carried; alike ones are one row."""
    shop, found = quote.request.shop, Counter[tuple[str, str, str, str, int]]()
    for each in quote.purchase.boards.cut:
        wood = each.wood
        kind = (wood.section.name, wood.species or "", wood.grade or "", wood.design_values or "")
        for length in carried_lengths(each.board.leftover, wood.carry, shop.kerf):
            found[*kind, length] += each.board.count
    for boards in quote.purchase.boards.bought:
        offer = boards.offer
        kind = (offer.section.name, offer.species, offer.grade, offer.design_values or "")
        for length in carried_lengths(offer.usable_length, shop.longest_board, shop.kerf):
            found[*kind, length] += boards.spare
    kept = [row for row, count in found.items() if count and row[-1] and row[-1] >= shop.keep_offcut]
    return [Offcuts(*row, found[row]) for row in sorted(kept, key=lambda row: (*row[:4], -row[4]))]


class Leftover(Answered):
    """Leftovers alike that are worth keeping, and spare boards; a row of on_hand for the next request."""

    section = f.text("Their section.", "2x4")
    species = f.text("Their species; null where it is not known.", "SPF", none=True)
    grade = f.text("Their grade; null where it is not known.", "No.2", none=True)
    design_values = f.text("What was told of their strength beside their grade, if anything.", "C24", none=True)
    length = f.length("The length of each.", 914.4, "36 in")
    quantity = f.whole("How many there are.", 3)
