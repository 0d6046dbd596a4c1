"""A quote and a cutting plan, declared: what the service and the command line both send. Needs no web framework."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered, Json
from sawbill.answer.declared.quoted.checks import Check, Holding, LineFinding, Warning
from sawbill.answer.declared.quoted.cuts import CutBoards, CutLine, Leftover, PlanCut, SawStop, leftovers, stops
from sawbill.answer.declared.quoted.drawings import Drawing, DrawingLink, Place, drawing_links
from sawbill.answer.declared.quoted.furniture import Areas, Frame
from sawbill.answer.declared.quoted.making import (
    Drilled,
    Housing,
    Minutes,
    NeededTool,
    NumberedStep,
    Step,
    holes,
    housings,
)
from sawbill.answer.declared.quoted.purchase import (
    Hardware,
    HardwareToBuy,
    LoadHome,
    LumberToBuy,
    Supply,
    SupplyToBuy,
    to_buy,
)
from sawbill.answer.declared.quoted.totals import (
    Labour,
    NearMiss,
    NumberedLine,
    PlanTotals,
    PricedBy,
    Proof,
    QuotedBook,
    QuotedLine,
    SellingPrice,
    Share,
    Totals,
    Trip,
    labour,
    priced,
    prices,
)
from sawbill.answer.declared.quoted.ways_out import Calculation, CalculationSource, LineCalculation, WaysOut, sources
from sawbill.answer.declared.rounded import share
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

    engine = f.text("The version of Sawbill that made it.", "0.15.0", lambda *_: ENGINE)
    units = f.text(
        "The system its lengths are written in.", "inch", lambda _, out: out.units, choices=["inch", "metric"]
    )  # fmt: skip
    price_book = f.group(QuotedBook, "The price book it was made from.", "book")
    totals = f.group(Totals, "What is spent on what, and in all.")
    proof = f.group(Proof, "How far the cutting plan is proven.")
    holding = f.group(
        Holding, "Whether boards hold, and what that costs; null without a frame.",
        lambda quote, _: quote.holding if quote.frames else None, none=True,
    )  # fmt: skip
    lines = f.rows(
        QuotedLine, "The lines of the request.",
        lambda quote, _: [NumberedLine(*each) for each in enumerate(quote.request.lines)],
    )  # fmt: skip
    shares = f.rows(Share, "Each line's share of the cost.", lambda quote, _: shares(quote))
    trips = f.rows(Trip, "The suppliers: trips to them, and their deliveries.", "visits")
    shopping_list = f.rows(
        {"lumber": LumberToBuy, "hardware": HardwareToBuy, "supply": SupplyToBuy},
        "What to buy: lumber, then hardware, then supplies.", lambda quote, _: to_buy(quote.purchase),
    )  # fmt: skip
    cut_list = f.rows(CutLine, "The parts to cut; parts that are cut alike share a row.", "take_off.cut_list")
    saw_stops = f.rows(
        SawStop, "Where to set the saw's stop, to cut equal lengths in one go.", lambda quote, _: stops(quote)
    )
    cutting_plan = f.rows(
        CutBoards, "How to cut the boards; boards that are cut alike share a row.", "purchase.boards.cut"
    )
    near_misses = f.rows(NearMiss, "What you would save by making a part a little shorter.")
    leftovers = f.rows(
        Leftover, "Offcuts worth keeping, ready to paste into on_hand of the next request.",
        lambda quote, _: leftovers(quote),
    )  # fmt: skip
    waste = f.number(
        "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover worth keeping "
        "[share of 1].", 0.0522, lambda quote, _: share(waste_of(quote.purchase.boards.cut, quote.request.shop)),
    )  # fmt: skip
    load_home = f.group(LoadHome, "The boards to fetch, as a load.")
    hardware = f.rows(Hardware, "The hardware needed, and the packs to buy.", "purchase.hardware")
    supplies = f.rows(Supply, "Glue and other supplies needed, and the containers to buy.", "purchase.supplies")
    checks = f.rows(
        Check, "The rules the furniture was checked against.",
        lambda quote, _: [LineFinding(*each) for each in quote.findings],
    )  # fmt: skip
    ways_out = f.rows(WaysOut, "Changes that put right checks that fail or warn, if `ways_out` asks for them.")
    calculations = f.rows(
        Calculation, "The strength calculations, line by line, if `trace` asks for them.",
        lambda quote, _: [LineCalculation(*each) for each in quote.calculations],
    )  # fmt: skip
    calculation_sources = f.rows(
        CalculationSource, "The sources of the calculations.", lambda quote, _: sources(quote)
    )  # fmt: skip
    areas = f.group(Areas, "What is glued, and what is left to finish.", "take_off")
    drilling = f.rows(
        Drilled,
        "Where to drill, mark by mark; parts with the same mark are drilled alike.",
        lambda _, out: holes(out.work.drilling),
    )
    housings = f.rows(
        Housing, "Channels to cut for the ends of other parts, mark by mark.",
        lambda _, out: housings(out.work.drilling),
    )  # fmt: skip
    steps = f.rows(
        Step, "What to do, in order, and how long it takes.",
        lambda _, out: [NumberedStep(*each) for each in enumerate(out.work.steps, 1)],
    )  # fmt: skip
    tools = f.rows(NeededTool, "The tools needed.", lambda _, out: out.work.tools)
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
    pricing = f.group(
        PricedBy, "What is reckoned on top of the purchase, as it was asked; null where nothing was.", priced, none=True
    )  # fmt: skip
    selling_prices = f.rows(SellingPrice, "Selling prices, one for each method that was asked for.", prices)
    warnings = f.rows(Warning, "Anything else to know about the quote.")
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
    totals = f.group(PlanTotals, "What is spent on what, and in all.")
    proof = Quote.proof
    trips = Quote.trips
    shopping_list = f.rows(LumberToBuy, "What to buy.", lambda quote, _: to_buy(quote.purchase))
    cut_list = f.rows(PlanCut, "What to cut, in the order of the pieces asked for.", "take_off.cut_list")
    saw_stops = Quote.saw_stops
    cutting_plan = Quote.cutting_plan
    near_misses = Quote.near_misses
    leftovers = Quote.leftovers
    warnings = Quote.warnings
