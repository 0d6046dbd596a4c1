"""What the answer to a request for a quote holds, field by field, for the interface's description."""

from __future__ import annotations

from typing import Final

from sawbill.checks.finding import Status as Found
from sawbill.cutting import Status as Proven
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import OneOf, Sent
from sawbill.web.schemas.shown.placed import PlacedSchema


class QuotedBookSchema(Sent):
    """The price book that a quote was made from."""

    name = sent.text("Its name; inline when it came with the request.", "sample-inch")
    revision = sent.text("What names its content: any change gives another.", "781ea1b956718b153a0c1f7e42d9b86c")
    currency = sent.text("The currency of every amount (ISO 4217).", "USD")
    prices_include_tax = sent.flag("Whether its prices, and so the groups of the totals, hold the tax.", example=False)
    as_of = sent.text("The day of its prices (ISO 8601).", "2026-11-01")
    sample = sent.flag("Whether its prices are invented, to be replaced.", example=True)


class PlanTotalsSchema(Sent):
    """What is spent on boards. Where the book's prices hold the tax, so does the lumber; tax says how much."""

    lumber = sent.money("Boards.", "148.20")
    trips = sent.money("Trips to suppliers, and deliveries.", "9.00")
    tax = sent.money("Tax, worked out once for each rate.", "12.65")
    total = sent.money("All that is spent.", "207.31")
    used = sent.money(
        "What of it goes into the furniture: leftovers taken off, tax left out where prices leave it out.", "160.02"
    )


class TotalsSchema(PlanTotalsSchema):
    """What is spent. Where the book's prices hold the tax, so do the groups; tax is the part of them that is tax."""

    hardware = sent.money("Fasteners and fittings, in whole packs.", "31.96")
    supplies = sent.money("Glue and the like, in whole containers.", "14.50")
    contingency = sent.money(
        "What to set aside beside the total: the request's share of the total less its trips, rounded half up.", "19.83"
    )
    budget = sent.money("The total and what to set aside.", "227.14")


class LabourSchema(Sent):
    """What the time at work costs; each amount rounded half up once."""

    rate = sent.money("Of an hour.", "25.00")
    least = sent.money("At the least time of hands_on_minutes.", "310.00")
    amount = sent.money("Midway between the least and the most time.", "402.50")
    most = sent.money("At the most time.", "495.00")


class SellingPriceSchema(Sent):
    """What all of it may be sold for, by one of the usual ways (common practice); each amount rounded half up once."""

    method = sent.text(
        "The way, by its name.", "materials-and-labour",
        choices=["materials-times-factor", "materials-and-labour", "cost-plus-markup", "cost-and-margin"],
    )  # fmt: skip
    rule = sent.text("How it is reckoned; materials are the budget.", "materials + hours x 25.00")
    least = sent.money("With the least time at work.", "537.14")
    amount = sent.money("With the time midway between; sales tax is not in it.", "629.64")
    most = sent.money("With the most time.", "722.14")


class ProofSchema(Sent):
    """How far it is proven that nothing cheaper does: other plans, other quantity prices, other suppliers."""

    status = sent.text(
        "proven: the gap is 0.00; within_tolerance: the search ended with a gap; time_limit: a clock ended it.",
        "proven",
        choices=[status.value for status in Proven],
    )
    bound = sent.money(
        "No purchase has boards for less than this, what it leaves over credited; under no_slivers, none without "
        "slivers.",
        "148.20",
    )
    gap = sent.money(
        "What another purchase could save at most: the lumber, less what is credited, less the bound. What was paid "
        "for fewer set-ups (extra_for_fewer_setups) is part of it.",
        "0.00",
    )
    credited = sent.money(
        "What the offcuts that are kept are worth, where the shop gives them a value (offcut_value): the purchase is "
        "the cheapest with this taken off, and one that pays less may leave less. It is no part of the total.",
        "0.00",
    )
    setups_at_least = sent.whole(
        "No plan as cheap, of no more boards of the same prices, has fewer set-ups than this; with "
        "extra_for_fewer_setups, no plan that may be paid for. Where the plan has as many, they are proven the "
        "fewest. A set-up is one way to cut boards of one length and price: those of another price, or on hand, have "
        "set-ups of their own.",
        4,
    )
    stage = sent.text("The step of the planner that ended the search.", "reduced costs")


class BoardsThatFailSchema(Sent):
    """Wood of the cheapest boards, as far as it is known."""

    section = sent.text("Its section.", "2x4")
    species = sent.text("Its species; null where it is not known.", "SPF", none=True)
    grade = sent.text("Its grade; null where it is not known.", "Stud", none=True)


class FailedSchema(Sent):
    """A check that does not hold, and the boards that its parts are cut from."""

    line = sent.whole("The line of the request, from 0.", 0)
    rule = sent.text("The rule's name, as in checks.", "bending")
    parts = sent.rows(sent.text("A part, as the cut list names it.", "F"), "The parts it concerns.")
    boards = sent.rows(
        BoardsThatFailSchema,
        "What its parts are cut from: in failed, of the cheapest boards; in unmended, of those bought.",
    )


class HoldingSchema(Sent):
    """Whether it holds, and what that costs: the cheapest boards are bought that hold, as far as wood on sale does."""

    must_hold = sent.flag("Whether that was asked for.", example=True)
    holds = sent.flag(
        "Whether no check of strength or of standing fails, and none finds what nobody knows.", example=True
    )
    costs = sent.money("What more the total is than with the cheapest boards.", "0.40")
    costs_trips = sent.money("What more the trips and deliveries cost; the goods may cost less for that.", "0.00")
    cheapest_total = sent.money("What the total would be with the cheapest boards.", "193.90")
    failed = sent.rows(FailedSchema, "What of the frames does not hold in the cheapest boards.")
    unmended = sent.rows(
        FailedSchema, "What of that is left: no wood on sale mends it, none was found in time, or must_hold is no."
    )
    cut_short = sent.flag("Whether the search for boards that hold ended before all were looked at.", example=False)


class TripSchema(Sent):
    """How the goods of one supplier come home."""

    supplier = sent.text("The supplier.", "Yard A")
    by = sent.text(
        "Fetched or brought, whichever costs less: a supplier with a minimum_order brings what reaches it.", "trip",
        choices=["trip", "delivery"],
    )  # fmt: skip
    amount = sent.money("What it costs.", "6.00")
    goods = sent.money("What is bought there, at the prices of the book.", "84.30")
    minimum = sent.money("What the goods must come to for this delivery; 0.00 where there is no such rule.", "0.00")
    beyond_need = sent.money("What of the goods is more than is needed, bought to reach the minimum.", "0.00")


class SawStopSchema(Sent):
    """One setting of the saw's stop."""

    section = sent.text("The section of the boards.", "2x4")
    length = sent.length("What to set.", 1546.225, "60 7/8 in")
    count = sent.whole("How many cuts to that length, from all boards together.", 14)
    parts = sent.rows(sent.text("A part of the cut list.", "I"), "The parts that are cut at it.")
    boards = sent.rows(sent.whole("A row of the cutting plan, from 0.", 0), "The boards they come from.")


class NearMissSchema(Sent):
    """A part that, cut a little shorter, saves money: as short as its design, or its own `shortest`, allows."""

    part = sent.text("The part of the cut list.", "I")
    length = sent.length("Its length in this quote.", 1524, "60 in")
    shorter = sent.length("The length that saves.", 1519.2375, "59 13/16 in")
    saves = sent.money("What it saves of the total for certain, whatever is not proven.", "4.10")


class QuotedLineSchema(Sent):
    """A line of the request."""

    line = sent.whole("Its place in the request, from 0.", 0)
    label = sent.text("What it is called.", "guest room")
    design = sent.text("Its design; null for own parts and hardware.", "slatted-bed", none=True)
    quantity = sent.whole("How many of it.", 2)


class ShareSchema(Sent):
    """What a line bears of the purchase; the shares of all lines add up to the totals.

    A board's price is shared by the lengths that the parts on it take up, a saw's width with each, so its leftover is
    too; boards that nothing is cut from are shared as the others of their kind; packs by the pieces used; supplies by
    what each line would need by itself; trips and tax as all these together. What rounding down leaves of each goes,
    one smallest coin at a time, to the lines it took most from.
    """

    line = sent.whole("The line of the request, from 0.", 0)
    label = sent.text("What the line is called.", "guest room")
    quantity = sent.whole("How many of it.", 2)
    lumber = sent.money("Its share of the boards.", "148.20")
    hardware = sent.money("Its share of the hardware.", "31.96")
    supplies = sent.money("Its share of the supplies.", "14.50")
    trips = sent.money("Its share of trips and deliveries.", "9.00")
    tax = sent.money("Its share of the tax.", "12.65")
    total = sent.money("Its share of all that is spent.", "216.31")
    each = sent.money("What one of its quantity bears, rounded down.", "108.15")
    remainder = sent.money("What is left of its share when each bears that.", "0.01")


_SUPPLIER: Final = "Who sells it."
_ITEM_CODE: Final = "The supplier's code for it."
_EACH: Final = "The price of one."
_AMOUNT: Final = "The price of all of the row."


class LumberToBuySchema(Sent):
    """Boards to buy."""

    kind = sent.text("What the row is.", "lumber", choices=["lumber"])
    supplier = sent.text(_SUPPLIER, "Yard A")
    item_code = sent.text(_ITEM_CODE, "A-204-08")
    section = sent.text("The boards' section.", "2x4")
    length = sent.length("The length of each, as it is sold.", 2438.4, "96 in")
    species = sent.text("Their species.", "SPF")
    grade = sent.text("Their grade.", "No.2")
    spare = sent.whole("How many of them no cut is planned for.", 0)
    quantity = sent.whole("How many to buy, the spare ones among them.", 14)
    each = sent.money(_EACH, "4.28")
    amount = sent.money(_AMOUNT, "59.92")


class HardwareToBuySchema(Sent):
    """Packs of hardware to buy."""

    kind = sent.text("What the row is.", "hardware", choices=["hardware"])
    supplier = sent.text(_SUPPLIER, "Corner Hardware")
    item_code = sent.text(_ITEM_CODE, "HB38-500-10")
    item = sent.text("The piece of hardware.", "hex bolt")
    size = sent.text("Its size; null for an item that has none.", "3/8 in", none=True)
    length = sent.length("Its length; null for an item that has none.", 127, "5 in", none=True)
    pack = sent.whole("How many pieces are in one pack.", 10)
    quantity = sent.whole("How many packs to buy.", 2)
    each = sent.money(_EACH, "4.99")
    amount = sent.money(_AMOUNT, "9.98")


class SupplyToBuySchema(Sent):
    """Containers of a supply to buy."""

    kind = sent.text("What the row is.", "supply", choices=["supply"])
    supplier = sent.text(_SUPPLIER, "Corner Hardware")
    item_code = sent.text(_ITEM_CODE, "GL-08")
    item = sent.text("The supply.", "wood glue")
    container = sent.text("What one container holds, with its unit.", "8 fl oz")
    quantity = sent.whole("How many containers to buy.", 1)
    each = sent.money(_EACH, "5.29")
    amount = sent.money(_AMOUNT, "5.29")


class PlanCutSchema(Sent):
    """Pieces that are cut alike."""

    part = sent.text("What names them through the whole answer.", "A")
    name = sent.text("What they are.", "side rail")
    section = sent.text("The section they are cut from.", "2x6")
    length = sent.length("The length they are cut to.", 2133.6, "84 in")
    quantity = sent.whole("How many in all.", 4)
    species = sent.rows(sent.text("A species.", "SPF"), "The species that will do; none named: any.")
    grades = sent.rows(sent.text("A grade.", "No.2"), "The grades that will do; none named: any.")


class MarkSchema(Sent):
    """Parts of one letter that are drilled alike."""

    mark = sent.text("What to mark them with: the letter and a number.", "C2")
    each = sent.whole("How many of one frame.", 4)
    mirror_of = sent.text("The mark whose mirror image they are; null of none before.", None, none=True)


class DrilledSchema(Sent):
    """Like holes in one line, in one part and all that are like it."""

    line = sent.whole("The line of the request, from 0.", 0)
    part = sent.text("The letter of the cut list.", "C")
    mark = sent.text("The mark; the letter alone where all of its parts are drilled alike.", "C2")
    quantity = sent.whole("How many parts have the mark, of all the frames of the line.", 4)
    like = sent.text("The part as which they are laid out; the others are turned to match.", "left head post 2")
    purpose = sent.text("What the holes are for.", "bolt", choices=["bolt", "tee nut", "screw", "pilot"])
    diameter = sent.length("How wide they are.", 11.1125, "7/16 in")
    depth = sent.length("How deep they are; null where they go through.", 25.4, "1 in", none=True)
    into = sent.text("The side they are drilled into, as the part stands in the furniture.", "left face")
    along = sent.text("The side that `places` are measured from.", "lower end")
    places = sent.rows(sent.length("A distance.", 236.5375, "9 5/16 in"), "How far the middle of each is from there.")
    across = sent.text("The side that `place` is measured from.", "head edge")
    place = sent.length("How far all of them are from there.", 14.2875, "9/16 in")


class CutLineSchema(PlanCutSchema):
    """Parts that are cut alike."""

    line = sent.whole("The line of the request they belong to, from 0.", 0)
    label = sent.text("What the line is called.", "guest room")
    ripped = sent.length(
        "The width they are ripped to; null where they keep their section's width.", 19.05, "3/4 in", none=True
    )
    marks = sent.rows(MarkSchema, "Where its parts are drilled differently: which are alike. Empty where all are.")
    design_values = sent.rows(
        sent.text("Species and grade, or class, and the table.", "SPF No.2, NDS Supplement 2018, Table 4A"),
        "With which values the wood that is cut for them is reckoned, where it carries; none where of some no table "
        "tells.",
    )  # fmt: skip


class CutSchema(Sent):
    """One piece of a board, or one blank that small parts are ripped and cut from."""

    part = sent.text("The part, as the cut list names it.", "D")
    length = sent.length("The length cut off.", 381, "15 in")
    at = sent.length("Where it begins, from the board's squared end.", 1524, "60 in")
    to = sent.length("Where it ends, from there: the mark on the tape; the saw cuts beyond it.", 1905, "75 in")
    parts = sent.whole("How many parts it gives: 1, or more out of a blank.", 1)
    blank = sent.flag("Whether it is a blank for small parts.", example=False)
    strips = sent.whole("Into how many strips a blank is ripped; null of all else.", None, none=True)


class CutBoardsSchema(Sent):
    """Boards that are cut alike."""

    count = sent.whole("How many boards are cut so.", 6)
    section = sent.text("Their section.", "2x4")
    species = sent.text("Their species; null where it is not known.", "SPF", none=True)
    grade = sent.text("Their grade; null where it is not known.", "No.2", none=True)
    stock_length = sent.length("The length there is to cut from.", 2438.4, "96 in")
    on_hand = sent.flag("Whether they are boards that the maker had.", example=False)
    item_code = sent.text("The supplier's code for them; null for boards on hand.", "A-204-08", none=True)
    trim = sent.length("What squaring the end of one takes.", 12.7, "1/2 in")
    kerf = sent.length("What the saw takes of one in all its cuts, the trim apart.", 6.35, "1/4 in")
    cuts = sent.rows(CutSchema, "The pieces in the order they are cut, longest first.")
    leftover = sent.length("What is left of one.", 381, "15 in")
    yard_cuts = sent.rows(
        sent.length("A length to be carried.", 2438.4, "96 in"),
        "The lengths to have one cut into at the yard, from its squared end on, one saw's width lost between each two; "
        "none where it is carried whole. The first has the end trim on it still, unless yard_squares.",
    )
    yard_squares = sent.flag(
        "Whether the yard squares its end first, as trim and first cut together are too long to carry.", example=False
    )


class LeftoverSchema(Sent):
    """Leftovers alike that are worth keeping, and spare boards; a row of on_hand for the next request."""

    section = sent.text("Their section.", "2x4")
    species = sent.text("Their species; null where it is not known.", "SPF", none=True)
    grade = sent.text("Their grade; null where it is not known.", "No.2", none=True)
    design_values = sent.text("What was told of their strength beside their grade, if anything.", "C24", none=True)
    length = sent.length("The length of each.", 914.4, "36 in")
    quantity = sent.whole("How many.", 3)


class LoadHomeSchema(Sent):
    """The boards to fetch, those delivered left out."""

    mass_kg = sent.number(
        "What they weigh [kg], to a tenth, at 15 % moisture or as dry as the species' weight is told for; green or "
        "treated boards weigh more.",
        54.2,
    )
    longest = sent.length("The longest of them; null where none is fetched.", 3048, "120 in", none=True)


class PacksSchema(Sent):
    """Packs of one size."""

    pack = sent.whole("How many pieces are in one.", 10)
    count = sent.whole("How many packs.", 2)
    amount = sent.money(_AMOUNT, "9.98")


class HardwareSchema(Sent):
    """What is needed of one kind of hardware, and how it is bought."""

    item = sent.text("The piece of hardware.", "hex bolt")
    size = sent.text("Its size; null for an item that has none.", "3/8 in", none=True)
    length = sent.length("Its length; null for an item that has none.", 127, "5 in", none=True)
    quantity = sent.whole("How many are needed.", 20)
    owned = sent.whole("How many of them the maker has.", 0)
    packs = sent.rows(PacksSchema, "The packs to buy.")
    left_over = sent.whole("How many are bought beyond the need.", 0)
    amount = sent.money("The price of all the packs.", "9.98")


class ContainersSchema(Sent):
    """Containers of one size."""

    container = sent.text("What one holds, with its unit.", "8 fl oz")
    count = sent.whole("How many containers.", 1)
    amount = sent.money(_AMOUNT, "5.29")


class SupplySchema(Sent):
    """What is needed of one supply, and how it is bought."""

    item = sent.text("The supply.", "wood glue")
    unit = sent.text("What it is measured in here.", "ml", choices=["ml", "g", "piece"])
    quantity = sent.whole("How much is needed [unit].", 104)
    owned = sent.whole("How much of it the maker has [unit].", 0)
    packs = sent.rows(ContainersSchema, "The containers to buy.")
    left_over = sent.number("How much is bought beyond the need [unit], to a tenth.", 14.3)
    amount = sent.money("The price of all the containers.", "5.29")


class CheckSchema(Sent):
    """A rule held against a frame."""

    line = sent.whole("The line of the request, from 0.", 0)
    rule = sent.text("The rule's name.", "slat-gap")
    source = sent.text("The document and year it is from, or that it is common practice.", "common practice, no source")
    clause = sent.text("Where it stands in the document; null where it has no clause.", "1213.3(a)(1)", none=True)
    required = sent.text("What it asks, with its unit; null where it was not checked.", "<= 3 in", none=True)
    found = sent.text("What was measured, with its unit; null where nothing was.", "2 1/16 in", none=True)
    utilisation = sent.number(
        "How much of the limit is used, rounded up [share of 1]: above 1 it is not met; null of counts, and where "
        "nothing was measured.", 0.723, none=True,
    )  # fmt: skip
    status = sent.text("How it came out.", "pass", choices=[status.value for status in Found])
    message = sent.text("What that means for the maker.", "The slats are close enough for a foam mattress.")
    parts = sent.rows(sent.text("A part, as the cut list names it.", "D"), "The parts it concerns.")
    trace = sent.text("The word of `trace` that asks for its calculation; null where it has none.", "bolts", none=True)
    calculation = sent.text(
        "Where its calculation is in this JSON, as a JSON Pointer (RFC 6901); null where it was not asked for.",
        "/calculations/4", none=True,
    )  # fmt: skip


class ChangeSchema(Sent):
    """An option that is changed."""

    option = sent.text("The option of the design, or must_hold where boards alone are changed.", "end_board")
    before = sent.text("What it is in this quote.", "2x6")
    after = sent.text("What it is to be.", "2x8")


class WaySchema(Sent):
    """Changes with which nothing fails, the check is met, and nothing is warned of that is not now."""

    changes = sent.rows(ChangeSchema, "One or two options.")
    query = sent.text("The same as it is asked by URL.", "end_board=2x8")
    total = sent.money("What the total is then.", "348.71")
    costs = sent.money("How much more that is than now.", "11.96")
    mass_kg = sent.number("What the frame weighs then [kg].", 96.2)
    boards = sent.whole("How many boards are bought then.", 31)
    longest_piece = sent.length("The longest piece that is carried then.", 2082.8, "82 in")


class WaysOutSchema(Sent):
    """What was tried to mend a check that fails, is not known or warns, and what does."""

    line = sent.whole("The line of the request, from 0.", 0)
    rule = sent.text("The rule's name, as in checks.", "bolted-end")
    status = sent.text("How it came out.", "fail", choices=[status.value for status in Found])
    parts = sent.rows(sent.text("A part, as the cut list names it.", "D"), "The parts it concerns.")
    ways = sent.rows(WaySchema, "Up to three ways out, the nearest first; none where nothing that was tried helps.")
    tried_single = sent.whole(
        "How many changes of one option were tried, a step or two each way: in the strongest wood on sale, and with "
        "boards bought where that passes.",
        36,
    )
    tried_pairs = sent.whole("How many changes of two options.", 0)
    cut_short = sent.flag("Whether there were more of them that were not tried.", example=False)


class CalculationLineSchema(Sent):
    """One line of a calculation."""

    symbol = sent.text("What it is called in the formulas below it.", "M")
    name = sent.text("What it is.", "moment there: each force before it by its lever")
    formula = sent.text(
        "How it is reckoned from lines above, in their symbols; null of what is given.", "V / A", none=True
    )
    numbers = sent.text("The same with their numbers, to six figures.", "5200 / 5322.57", none=True)
    value = sent.number("What it comes to [unit].", 714290.25)
    shown = sent.text("The same, to six figures.", "714290")
    unit = sent.text("Its unit; null of a plain number.", "N mm", none=True)
    source = sent.text("What it rests on, by a name of calculation_sources; null of plain sums.", "NDS", none=True)
    clause = sent.text("Where in that.", "3.3.2", none=True)
    inputs = sent.rows(sent.text("A symbol.", "V"), "The symbols of the lines it is reckoned from.")


class CalculationSchema(Sent):
    """How much is used of one rule of strength, by one standard, where most of it is used."""

    line = sent.whole("The line of the request, from 0.", 0)
    rule = sent.text("The rule's name.", "bolts")
    standard = sent.text("By which standard, or practice.", "NDS", choices=["NDS", "EC5", "practice"])
    title = sent.text("What is reckoned.", "Bolts across")
    part = sent.text("Of which part.", "side rail")
    when = sent.text("When.", "someone drops onto one spot of the bed")
    holds = sent.flag("Whether no more than all of it is used.", example=True)
    lines = sent.rows(CalculationLineSchema, "The calculation, from what is given down to the share that is used.")


class CalculationSourceSchema(Sent):
    """What lines of calculations rest on."""

    name = sent.text("How the lines name it.", "NDS")
    title = sent.text("What it is.", "National Design Specification for Wood Construction (NDS), 2018")


class NamedLengthSchema(Sent):
    """A length, and what it is of."""

    name = sent.text("What it is of.", "found")
    length = sent.length("How long it is.", 82.55, "3 1/4 in")


class WarningSchema(Sent):
    """Something to know about the quote."""

    code = sent.text("A stable word for it.", "price-sample")
    severity = sent.text("How grave it is.", "note", choices=["note", "warn"])
    message = sent.text("What it is.", "The prices are a sample, invented to be replaced by your own.")
    parts = sent.rows(sent.text("A part, as the cut list names it.", "D"), "The parts it concerns.")
    lengths = sent.rows(NamedLengthSchema, "The lengths behind it.")
    mass_kg = sent.number("The mass behind it [kg]; null where there is none.", 24.1, none=True)


class AreasSchema(Sent):
    """Faces of all frames together."""

    glued_m2 = sent.number("Faces that are glued to each other, each pair once [m2].", 0.85)
    bare_m2 = sent.number("Faces left bare, to sand and finish [m2].", 11.2)


class SizeSchema(Sent):
    """Outer size."""

    length = sent.length("Along the bed or shelf.", 2159, "85 in")
    width = sent.length("Across it.", 1625.6, "64 in")
    height = sent.length("From the floor.", 342.9, "13 1/2 in")


class CarriedPieceSchema(Sent):
    """A piece that is carried as one when the frame is taken apart."""

    name = sent.text("What it is.", "left rail")
    count = sent.whole("How many are alike.", 1)
    longest = sent.length("Its longest side.", 2159, "85 in")
    mass_kg = sent.number("The mass of one [kg], to a tenth.", 12.3)


class FrameSchema(Sent):
    """A frame, measured."""

    line = sent.whole("The line of the request, from 0.", 0)
    label = sent.text("What the line is called.", "guest room")
    design = sent.text("Its design.", "slatted-bed")
    quantity = sent.whole("How many of it the line asks for.", 2)
    size = sent.group(SizeSchema, "Its outer size.")
    mattress_tops = sent.rows(NamedLengthSchema, "How high its mattresses reach above the floor.")
    mass_kg = sent.number("The mass of one frame [kg], to a tenth.", 61.4)
    carried_pieces = sent.rows(CarriedPieceSchema, "What it comes apart into.")
    placed = sent.group(PlacedSchema, "Part by part, where `placed` asks; else null.", none=True)


class MinutesSchema(Sent):
    """A time, as a range."""

    least = sent.whole("At least [minutes].", 35)
    most = sent.whole("At most [minutes].", 90)


class StageMarkSchema(Sent):
    """Parts of one mark."""

    mark = sent.text("Their mark.", "C2")
    count = sent.whole("How many.", 2)


class StageSchema(Sent):
    """A stage of putting together or of taking apart: one carried piece, or pieces alike."""

    number = sent.whole("Its place in the order, from 1.", 3)
    text = sent.text("What is done.", "head end board: join it to left rail, 2 x hex bolt 3/8 in x 5 in into a tee nut")
    marks = sent.rows(StageMarkSchema, "The parts that come, or come off.")
    cautions = sent.rows(sent.text("A caution.", "Lift in twos."), "What to take care of.")
    drawing = sent.text("The view that shows it.", "step-3")


class StepSchema(Sent):
    """One step of the making."""

    number = sent.whole("Its place in the order, from 1.", 1)
    line = sent.whole("The line of the request that it makes, from 0.", 0)
    label = sent.text("What the line is called.", "guest room")
    title = sent.text("What is done.", "Measure, mark and cut")
    text = sent.text(
        "How, in lines of text: for drilling the holes, like ones together; for assembling the pieces in their order.",
        "K: 4 holes, 7/16 in, through, for bolts, into the face, 2 1/4 in from the upper end, 7/8 in from the edge",
    )
    people = sent.whole("How many people it takes.", 1)
    hands_on_minutes = sent.group(
        MinutesSchema,
        "The time at work, all people's together: set-ups once for the line, everything else for each of its items.",
    )
    waiting_minutes = sent.group(MinutesSchema, "The time to wait, as for glue and finish.")
    parts = sent.rows(sent.text("A part, as the cut list names it.", "K"), "The parts it concerns.")
    cautions = sent.rows(
        sent.text("A caution.", "Put no load on a glued part for 24 h."), "What to take care of, the usual cautions."
    )
    stages = sent.rows(StageSchema, "Of putting together and of taking apart: piece by piece, each with its picture.")


class DrawingSchema(Sent):
    """A drawing or a sheet, and where it is."""

    line = sent.whole("The line whose furniture it shows, from 0; null: it is of the whole quote.", 0, none=True)
    name = sent.text("Its name; of an SVG also what `view` asks for.", "step-1")
    title = sent.text("What it shows.", "step 1 of 6: left rail")
    type = sent.text("Its media type.", "image/svg+xml")
    address = sent.text("Where it is.", "/v1/quotes/1f0c9a5be2d47a8036cd/drawing.svg?view=step-1&line=0")


class ToolSchema(Sent):
    """A tool that the steps take."""

    tool = sent.text("What it is.", "drill bit")
    size = sent.text("Its size; null where any will do.", "7/16 in", none=True)
    quantity = sent.whole("How many.", 1)
    use = sent.text("What for.", "38 holes for bolts; it reaches 3 1/2 in")


class CuttingPlanSchema(Sent):
    """A cutting plan: which boards to buy, how to cut them, what they cost."""

    engine = sent.text("The version of the engine that made it.", "0.10.0")
    units = sent.text("The system its lengths are written in.", "inch", choices=["inch", "metric"])
    price_book = sent.group(QuotedBookSchema, "The price book it was made from.")
    totals = sent.group(PlanTotalsSchema, "What is spent.")
    proof = sent.group(ProofSchema, "How far the cutting plan is proven.")
    trips = sent.rows(TripSchema, "The suppliers to go to, or to be brought from.")
    shopping_list = sent.rows(LumberToBuySchema, "What to buy.")
    cut_list = sent.rows(PlanCutSchema, "What to cut, in the order of the pieces asked for.")
    cutting_plan = sent.rows(CutBoardsSchema, "Which boards to cut it from, and how.")
    saw_stops = sent.rows(SawStopSchema, "The settings of the saw's stop, for cutting like lengths together.")
    near_misses = sent.rows(NearMissSchema, "What a little less length would save.")
    leftovers = sent.rows(LeftoverSchema, "What is worth keeping; on_hand of the next request takes it as it is.")
    warnings = sent.rows(WarningSchema, "What else to know.")


class QuoteSchema(CuttingPlanSchema):
    """A quote: what to buy, how to cut it, what it costs."""

    totals = sent.group(TotalsSchema, "What is spent.")
    holding = sent.group(HoldingSchema, "Whether boards hold, and what that costs; null without a frame.", none=True)
    lines = sent.rows(QuotedLineSchema, "The lines of the request.")
    shares = sent.rows(ShareSchema, "What each line bears of the purchase.")
    shopping_list = sent.rows(
        OneOf("kind", {"lumber": LumberToBuySchema, "hardware": HardwareToBuySchema, "supply": SupplyToBuySchema}),
        "What to buy: lumber, then hardware, then supplies.",
    )
    cut_list = sent.rows(CutLineSchema, "What to cut.")
    hardware = sent.rows(HardwareSchema, "The hardware needed.")
    supplies = sent.rows(SupplySchema, "The supplies needed.")
    waste = sent.number(
        "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover worth keeping "
        "[share of 1].",
        0.0522,
    )
    load_home = sent.group(LoadHomeSchema, "The boards to fetch, as a load.")
    areas = sent.group(AreasSchema, "What is glued, and what is left to finish.")
    checks = sent.rows(CheckSchema, "The rules the frames were checked against.")
    ways_out = sent.rows(WaysOutSchema, "The ways out of checks that `ways_out` asks for.")
    calculations = sent.rows(CalculationSchema, "The calculations that `trace` asks for.")
    calculation_sources = sent.rows(CalculationSourceSchema, "What their lines rest on, each once.")
    drilling = sent.rows(DrilledSchema, "The holes, mark by mark.")
    steps = sent.rows(StepSchema, "What to do, in order, line by line; lines of own parts are cut and no more.")
    tools = sent.rows(ToolSchema, "The tools the steps take.")
    hands_on_minutes = sent.group(MinutesSchema, "The time at work of all steps together, taking apart among them.")
    waiting_minutes = sent.group(MinutesSchema, "The time to wait in all steps together.")
    labour = sent.group(LabourSchema, "What the time at work costs; null without a labour_rate.", none=True)
    selling_prices = sent.rows(SellingPriceSchema, "What it may be sold for, by each way that was asked for.")
    frames = sent.rows(FrameSchema, "The frame of each line that names a design.")
    frame = sent.group(FrameSchema, "The frame, where one line alone names a design; else null.", none=True)
    drawings = sent.rows(DrawingSchema, "Drawings and sheets; none where the quote has no address.")
