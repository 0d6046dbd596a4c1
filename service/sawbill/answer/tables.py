"""The tables of a quote: their names, columns and rows, which scripts and sheets may rely on.

A column shows a key of what the quote declares; only what is a table's own is told here. The rows are read from what
was declared, whether just made or kept by an older engine; a cutting plan has fewer tables. Columns may be added at the
end of a table, never renamed or moved.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from sawbill.answer import columns as c
from sawbill.answer import records
from sawbill.answer.columns import Table, table
from sawbill.answer.declared.quoted.checks import Check, Warning
from sawbill.answer.declared.quoted.cuts import CutBoards, CutLine, Leftover, SawStop
from sawbill.answer.declared.quoted.furniture import CarriedPiece
from sawbill.answer.declared.quoted.making import Drilled, Housing, NeededTool, Step
from sawbill.answer.declared.quoted.purchase import Hardware, HardwareToBuy, LumberToBuy, Supply, SupplyToBuy
from sawbill.answer.declared.quoted.totals import NearMiss, SellingPrice, Share
from sawbill.answer.declared.quoted.ways_out import Calculation, CalculationLine
from sawbill.answer.quote import Quote

_LINE: Final = c.of(Check.line, shown=False)
_LABEL: Final = c.of(CutLine.label)

_SHOPPING: Final = table(
    "Shopping list", Quote.shopping_list,
    c.of(LumberToBuy.kind, "What the row is: lumber, hardware or supply.", shown=False),
    c.of(LumberToBuy.quantity, "How many boards, packs or containers to buy."),
    c.text("what", "What to buy, in words.", "2x4 x 96 in SPF No.2", records.what),
    c.of(LumberToBuy.section, shown=False),
    c.of(HardwareToBuy.item, "The hardware or supply.", shown=False),
    c.of(HardwareToBuy.size, "The size of hardware that has one.", shown=False),
    c.of(LumberToBuy.length, "The length of a board, or of hardware that has one.", shown=False),
    c.of(LumberToBuy.species, "The species of boards.", shown=False),
    c.of(LumberToBuy.grade, "The grade of boards.", shown=False),
    c.of(HardwareToBuy.pack, "How many pieces are in one pack of hardware.", shown=False),
    c.of(SupplyToBuy.container, "What one container of a supply holds, with its unit.", shown=False),
    c.of(LumberToBuy.spare, "How many of the boards no cut is planned for.", shown=False),
    c.of(LumberToBuy.supplier), c.of(LumberToBuy.item_code),
    c.of(LumberToBuy.each, "The price of one board, pack or container."), c.of(LumberToBuy.amount), c.currency(),
)  # fmt: skip
_CUTS: Final = table(
    "Cut list", Quote.cut_list,
    c.of(CutLine.part), c.of(CutLine.quantity), c.of(CutLine.name), c.of(CutLine.section), c.of(CutLine.length),
    c.of(CutLine.ripped), c.of(CutLine.species, between=", ", shown=False),
    c.of(CutLine.grades, between=", ", shown=False), _LABEL, _LINE,
    c.of(CutLine.design_values, between="; ", shown=False),
    c.text("marks", "Where they are drilled differently: how many of one frame are alike.", "4 x C1, 4 x C2",
           records.marks),
)  # fmt: skip
_PLAN: Final = table(
    "Cutting plan", Quote.cutting_plan,
    c.whole("row", "Its place in the plan, from 0.", 0, shown=False),
    c.of(CutBoards.count), c.of(CutBoards.section), c.of(CutBoards.stock_length), c.of(CutBoards.species),
    c.of(CutBoards.grade), c.of(CutBoards.item_code, shown=False), c.of(CutBoards.on_hand, shown=False),
    c.text("cuts", "The cuts in their order: part and length, like ones together.", "3 x I 60 7/8 in", records.cuts),
    c.of(CutBoards.trim)[:1], c.of(CutBoards.kerf)[:1], c.of(CutBoards.leftover),
    c.text("at_yard", "What to have one cut into at the yard; empty: it is carried whole.", "96 in + 96 in",
           records.at_yard),
    records=records.numbered("cutting_plan", "row"),
)  # fmt: skip
_STOPS: Final = table(
    "Saw stop settings", Quote.saw_stops,
    c.of(SawStop.section), c.of(SawStop.length), c.of(SawStop.count), c.of(SawStop.parts),
    c.of(SawStop.boards, "The rows of the cutting plan they come from, from 0.", shown=False),
)  # fmt: skip
_HARDWARE: Final = table(
    "Hardware", Quote.hardware,
    c.of(Hardware.item), c.of(Hardware.size), c.of(Hardware.length), c.of(Hardware.quantity), c.of(Hardware.owned),
    c.text("packs", "The packs to buy: how many, of how many pieces.", "2 x 10", records.packs),
    c.of(Hardware.left_over), c.of(Hardware.amount), c.currency(),
)  # fmt: skip
_SUPPLIES: Final = table(
    "Supplies", Quote.supplies,
    c.of(Supply.item), c.of(Supply.quantity), c.of(Supply.owned), c.of(Supply.left_over), c.of(Supply.unit),
    c.text("packs", "The containers to buy: how many, of what.", "1 x 8 fl oz", records.packs),
    c.of(Supply.amount), c.currency(),
)  # fmt: skip
_LEFTOVERS: Final = table(
    "Leftovers worth keeping", Quote.leftovers,
    c.of(Leftover.quantity), c.of(Leftover.section), c.of(Leftover.length), c.of(Leftover.species),
    c.of(Leftover.grade), c.of(Leftover.design_values, shown=False),
)  # fmt: skip
_CHECKS: Final = table(
    "Checks (for planning, not a certificate)", Quote.checks,
    c.of(Check.status), c.of(Check.rule), c.of(Check.found), c.of(Check.required), c.of(Check.source),
    c.of(Check.clause), c.of(Check.message, shown=False), c.of(Check.parts), _LABEL, _LINE, c.of(Check.utilisation),
    records=records.labelled("checks"),
)  # fmt: skip
_STEPS: Final = table(
    "Steps", Quote.steps,
    c.of(Step.number), c.of(Step.title), c.of(Step.text, shown=False), c.of(Step.people),
    c.of(Step.hands_on_minutes), c.of(Step.waiting_minutes), c.of(Step.parts, shown=False),
    c.of(Step.cautions, shown=False), _LABEL, _LINE,
)  # fmt: skip
_TOOLS: Final = table(
    "Tools", Quote.tools, c.of(NeededTool.quantity), c.of(NeededTool.tool), c.of(NeededTool.size), c.of(NeededTool.use)
)  # fmt: skip
_CARRIED: Final = Table(
    "carried-pieces", "Pieces to carry", "The pieces that the furniture comes apart into.",
    c.columns(
        c.of(CarriedPiece.name), c.of(CarriedPiece.count, "How many are alike, of one of the line."),
        c.of(CarriedPiece.longest), c.of(CarriedPiece.mass_kg), _LABEL, _LINE,
    ), records.carried,
)  # fmt: skip
_SHARES: Final = table(
    "Cost shares", Quote.shares,
    _LABEL, c.of(Share.quantity),
    *(c.of(each, shown=False) for each in (Share.lumber, Share.hardware, Share.supplies, Share.trips, Share.tax)),
    c.of(Share.total), c.of(Share.each), c.of(Share.remainder), c.currency(), _LINE,
)  # fmt: skip
_NEAR_MISSES: Final = table(
    "Savings by cutting shorter", Quote.near_misses,
    c.of(NearMiss.part), c.of(NearMiss.length), c.of(NearMiss.shorter), c.of(NearMiss.saves), c.currency(),
)  # fmt: skip
_WARNINGS: Final = table(
    "Notes and warnings", Quote.warnings,
    c.of(Warning.severity), c.of(Warning.code, shown=False), c.of(Warning.message), c.of(Warning.parts),
)  # fmt: skip
_COSTS: Final = Table(
    "costs", "Costs", "What is spent on what; the column adds up to the total.",
    c.columns(
        c.text("cost", "What it is spent on, or total, used, contingency or budget.", "lumber"),
        c.money("amount", "How much.", "148.20"),
        c.money("adds", "What of it adds to the total: empty for sums, and for tax that the prices hold.", "148.20"),
        c.currency(), c.text("meaning", "What is counted in it.", "Boards.", shown=False),
    ), records.costs,
)  # fmt: skip
_CALCULATIONS: Final = table(
    "Calculations", Quote.calculations,
    c.of(Calculation.rule), c.of(Calculation.standard), c.of(CalculationLine.symbol), c.of(CalculationLine.name),
    c.of(CalculationLine.formula), c.of(CalculationLine.numbers, shown=False), c.of(CalculationLine.value),
    c.of(CalculationLine.unit), c.of(CalculationLine.source), c.of(CalculationLine.clause),
    c.of(Calculation.part, shown=False), c.of(Calculation.when, shown=False), _LABEL, _LINE,
    records=records.calculations,
)  # fmt: skip
_DRILLING: Final = table(
    "Drilling", Quote.drilling,
    c.of(Drilled.mark), c.of(Drilled.quantity), c.of(Drilled.like), c.of(Drilled.purpose), c.of(Drilled.diameter),
    c.of(Drilled.depth), c.of(Drilled.into),
    c.text("places", "How far the middle of each is from one side.", "9 5/16 in, 10 3/4 in", records.places),
    c.of(Drilled.along), c.of(Drilled.place), c.of(Drilled.across), c.of(Drilled.part, shown=False), _LABEL, _LINE,
    records=records.labelled("drilling"),
)  # fmt: skip
_HOUSINGS: Final = table(
    "Housings", Quote.housings,
    c.of(Housing.mark), c.of(Housing.quantity), c.of(Housing.like), c.of(Housing.depth), c.of(Housing.width),
    c.of(Housing.length), c.of(Housing.into),
    c.text("places", "How far from one side each begins.", "8 1/4 in, 18 in", records.places),
    c.of(Housing.along), c.of(Housing.place), c.of(Housing.across), c.of(Housing.part, shown=False), _LABEL, _LINE,
    records=records.labelled("housings"),
)  # fmt: skip
_SELLING: Final = table(
    "Selling prices", Quote.selling_prices,
    c.of(SellingPrice.method, shown=False), c.of(SellingPrice.rule), c.of(SellingPrice.least),
    c.of(SellingPrice.amount), c.of(SellingPrice.most), c.currency(),
)  # fmt: skip

ALL: Final[Sequence[Table]] = (
    _SHOPPING, _CUTS, _PLAN, _STOPS, _HARDWARE, _SUPPLIES, _LEFTOVERS, _CHECKS, _STEPS, _TOOLS, _CARRIED, _SHARES,
    _NEAR_MISSES, _WARNINGS, _COSTS, _CALCULATIONS, _DRILLING,
    _SELLING, _HOUSINGS,
)  # fmt: skip
TABLES: Final[Mapping[str, Table]] = MappingProxyType({each.name: each for each in ALL})
"""Every table by name, in the order of a whole quote."""
