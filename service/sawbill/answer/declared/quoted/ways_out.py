"""What mends a check, and how checks of strength are reckoned."""

from __future__ import annotations

from typing import NamedTuple
from urllib.parse import urlencode

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.answer.declared.quoted.checks import PARTS, status_of
from sawbill.answer.declared.rounded import kilograms
from sawbill.checks.strength.calculation import SOURCES, printed
from sawbill.checks.strength.calculation import Calculation as Sheet
from sawbill.quoting.quote import Quote


class Change(Answered):
    """An option that is changed."""

    option = f.text("The option of the design, or must_hold where boards alone are changed.", "end_board")
    before = f.text("What it is in this quote.", "2x6")
    after = f.text("What it is changed to.", "2x8")


class Way(Answered):
    """Changes with which nothing fails, the check is met, and nothing is warned of that is not now."""

    changes = f.rows(Change, "One or two options.")
    query = f.text(
        "The same as it is asked by URL.", "end_board=2x8",
        lambda way, _: urlencode({each.option: each.after for each in way.changes}),
    )  # fmt: skip
    total = f.money("What the total is then.", "348.71")
    costs = f.money("How much more that is than now.", "11.96", lambda way, out: way.total - out.quote.totals.total)
    mass_kg = f.number("What the frame weighs then [kg].", 96.2, lambda way, _: kilograms(way.mass_g))
    boards = f.whole("How many boards are bought then.", 31)
    longest_piece = f.length("The longest piece that is carried then.", 2082.8, "82 in")


class WaysOut(Answered):
    """What was tried to mend a check that fails, is not known or warns, and what does."""

    line = f.whole("The line of the request, from 0.", 0)
    rule = f.text("The rule, by the name that `checks` has for it.", "bolted-end", "finding.rule")
    status = status_of("fail")
    parts = f.rows(
        f.text("A part, as the cut list names it.", "D"), PARTS,
        lambda found, out: out.ids(found.line, found.finding.parts),
    )  # fmt: skip
    ways = f.rows(Way, "Up to three ways out, the nearest first; none where nothing that was tried helps.")
    tried_single = f.whole(
        "How many changes of one option were tried, a step or two each way: in the strongest wood on sale, and with "
        "boards bought where that passes.", 36, "singles",
    )  # fmt: skip
    tried_pairs = f.whole("How many changes of two options.", 0, "pairs")
    cut_short = f.flag(
        "Whether there were more of them that were not tried; a job tries all (POST /v1/quotes with Prefer: "
        "respond-async).", example=False,
    )  # fmt: skip


class CalculationLine(Answered):
    """One line of a calculation."""

    symbol = f.text("What it is called in the formulas below it.", "M")
    name = f.text("What it is, in words.", "moment there: each force before it by its lever")
    formula = f.text(
        "How it is reckoned from lines above, in their symbols; null of what is given.", "V / A", none=True
    )
    numbers = f.text("The same with their numbers, to six figures.", "5200 / 5322.57", none=True)
    value = f.number("What it comes to [unit].", 714290.25)
    shown = f.text("The value as text, to six figures.", "714290", lambda line, _: printed(line.value))
    unit = f.text("Its unit; null of a plain number.", "N mm", none=True)
    source = f.text("What it rests on, by a name of calculation_sources; null of plain sums.", "NDS", none=True)
    clause = f.text("The clause or the table of the source; null without one.", "3.3.2", none=True)
    inputs = f.rows(f.text("A symbol.", "V"), "The symbols of the lines it is reckoned from.")


class LineCalculation(NamedTuple):
    """A calculation, and the line of the request that it is of."""

    line: int
    sheet: Sheet


class Calculation(Answered):
    """How much is used of one rule of strength, by one standard, where most of it is used."""

    line = f.whole("The line of the request, from 0.", 0)
    rule = f.text("The rule, by the name that every answer has for it.", "bolts", "sheet.rule")
    standard = f.text(
        "The standard that it is reckoned by, or practice where there is none.", "NDS", "sheet.standard",
        choices=["NDS", "EC5", "practice"]
    )  # fmt: skip
    title = f.text("What is reckoned, in words.", "Bolts across", "sheet.title")
    part = f.text("The part that it is reckoned of, as the cut list names it.", "side rail", "sheet.part")
    when = f.text(
        "The load, and where it stands: what the furniture is put to.",
        "someone drops onto one spot of the bed",
        "sheet.when",
    )
    holds = f.flag(
        "Whether no more than all of it is used.", lambda written, _: written.sheet.used <= 1, example=True
    )  # fmt: skip
    lines = f.rows(
        CalculationLine, "The calculation, from what is given down to the share that is used.", "sheet.lines"
    )  # fmt: skip


def sources(quote: Quote) -> list[tuple[str, str]]:
    """What the lines of the calculations rest on, each once, in the order in which they are first named."""
    named = dict.fromkeys(each.source for _, sheet in quote.calculations for each in sheet.lines)
    return [(name, SOURCES[name]) for name in named if name]


class CalculationSource(Answered):
    """What lines of calculations rest on."""

    name = f.text("How the lines name it.", "NDS", lambda named, _: named[0])
    title = f.text(
        "Its full title.", "National Design Specification for Wood Construction (NDS), 2018", lambda named, _: named[1]
    )
