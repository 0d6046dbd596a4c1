"""The shape of a request for a quote; what its values mean is for the engine to read."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import ValidationError, fields

from sawbill.asked.request import MOST_LINES, MOST_PARTS, MOST_QUANTITY
from sawbill.checks.strength import TRACED
from sawbill.making.rates import usual_rates
from sawbill.prices.pricebook import SUPPLIES
from sawbill.trade import fasteners
from sawbill.trade.lengths import METRE
from sawbill.trade.option import show
from sawbill.web.schemas.fields import (
    Asked,
    Free,
    Group,
    LengthText,
    MassText,
    PercentText,
    Rows,
    Telling,
    Text,
    Told,
    Whole,
    YesNo,
)

MOST_OPTIONS: Final = 100
MOST_HARDWARE: Final = 100_000
MOST_SPARE: Final = 100

# How a shop's finer wishes are told, wherever they may be written.
OFFCUT_VALUE: Final = (
    "What an offcut kept is worth, of the lowest price per length among the boards that will do, 0 % to 50 %; more "
    "may then be paid for larger offcuts, as proof says. Without effect where stock on hand of a needed thickness "
    "may be cut. Unset: 0 %."
)
EXTRA_FOR_FEWER_SETUPS: Final = (
    "How much more than the least may be paid for boards that are cut in fewer different ways, 0 % to 10 %; unset: 0 %."
)
NO_SLIVERS: Final = "Whether no last cut may leave less than the saw's width; unset: no."
MOST_TRACED: Final = 20
PLACED: Final = "Whether every frame is told part by part, in its place, with all that joins them; unset: no."
WAYS_OUT: Final = (
    "Whether changes of one or two options are looked for with which checks pass that fail or warn, each tried as a "
    "whole; unset: no."
)
TRACE: Final = (
    f"The rules of strength to write the calculation out of: all, or {', '.join(sorted(TRACED))}; unset: none."
)
YARD_CUTS: Final = (
    "Whether boards longer than longest_board may be bought, to be cut at the yard into lengths that are not; "
    "unset: no."
)


RATES: Final = "; ".join(f"{rate.name}: a {rate.per}" for rate in usual_rates().values())


class PartAskedSchema(Asked):
    """A part that the request gives itself."""

    name = Text("What the cut list calls it.", "shelf")
    section = Text("The section it is cut from, by name.", "1x8", required=True)
    length = LengthText("Its length, as text with its unit.", "30 in", required=True)
    shortest = LengthText(
        "The least length that will do: the answer's near misses tell what a shorter one saves; unset: its length.",
        "29 3/4 in",
    )
    quantity = Whole("How many, for each of the line's quantity; unset: 1.", 3, 1, MOST_QUANTITY)
    species = Rows(Text("A species, by name.", "SPF"), "The species that will do; unset: those of its line.", 50)
    grades = Rows(Text("A grade, by name.", "No.2"), "The grades that will do; unset: those of its line.", 50)


class PieceAskedSchema(PartAskedSchema):
    """Pieces to be cut."""

    quantity = Whole("How many; unset: 1.", 3, 1, MOST_QUANTITY)
    species = Rows(Text("A species, by name.", "SPF"), "The species that will do; unset: those of the request.", 50)
    grades = Rows(Text("A grade, by name.", "No.2"), "The grades that will do; unset: those of the request.", 50)


class HardwareAskedSchema(Asked):
    """Hardware that the request gives itself."""

    item = Text("What it is.", "wood screw", required=True, metadata={"enum": list(fasteners.ITEMS)})
    size = Text("Its size, for an item that has one.", "#8")
    length = LengthText("Its length as text with its unit, for an item that has one.", "2 in")
    quantity = Whole("How many, for each of the line's quantity; unset: 1.", 12, 1, MOST_HARDWARE)


class LumberAskedSchema(Asked):
    """Which lumber will do; what is not named is not asked for. Boards on hand will do where it is not known."""

    species = Rows(Text("A species, by name.", "SPF"), "The species that will do; unset: any.", 50)
    grades = Rows(Text("A grade, by name.", "No.2"), "The grades that will do; unset: any.", 50)


class LumberThatHoldsSchema(LumberAskedSchema):
    """Which lumber will do for a request with designs."""

    must_hold = YesNo(
        "Whether boards are bought of which the frames hold: the cheapest of which no check of strength fails, "
        "wherever wood on sale can mend that. no: the cheapest, whether they hold or not. Unset: yes."
    )


class LineAskedSchema(Asked):
    """One line: so many of a design, or of own parts and hardware."""

    label = Text("What the line is called; unset: line and its number.", "guest room")
    design = Text("The design, by name; a line has a design, or own parts and hardware.", "slatted-bed")
    options = Free(
        "The design's options by name, each as text with its unit where it has one; GET /v1/designs/{design} "
        "lists them, with their JSON Schema.",
        {"mattress": "queen", "clear_height": "8 in"}, MOST_OPTIONS,
    )  # fmt: skip
    parts = Rows(
        Group(PartAskedSchema), f"Own parts; all lines together have at most {MOST_PARTS} entries.", MOST_PARTS
    )
    hardware = Rows(Group(HardwareAskedSchema), "Own hardware, counted with the parts.", MOST_PARTS)
    quantity = Whole("How many of the line; unset: 1.", 2, 1, MOST_QUANTITY)
    lumber = Group(LumberAskedSchema, "Which lumber will do for this line; what is unset is as the request says.")


class LengthGiven(Telling, fields.Field[Any]):
    """A length as text with its unit, or as the object an answer gives; then its millimetres hold."""

    def __init__(self, description: str, **kwargs: Any) -> None:
        about = {
            "description": description,
            "examples": ["36 in", {"mm": 914.4, "text": "36 in"}],
            "anyOf": [{"type": "string", "maxLength": 100}, {"$ref": "#/components/schemas/Length"}],
        }
        super().__init__(metadata=about, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        both = isinstance(value, dict) and {*value} == {"mm", "text"} and isinstance(value["text"], str)
        millimetres = value["mm"] if both else None
        measured = (
            isinstance(millimetres, int | float) and not isinstance(millimetres, bool) and 0 <= millimetres < METRE
        )
        if not measured and not (isinstance(value, str) and len(value) <= 100 and value.isprintable()):
            remedy = 'write text with its unit, such as 36 in, or {"mm": 914.4, "text": "36 in"}'
            raise ValidationError([Told("not-a-length", f"is {show(value)}; {remedy}")])
        return value


class OnHandSchema(Asked):
    """Boards that the maker has; the rows of an answer's leftovers may stand here as they are."""

    section = Text("Their section, by name.", "2x4", required=True)
    species = Text("Their species, if known.", "SPF", allow_none=True)
    grade = Text("Their grade, if known.", "No.2", allow_none=True)
    design_values = Text(
        "What is known of their strength beside their grade: as the column of a price book's lumber.", "C24",
        allow_none=True,
    )  # fmt: skip
    length = LengthGiven("The length of each that can be cut from, its ends square.", required=True)
    quantity = Whole("How many; unset: 1.", 5, 1, MOST_QUANTITY)


class OwnedHardwareAskedSchema(HardwareAskedSchema):
    """Hardware that the maker has."""

    quantity = Whole("How many, for all lines together; unset: 1.", 12, 1, MOST_HARDWARE)


class OwnedSupplyAskedSchema(Asked):
    """A supply that the maker has."""

    item = Text("What it is.", "wood glue", required=True, metadata={"enum": list(SUPPLIES)})
    amount = Text("How much, with its unit; sandpaper by the sheet, as a plain number.", "200 ml", required=True)


class PricingAskedSchema(Asked):
    """What is reckoned on top of the purchase, all of it common practice; what is unset is not reckoned."""

    contingency = PercentText(
        "What to set aside for materials that turn out bad or dearer, of the materials with their tax, 0 % to 100 %.",
        "10 %",
    )
    labour_rate = Text("What an hour of work costs, as a plain number [the price book's currency].", "25.00")
    factor = Text("Sell for the materials times this, a plain number from 1 to 20.", "2.5")
    markup = PercentText("Sell for the cost and so much of the cost more, 0 % to 500 %.", "30 %")
    margin = PercentText("Sell for so much that this share of the price is no cost, 0 % to 90 %.", "25 %")


class ShopAskedSchema(Asked):
    """How the shop cuts, where not as the price book says."""

    kerf = LengthText("Wood lost to one cut.", "1/8 in")
    end_trim = LengthText("Wood lost at the end of each new board to square it.", "1/2 in")
    rounding_step = LengthText("The step to which cut lengths are set.", "1/16 in")
    longest_board = LengthText("The longest board that can be carried or stored.", "12 ft")
    keep_offcut = LengthText("The shortest leftover worth keeping.", "12 in")
    spare_boards = Whole("Boards to buy beyond the plan, of each section.", 1, 0, MOST_SPARE)
    offcut_value = PercentText(OFFCUT_VALUE, "25 %")
    extra_for_fewer_setups = PercentText(EXTRA_FOR_FEWER_SETUPS, "2 %")
    no_slivers = YesNo(NO_SLIVERS)
    yard_cuts = YesNo(YARD_CUTS)


class SiteAskedSchema(Asked):
    """Where the furniture is to stand, the way there and who uses it; what is not told is not checked."""

    room_length = LengthText("The room's floor, along its longer wall.", "14 ft")
    room_width = LengthText("The room's floor, along its shorter wall.", "11 ft")
    ceiling = LengthText("How high the ceiling is above the floor.", "8 ft")
    door_width = LengthText("The clear width of the narrowest door on the way.", "30 in")
    door_height = LengthText("The clear height of the lowest door on the way.", "78 in")
    door_swing = LengthText("How far the room's door opens into it, its leaf's width; unset: it does not.", "32 in")
    vehicle_length = LengthText("The length of the vehicle's load space.", "72 in")
    vehicle_width = LengthText("The width of the vehicle's load space.", "48 in")
    vehicle_height = LengthText("The height of the vehicle's load space.", "32 in")
    one_person = MassText("What one person may lift, with its unit; unset: 23 kg.", "20 kg")
    heaviest_user = MassText("What one who uses the furniture weighs at most, with its unit; unset: 110 kg.", "95 kg")
    indoors = YesNo("Whether the furniture stands in a dwelling, where treated wood is not used; unset: yes.")


class PriceBookGiven(Telling, fields.Field[Any]):
    """A price book: its name, its name@revision, or the whole of it."""

    def __init__(self, description: str, **kwargs: Any) -> None:
        about = {
            "description": description,
            "examples": ["sample-inch"],
            "anyOf": [{"type": "string", "maxLength": 100}, {"$ref": "#/components/schemas/PriceBook"}],
        }
        super().__init__(metadata=about, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if (isinstance(value, dict) and value) or (isinstance(value, str) and len(value) <= 100):
            return value  # an empty object stands for an entry whose shape is at fault
        remedy = "name a price book, such as sample-inch, or give a whole one as an object"
        raise ValidationError([Told("not-a-price-book", f"is {show(value)}; {remedy}")])


class PurchaseAskedSchema(Asked):
    """What every request for a purchase may say."""

    price_book = PriceBookGiven(
        "The prices: a price book by name, or by name@revision where it must not have changed, or whole.", required=True
    )
    units = Text(
        "The system lengths are written in; unset: the price book's.", "inch", metadata={"enum": ["inch", "metric"]}
    )
    on_hand = Rows(Group(OnHandSchema), "Boards that the maker has, which are used first.", MOST_PARTS)
    shop = Group(ShopAskedSchema, "How the shop cuts; what is unset is as the price book says.")
    lumber = Group(LumberAskedSchema, "Which lumber will do; unset: any that the price book sells.")


class QuoteRequestSchema(PurchaseAskedSchema):
    """A request for a quote: every line goes into one purchase."""

    lumber = Group(LumberThatHoldsSchema, "Which lumber will do; unset: any that the price book sells, and that holds.")
    site = Group(SiteAskedSchema, "Where the furniture is to stand, and the way there: what it is checked against.")
    lines = Rows(Group(LineAskedSchema), "What is to be made, at least one line.", MOST_LINES, required=True)
    label = Text("What a stored quote is called; it is not part of the quote. Unset: no label.", "guest room, 2nd try")
    owned_hardware = Rows(
        Group(OwnedHardwareAskedSchema), "Hardware that the maker has, which is used before any is bought.", MOST_PARTS
    )
    owned_supplies = Rows(
        Group(OwnedSupplyAskedSchema), "Supplies that the maker has, which are used before any is bought.", MOST_PARTS
    )
    placed = YesNo(PLACED)
    ways_out = YesNo(WAYS_OUT)
    trace = Rows(Text("A rule, by name, or all.", "bolts"), TRACE, MOST_TRACED)
    pricing = Group(PricingAskedSchema, "What to set aside, and how to reckon what it may be sold for.")
    rates = Free(
        "Your own times of work, where not the usual ones (common practice): each a number of minutes, or text with "
        f"its unit, such as 2 min, 90 s or 1 to 3 h. {RATES}.",
        {"cut": "2 min", "drill": 1.5, "finish_drying": "4 to 8 h"}, MOST_OPTIONS,
    )  # fmt: skip


class CuttingPlanRequestSchema(PurchaseAskedSchema):
    """A request for a cutting plan: pieces of any sections, bought and cut together."""

    pieces = Rows(Group(PieceAskedSchema), "What is to be cut, at least one entry.", MOST_PARTS, required=True)
