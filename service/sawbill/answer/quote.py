"""A quote and a cutting plan, declared: what the service and the command line both send. Needs no web framework."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.checks import Check, Holding, LineFinding, Warning
from sawbill.answer.declared.cuts import CutBoards, CutLine, Leftover, PlanCut, SawStop, leftovers, stops
from sawbill.answer.declared.drawings import Drawing, DrawingLink, Place, drawing_links
from sawbill.answer.declared.fields import Answered, Json
from sawbill.answer.declared.furniture import Areas, Frame
from sawbill.answer.declared.making import Drilled, Minutes, NeededTool, NumberedStep, Step, holes
from sawbill.answer.declared.purchase import (
    Hardware,
    HardwareToBuy,
    LoadHome,
    LumberToBuy,
    Supply,
    SupplyToBuy,
    to_buy,
)
from sawbill.answer.declared.rounded import share
from sawbill.answer.declared.totals import (
    Labour,
    NearMiss,
    NumberedLine,
    PlanTotals,
    Proof,
    QuotedBook,
    QuotedLine,
    SellingPrice,
    Share,
    Totals,
    Trip,
    labour,
    prices,
)
from sawbill.answer.declared.ways_out import Calculation, CalculationSource, LineCalculation, WaysOut, sources
from sawbill.answer.declared.writing import QuoteWriting
from sawbill.drawings.shop.cutting import cutting_names
from sawbill.quoting import quote as quoting
from sawbill.quoting.comparing.comparison import waste_of
from sawbill.quoting.drawn import sawn_boards
from sawbill.quoting.shares import shares
from sawbill.quoting.work import Work, work_for
from sawbill.trade.lengths import System
from sawbill.version import VERSION

ENGINE: Final = VERSION
"""The version of the engine, which with the request and the price book's revision decides a quote."""


def quote_json(
    quote: quoting.Quote, units: System | None = None, work: Work | None = None, at: Place | None = None
) -> Json:  # fmt: skip
    """Give a quote as the JSON object of an answer, its lengths written in a system: unset, the request's own.

    work: that of the quote in this system, where it is known already; at: where its drawings are, if anywhere.
    """
    system = units or quote.request.units
    out = QuoteWriting(system, quote.book.decimals, quote, work or work_for(quote, system), at)
    return Quote.written(quote, out)


def plan_json(quote: quoting.Quote) -> Json:
    """Give a quote of own pieces alone as the JSON object of a cutting plan: the parts of it that apply."""
    units = quote.request.units
    return PiecesPlan.written(quote, QuoteWriting(units, quote.book.decimals, quote, work_for(quote, units)))


def _links(quote: quoting.Quote, out: QuoteWriting) -> Iterator[DrawingLink]:
    """Its drawings; none where the quote has no address."""
    if out.at is None:
        return iter(())
    stages: dict[int, list[str]] = {}
    for each in out.work.steps:
        if each.step.stages:
            stages.setdefault(each.line, [stage.called for stage in each.step.stages])
    return drawing_links(out.at, stages, cutting_names(sawn_boards(quote), quote.request.units))


class Quote(Answered):
    """A quote: what to buy, how to cut it, what it costs."""

    engine = f.text("The version of the engine that made it.", "0.10.0", lambda *_: ENGINE)
    units = f.text(
        "The system its lengths are written in.", "inch", lambda _, out: out.units, choices=["inch", "metric"]
    )  # fmt: skip
    price_book = f.group(QuotedBook, "The price book it was made from.", "book")
    totals = f.group(Totals, "What is spent.")
    proof = f.group(Proof, "How far the cutting plan is proven.")
    holding = f.group(
        Holding, "Whether boards hold, and what that costs; null without a frame.",
        lambda quote, _: quote.holding if quote.frames else None, none=True,
    )  # fmt: skip
    lines = f.rows(
        QuotedLine, "The lines of the request.",
        lambda quote, _: [NumberedLine(*each) for each in enumerate(quote.request.lines)],
    )  # fmt: skip
    shares = f.rows(Share, "What each line of the request bears of the purchase.", lambda quote, _: shares(quote))
    trips = f.rows(Trip, "The suppliers to go to, or to be brought from.", "visits")
    shopping_list = f.rows(
        {"lumber": LumberToBuy, "hardware": HardwareToBuy, "supply": SupplyToBuy},
        "What to buy: lumber, then hardware, then supplies.", lambda quote, _: to_buy(quote.purchase),
    )  # fmt: skip
    cut_list = f.rows(CutLine, "What to cut, parts that are cut alike together.", "take_off.cut_list")
    saw_stops = f.rows(
        SawStop, "The settings of the saw's stop, for cutting like lengths together.", lambda quote, _: stops(quote)
    )
    cutting_plan = f.rows(CutBoards, "How to cut the boards, those cut alike in one row.", "purchase.boards.cut")
    near_misses = f.rows(NearMiss, "What a little less length would save.")
    leftovers = f.rows(
        Leftover, "What is worth keeping; a row of on_hand for the next request.",
        lambda quote, _: leftovers(quote),
    )  # fmt: skip
    waste = f.number(
        "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover worth keeping "
        "[share of 1].", 0.0522, lambda quote, _: share(waste_of(quote.purchase.boards.cut, quote.request.shop)),
    )  # fmt: skip
    load_home = f.group(LoadHome, "The boards to fetch, as a load.")
    hardware = f.rows(Hardware, "The hardware needed, and how it is bought.", "purchase.hardware")
    supplies = f.rows(Supply, "The supplies needed, and how they are bought.", "purchase.supplies")
    checks = f.rows(
        Check, "The rules the frames were checked against.",
        lambda quote, _: [LineFinding(*each) for each in quote.findings],
    )  # fmt: skip
    ways_out = f.rows(WaysOut, "The ways out of checks that `ways_out` asks for.")
    calculations = f.rows(
        Calculation, "How much is used of what wood and bolts bear, line by line, where `trace` asks.",
        lambda quote, _: [LineCalculation(*each) for each in quote.calculations],
    )  # fmt: skip
    calculation_sources = f.rows(
        CalculationSource, "What their lines rest on, each once.", lambda quote, _: sources(quote)
    )  # fmt: skip
    areas = f.group(Areas, "What is glued, and what is left to finish.", "take_off")
    drilling = f.rows(
        Drilled,
        "The holes, mark by mark: of one part, and all that are like it.",
        lambda _, out: holes(out.work.drilling),
    )
    steps = f.rows(
        Step, "What to do, in order, and how long it takes.",
        lambda _, out: [NumberedStep(*each) for each in enumerate(out.work.steps, 1)],
    )  # fmt: skip
    tools = f.rows(NeededTool, "The tools that the steps take.", lambda _, out: out.work.tools)
    hands_on_minutes = f.group(
        Minutes, "The time at work until it stands, all people's together; finishing is told by itself, as is taking "
        "apart.", lambda _, out: out.work.hands_on,
    )  # fmt: skip
    finishing_minutes = f.group(Minutes, "The time at work on its finish.", lambda _, out: out.work.times["finishing"])
    taking_apart_minutes = f.group(
        Minutes, "The time at work to take it apart again.", lambda _, out: out.work.times["taking-apart"]
    )
    elapsed_minutes = f.group(
        Minutes, "How long it takes until it stands with its finish, waiting included, where each step has as many "
        "people as it takes.", lambda _, out: out.work.elapsed.whole(),
    )  # fmt: skip
    waiting_minutes = f.group(
        Minutes, "The time to wait in all steps together.", lambda _, out: out.work.waiting
    )  # fmt: skip
    labour = f.group(Labour, "What the time at work costs; null without a labour_rate.", labour, none=True)
    selling_prices = f.rows(SellingPrice, "What it may be sold for, by each way that was asked for.", prices)
    warnings = f.rows(Warning, "What else to know about the quote.")
    frames = f.rows(Frame, "The frame of each line that names a design.")
    frame = f.group(
        Frame, "The frame, where one line alone names a design; else null.",
        lambda quote, _: quote.frames[0] if len(quote.frames) == 1 else None, none=True,
    )  # fmt: skip
    drawings = f.rows(Drawing, "Drawings and sheets; none where the quote has no address.", _links)


class PiecesPlan(Answered):
    """A cutting plan: which boards to buy, how to cut them, what they cost."""

    engine = Quote.engine
    units = Quote.units
    price_book = Quote.price_book
    totals = f.group(PlanTotals, "What is spent.")
    proof = Quote.proof
    trips = Quote.trips
    shopping_list = f.rows(LumberToBuy, "What to buy.", lambda quote, _: to_buy(quote.purchase))
    cut_list = f.rows(PlanCut, "What to cut, in the order of the pieces asked for.", "take_off.cut_list")
    saw_stops = Quote.saw_stops
    cutting_plan = Quote.cutting_plan
    near_misses = Quote.near_misses
    leftovers = Quote.leftovers
    warnings = Quote.warnings
