"""The tables of a quote: their names, columns and rows, which scripts and sheets may rely on.

The rows are read from the JSON of a quote, or of a cutting plan, which has fewer tables. Columns may be added at the
end of a table, never renamed or moved.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from sawbill.answer import columns as c
from sawbill.answer import records
from sawbill.answer.columns import Table

_LINE: Final = c.whole("line", "The line of the request, from 0.", 0, shown=False)
_LABEL: Final = c.text("label", "What the line of the request is called.", "guest room")
_SPECIES: Final = c.text("species", "Their species; empty where it is not known.", "SPF")
_GRADE: Final = c.text("grade", "Their grade; empty where it is not known.", "No.2")
_SECTION: Final = c.text("section", "The section of the boards.", "2x4")
_PARTS: Final = c.words("parts", "The parts of the cut list it concerns.", "A B")
_ITEM: Final = c.text("item", "The piece of hardware.", "hex bolt")
_SIZE: Final = c.text("size", "Its size; empty for an item that has none.", "3/8 in")
_AMOUNT: Final = c.money("amount", "The price of all of the row.", "59.92")
_OWNED: Final = c.whole("owned", "How much of it the maker has.", 0)
_HARDWARE_LENGTH: Final = c.length("length", "Its length; empty for an item that has none.", 127, "5 in")

_SHOPPING: Final = Table(
    "shopping-list", "Shopping list", "What to buy: lumber, then hardware, then supplies.",
    c.columns(
        c.text("kind", "What the row is: lumber, hardware or supply.", "lumber", shown=False),
        c.whole("quantity", "How many boards, packs or containers to buy.", 14),
        c.text("what", "What to buy, in words.", "2x4 x 96 in SPF No.2", records.what),
        c.text("section", "The section of boards.", "2x4", shown=False),
        c.text("item", "The hardware or supply.", "hex bolt", shown=False),
        c.text("size", "The size of hardware that has one.", "3/8 in", shown=False),
        c.length("length", "The length of a board, or of hardware that has one.", 2438.4, "96 in")[:1],
        c.text("length", "The same as a workshop writes it.", "96 in", records.length_text,
               shown=False),
        c.text("species", "The species of boards.", "SPF", shown=False),
        c.text("grade", "The grade of boards.", "No.2", shown=False),
        c.whole("pack", "How many pieces are in one pack of hardware.", 10, shown=False),
        c.text("container", "What one container of a supply holds.", "8 fl oz", shown=False),
        c.whole("spare", "How many of the boards no cut is planned for.", 0, shown=False),
        c.text("supplier", "Who sells it.", "Yard A"),
        c.text("item_code", "The supplier's code for it.", "A-204-08"),
        c.money("each", "The price of one board, pack or container.", "4.28"),
        _AMOUNT, c.currency(),
    ), records.listed("shopping_list"),
)  # fmt: skip
_CUTS: Final = Table(
    "cut-list", "Cut list", "What to cut, parts that are cut alike together.",
    c.columns(
        c.text("part", "What names them through the whole quote.", "A"),
        c.whole("quantity", "How many in all.", 4),
        c.text("name", "What they are.", "side rail"),
        _SECTION, c.length("length", "The length they are cut to.", 2133.6, "84 in"),
        c.length("ripped", "The width they are ripped to; empty where they keep their section's.", 19.05, "3/4 in"),
        c.words("species", "The species that will do; empty: any.", "SPF", between=", ", shown=False),
        c.words("grades", "The grades that will do; empty: any.", "No.2", between=", ", shown=False),
        _LABEL, _LINE,
        c.words("design_values", "With which values their wood is reckoned; empty: no table tells of it.",
                "SPF No.2, NDS Supplement 2018, Table 4A", between="; ", shown=False),
        c.text("marks", "Where they are drilled differently: how many of one frame are alike.", "4 x C1, 4 x C2",
               records.marks),
    ), records.listed("cut_list"),
)  # fmt: skip
_PLAN: Final = Table(
    "cutting-plan", "Cutting plan", "How to cut the boards, those cut alike in one row.",
    c.columns(
        c.whole("row", "Its place in the plan, from 0.", 0, shown=False),
        c.whole("count", "How many boards are cut so.", 6),
        _SECTION, c.length("stock_length", "The length there is to cut from.", 2438.4, "96 in"),
        _SPECIES, _GRADE,
        c.text("item_code", "The supplier's code; empty for boards on hand.", "A-204-08", shown=False),
        c.flag("on_hand", "Whether the maker had them.", example=False, shown=False),
        c.text("cuts", "The cuts in their order: part and length, like ones together.", "3 x I 60 7/8 in",
               records.cuts),
        c.length("trim", "What squaring the end takes.", 12.7, "1/2 in")[:1],
        c.length("kerf", "What the saw takes of one in all its cuts.", 6.35, "1/4 in")[:1],
        c.length("leftover", "What is left of one.", 381, "15 in"),
        c.text("at_yard", "What to have one cut into at the yard; empty: it is carried whole.", "96 in + 96 in",
               records.at_yard),
    ), records.numbered("cutting_plan", "row"),
)  # fmt: skip
_STOPS: Final = Table(
    "saw-stops", "Saw stops", "The settings of the saw's stop, for cutting like lengths together.",
    c.columns(
        _SECTION, c.length("length", "What to set.", 1546.225, "60 7/8 in"),
        c.whole("count", "How many cuts to that length, from all boards together.", 14),
        c.words("parts", "The parts that are cut at it.", "A B"),
        c.text("boards", "The rows of the cutting plan they come from, from 0.", "0 3",
               lambda row: " ".join(map(str, row["boards"])), shown=False),
    ), records.listed("saw_stops"),
)  # fmt: skip
_HARDWARE: Final = Table(
    "hardware", "Hardware", "The hardware needed, and how it is bought.",
    c.columns(
        _ITEM, _SIZE, _HARDWARE_LENGTH, c.whole("quantity", "How many are needed.", 20), _OWNED,
        c.text("packs", "The packs to buy: how many, of how many pieces.", "2 x 10", records.packs),
        c.whole("left_over", "How many are bought beyond the need.", 0),
        c.money("amount", "The price of all the packs.", "9.98"), c.currency(),
    ), records.listed("hardware"),
)  # fmt: skip
_SUPPLIES: Final = Table(
    "supplies", "Supplies", "The supplies needed, and how they are bought.",
    c.columns(
        c.text("item", "The supply.", "wood glue"),
        c.whole("quantity", "How much is needed.", 104, unit="the column unit"),
        c.whole("owned", "How much of it the maker has.", 0, unit="the column unit"),
        c.number("left_over", "How much is bought beyond the need.", 14.3, "the column unit"),
        c.text("unit", "What the row is measured in: ml, g or piece.", "ml"),
        c.text("packs", "The containers to buy: how many, of what.", "1 x 8 fl oz", records.packs),
        c.money("amount", "The price of all the containers.", "5.29"), c.currency(),
    ), records.listed("supplies"),
)  # fmt: skip
_LEFTOVERS: Final = Table(
    "leftovers", "Left over, worth keeping", "What is worth keeping; a row of on_hand for the next request.",
    c.columns(
        c.whole("quantity", "How many.", 3), _SECTION, c.length("length", "The length of each.", 914.4, "36 in"),
        _SPECIES, _GRADE,
        c.text("design_values", "What was told of their strength beside their grade.", "C24", shown=False),
    ), records.listed("leftovers"),
)  # fmt: skip
_CHECKS: Final = Table(
    "checks", "Checks (for planning, not a certificate)", "The rules the frames were checked against.",
    c.columns(
        c.text("status", "How it came out: pass, not_checked, warn, unreckoned or fail.", "pass"),
        c.text("rule", "The rule's name.", "slat-gap"),
        c.text("found", "What was measured, with its unit; empty where nothing was.", "2 1/16 in"),
        c.text("required", "What it asks, with its unit; empty where it was not checked.", "<= 3 in"),
        c.text("source", "The document and year, or that it is common practice.", "common practice, no source"),
        c.text("clause", "Where it stands in the document; empty where it has no clause.", "1213.3(a)(1)"),
        c.text("message", "What that means for the maker.", "The slats are close enough.", shown=False),
        _PARTS, _LABEL, _LINE,
        c.number("utilisation", "How much of the limit is used; above 1 it is not met.", 0.723, "share of 1"),
    ), records.labelled("checks"),
)  # fmt: skip
_CALCULATIONS: Final = Table(
    "calculations", "Calculations", "How much is used of what wood and bolts bear, line by line, where `trace` asks.",
    c.columns(
        c.text("rule", "The rule's name.", "bolts"), c.text("standard", "By which standard.", "NDS"),
        c.text("symbol", "What the line is called in the formulas below it.", "M"),
        c.text("name", "What it is.", "moment there"),
        c.text("formula", "How it is reckoned, in symbols; empty of what is given.", "P * (x - a)"),
        c.text("numbers", "The same with numbers, to six figures.", "5200 * (600 - 80)", shown=False),
        c.number("value", "What it comes to.", 714290.25, "the column unit"),
        c.text("unit", "Its unit; empty of a plain number.", "N mm"),
        c.text("source", "What it rests on.", "NDS"), c.text("clause", "Where in that.", "3.3.2"),
        c.text("part", "The part that uses the most.", "side rail", shown=False),
        c.text("when", "What is going on.", "someone drops onto one spot of the bed", shown=False), _LABEL, _LINE,
    ), records.calculations,
)  # fmt: skip
_COSTS: Final = Table(
    "costs", "Costs", "What is spent, and on what; the column adds sums up to the total.",
    c.columns(
        c.text("cost", "What it is spent on, or total, used, contingency or budget.", "lumber"),
        c.money("amount", "How much.", "148.20"),
        c.money("adds", "What of it adds to the total: empty for sums, and for tax that the prices hold.", "148.20"),
        c.currency(), c.text("meaning", "What is counted in it.", "Boards.", shown=False),
    ), records.costs,
)  # fmt: skip
_STEPS: Final = Table(
    "steps", "Steps", "What to do, in order, and how long it takes.",
    c.columns(
        c.whole("number", "Its place in the order, from 1.", 1),
        c.text("title", "What is done.", "Measure, mark and cut"),
        c.text("text", "How, in lines of text.", "Square one end of each board.", shown=False),
        c.whole("people", "How many people it takes.", 1),
        c.minutes("hands_on", "The time at work, all people's together.", 35, 90),
        c.minutes("waiting", "The time to wait, as for glue.", 0, 0),
        c.words("parts", "The parts of the cut list it concerns.", "A B", shown=False),
        c.words("cautions", "What to take care of.", "Put no load on a glued part for 24 h.", shown=False),
        _LABEL, _LINE,
    ), records.listed("steps"),
)  # fmt: skip
_TOOLS: Final = Table(
    "tools", "Tools", "The tools that the steps take.",
    c.columns(
        c.whole("quantity", "How many.", 1), c.text("tool", "What it is.", "drill bit"),
        c.text("size", "Its size; empty where any will do.", "7/16 in"),
        c.text("use", "What for.", "38 holes for bolts"),
    ), records.listed("tools"),
)  # fmt: skip
_CARRIED: Final = Table(
    "carried-pieces", "Carried in pieces", "What the furniture comes apart into, to be carried.",
    c.columns(
        c.text("name", "What it is.", "left rail"), c.whole("count", "How many are alike, of one of the line.", 1),
        c.length("longest", "Its longest side.", 2159, "85 in"),
        c.number("mass_kg", "The mass of one, to a tenth.", 12.3, "kg"), _LABEL, _LINE,
    ), records.carried,
)  # fmt: skip
_SHARES: Final = Table(
    "shares", "What each bears", "What each line of the request bears of the purchase.",
    c.columns(
        _LABEL, c.whole("quantity", "How many of it.", 2),
        *(c.money(name, f"Its share of {name}.", "31.96", shown=False)
          for name in ("lumber", "hardware", "supplies", "trips", "tax")),
        c.money("total", "Its share of all that is spent.", "216.31"),
        c.money("each", "What one of its quantity bears, rounded down.", "108.15"),
        c.money("remainder", "What is left of its share when each bears that.", "0.01"), c.currency(), _LINE,
    ), records.listed("shares"),
)  # fmt: skip
_NEAR_MISSES: Final = Table(
    "near-misses", "A little shorter saves", "What a little less length would save.",
    c.columns(
        c.text("part", "The part of the cut list.", "I"), c.length("length", "Its length.", 1524, "60 in"),
        c.length("shorter", "The length that saves.", 1519.2375, "59 13/16 in"),
        c.money("saves", "What it saves of the total.", "4.10"), c.currency(),
    ), records.listed("near_misses"),
)  # fmt: skip
_WARNINGS: Final = Table(
    "warnings", "To know", "What else to know about the quote.",
    c.columns(
        c.text("severity", "How grave it is: note or warn.", "note"),
        c.text("code", "A stable word for it.", "price-sample", shown=False),
        c.text("message", "What it is.", "The prices are a sample, invented to be replaced by your own."), _PARTS,
    ), records.listed("warnings"),
)  # fmt: skip

_DRILLING: Final = Table(
    "drilling", "Drilling", "The holes, mark by mark: of one part, and all that are like it.",
    c.columns(
        c.text("mark", "The mark: its letter alone where all of its parts are drilled alike.", "C2"),
        c.whole("quantity", "How many parts have it.", 4),
        c.text("like", "The part as which they are laid out; the others are turned to match.", "left head post 2"),
        c.text("purpose", "What the holes are for: bolt, tee nut, screw or pilot.", "bolt"),
        c.length("diameter", "How wide they are.", 11.1125, "7/16 in"),
        c.length("depth", "How deep they are; empty where they go through.", 25.4, "1 in"),
        c.text("into", "The side they are drilled into, as the part stands in the furniture.", "left face"),
        c.text("places", "How far the middle of each is from one side.", "9 5/16 in, 10 3/4 in", records.places),
        c.text("along", "From which side that is.", "lower end"),
        c.length("place", "How far all of them are from another side.", 14.2875, "9/16 in"),
        c.text("across", "From which side that is.", "head edge"),
        c.text("part", "The letter of the cut list.", "C", shown=False), _LABEL, _LINE,
    ), records.labelled("drilling"),
)  # fmt: skip

ALL: Final[Sequence[Table]] = (
    _SHOPPING, _CUTS, _PLAN, _STOPS, _HARDWARE, _SUPPLIES, _LEFTOVERS, _CHECKS, _STEPS, _TOOLS, _CARRIED, _SHARES,
    _NEAR_MISSES, _WARNINGS, _COSTS, _CALCULATIONS, _DRILLING,
)  # fmt: skip
TABLES: Final[Mapping[str, Table]] = MappingProxyType({table.name: table for table in ALL})
"""Every table by name, in the order of a whole quote."""
