"""A comparison: the shape of its request, and what its answer holds, field by field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from marshmallow import ValidationError, fields

from sawbill.answer.declared.making import Minutes
from sawbill.answer.declared.totals import QuotedBook
from sawbill.asked.request import MOST_PARTS, MOST_QUANTITY
from sawbill.checks.finding import Status as Found
from sawbill.cutting import Status as Proven
from sawbill.making.rates import usual_rates
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.quoting.comparing.judging import BY_NUMBER, CRITERIA, USUAL, Kind
from sawbill.trade.option import show
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.described import schema_of
from sawbill.web.schemas.fields import MOST_TEXT, Asked, Free, Group, Rows, Sent, Telling, Text, Told, Whole
from sawbill.web.schemas.request import (
    MOST_OPTIONS,
    LumberThatHoldsSchema,
    OnHandSchema,
    OwnedHardwareAskedSchema,
    OwnedSupplyAskedSchema,
    PriceBookGiven,
    ShopAskedSchema,
    SiteAskedSchema,
)

MOST_ENTRIES: Final = 50
"""How many designs, price books, quantities, or values of one option a comparison may name."""

_BOUNDS: Final[Mapping[Kind, tuple[str, str]]] = {
    "money": ("in the currency of the row, as a plain number", "300.00"),
    "count": ("as a whole number", "0"),
    "share": ("in percent", "12 %"),
    "mass": ("as text with its unit", "60 kg"),
    "length": ("as text with its unit", "84 in"),
    "time": ("as text with its unit; the most time of the row is meant", "8 h"),
}
"""How the bound of each kind of number is written, with an example."""


class _Either(Telling, fields.Field[Any]):
    """Text, or an object of a schema, or, where it is allowed, a whole number."""

    def __init__(self, schema: type[Asked], name: str, description: str, examples: list[Any], **kwargs: Any) -> None:
        self._schema, self._whole = schema(), kwargs.pop("whole", False)
        first = {"type": "integer", "minimum": 0} if self._whole else {"type": "string", "maxLength": MOST_TEXT}
        about = {
            "description": description,
            "examples": examples,
            "anyOf": [first, {"$ref": f"#/components/schemas/{name}"}],
        }
        super().__init__(metadata=about, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, dict):
            if faults := self._schema.validate(value):
                raise ValidationError(faults)
            return value
        if type(value) is int if self._whole else isinstance(value, str) and len(value) <= MOST_TEXT:
            return value
        words = "a whole number" if self._whole else "text"
        raise ValidationError([Told("not-text", f"is {show(value)}; it must be {words} or an object")])


class ComparedDesignAskedSchema(Asked):
    """A design to compare, with options that all its rows have; they are not swept."""

    design = Text("The design, by name.", "slatted-bed", required=True)
    label = Text("What its rows are called; unset: the design's name.", "bed with a deep rail")
    options = Free(
        "The options of all its rows, as a request for a quote has them.", {"rail": "2x8"}, MOST_OPTIONS
    )  # fmt: skip


class BaselineAskedSchema(Asked):
    """The first row that is as told; what is not told may be anything."""

    design = Text("Its design.", "slatted-bed")
    label = Text("What it is called.", "slatted-bed")
    options = Free("Its options, as they are written in this request.", {"mattress": "queen"}, MOST_OPTIONS)
    price_book = Text("Its price book, by name.", "sample-inch")
    quantity = Whole("Its quantity.", 1, 1, MOST_QUANTITY)


class Swept(Telling, fields.Field[Any]):
    """For each option, the values it is to take."""

    def __init__(self, description: str) -> None:
        about = {
            "description": description,
            "examples": [{"mattress": ["twin", "queen"], "rail": ["2x6", "2x8"]}],
            "type": "object",
            "maxProperties": MOST_OPTIONS,
            "additionalProperties": {"type": "array", "minItems": 1, "maxItems": MOST_ENTRIES},
        }
        super().__init__(metadata=about)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if not isinstance(value, dict):
            raise ValidationError([Told("not-an-object", f"is {show(value)}; it must be an object")])
        if len(value) > MOST_OPTIONS:
            raise ValidationError([Told("too-many", f"has {len(value)} keys; it may have {MOST_OPTIONS}")])
        wrong = {name: [told] for name, values in value.items() if (told := _list_fault(values))}
        if wrong:
            raise ValidationError(wrong)
        return value


def _list_fault(values: object) -> Told | None:
    """What is wrong with the values that an option is to take."""
    if not isinstance(values, list):
        return Told("not-a-list", f"is {show(values)}; it must be a list of 1 to {MOST_ENTRIES} values")
    if not values:
        return Told("missing", f"is empty; give 1 to {MOST_ENTRIES} values")
    if len(values) > MOST_ENTRIES:
        return Told("too-many", f"has {len(values)} values; it may have {MOST_ENTRIES}")
    return None


class BoundGiven(Telling, fields.Field[Any]):
    """A number as text, with its unit where it has one; a plain one also as a whole number."""

    def __init__(self, description: str, example: str) -> None:
        either = [{"type": "string", "maxLength": MOST_TEXT}, {"type": "integer", "minimum": 0}]
        super().__init__(metadata={"description": description, "examples": [example], "anyOf": either})

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if type(value) is int or (isinstance(value, str) and len(value) <= MOST_TEXT):
            return value
        raise ValidationError([Told("not-text", f"is {show(value)}; it must be text or a whole number")])


def _bound(kind: Kind) -> type[Asked]:
    how, example = _BOUNDS[kind]
    ends = {
        "least": BoundGiven(f"The least it may be, {how}.", example),
        "most": BoundGiven(f"The most it may be, {how}.", example),
    }
    return type(f"{kind.capitalize()}BoundAskedSchema", (Asked,), {"__doc__": f"Bounds of a {kind}.", **ends})


_KINDS: Final = {kind: _bound(kind) for kind in _BOUNDS}
FilterAskedSchema: Final = type(
    "FilterAskedSchema",
    (Asked,),
    {
        "__doc__": "Which rows are told; a row without figures is then left out.",
        **{name: Group(_KINDS[each.kind], f"Its bounds: {name}.") for name, each in CRITERIA.items()},
    },
)


class ComparisonRequestSchema(Asked):
    """A request for a comparison: one row a design, option value, price book and quantity."""

    designs = Rows(
        _Either(
            ComparedDesignAskedSchema, "ComparedDesignAsked", "A design by name, or with options of its own.",
            ["slatted-bed", {"design": "slatted-bed", "options": {"rail": "2x8"}, "label": "deep rail"}],
        ),
        "What is compared, at least one design.", MOST_ENTRIES, required=True,
    )  # fmt: skip
    options = Swept(
        "The values that each option is to take, one after the other. For a design that has no such option it is left "
        "out, and its rows say so; an option that none of the designs has is a fault."
    )
    price_books = Rows(
        PriceBookGiven("The prices: a price book by name, by name@revision, or whole."),
        "The price books, at least one.", MOST_ENTRIES, required=True,
    )  # fmt: skip
    quantities = Rows(
        Whole("How many are made.", 4, 1, MOST_QUANTITY), "How many are made; unset: 1.", MOST_ENTRIES
    )  # fmt: skip
    units = Text(
        "The system lengths are written in; unset: each price book's.", "inch", metadata={"enum": ["inch", "metric"]}
    )
    shop = Group(ShopAskedSchema, "How the shop cuts; what is unset is as each price book says.")
    site = Group(SiteAskedSchema, "Where the furniture is to stand, and the way there: what it is checked against.")
    lumber = Group(LumberThatHoldsSchema, "Which lumber will do; unset: any that a price book sells, and that holds.")
    on_hand = Rows(Group(OnHandSchema), "Boards that the maker has; each row has all of them to itself.", MOST_PARTS)
    owned_hardware = Rows(
        Group(OwnedHardwareAskedSchema), "Hardware that the maker has; each row has all of it to itself.", MOST_PARTS
    )
    owned_supplies = Rows(
        Group(OwnedSupplyAskedSchema), "Supplies that the maker has; each row has all of them to itself.", MOST_PARTS
    )
    rates = Free(
        f"Your own times of work, as a request for a quote has them: {', '.join(usual_rates())}.",
        {"cut": "2 min"}, MOST_OPTIONS,
    )  # fmt: skip
    baseline = _Either(
        BaselineAskedSchema, "BaselineAsked", "The row that others are held against: its number, or what it is.",
        [0, {"design": "slatted-bed", "options": {"mattress": "queen"}}], whole=True,
    )  # fmt: skip
    sort = Text(
        "What the rows are sorted by, least first; with a minus before it, most first. Unset: row, the order of the "
        "grid. Amounts of one currency stay together.", "-total",
        metadata={"enum": [sign + name for name in (BY_NUMBER, *CRITERIA) for sign in ("", "-")]},
    )  # fmt: skip
    filter = Group(FilterAskedSchema, "Which rows are told; unset: all, those without figures too.")
    judge_by = Rows(
        Text("A criterion.", "total", metadata={"enum": [*CRITERIA]}),
        f"By what a row can outdo another; unset: {', '.join(USUAL)}.", len(CRITERIA),
    )  # fmt: skip


class RowReasonSchema(Sent):
    """Why a row has no quote."""

    code = sent.text("A stable word for it.", "out-of-range")
    detail = sent.text("What is wrong and what would be right.", "slat_gap is 1 km; it may be 1/2 in to 4 in")


def _amount(description: str, example: str) -> fields.String:
    text = f"{description} [the currency of the row]; null without a quote."
    return sent.text(text, example, none=True)


class RowDifferenceSchema(Sent):
    """What a row is more than the baseline, less where it is negative."""

    total = _amount("In the total; null too where the currencies differ, as all amounts are", "-12.30")
    each = _amount("In the total of one", "-12.30")
    lumber = _amount("In boards", "-10.00")
    hardware = _amount("In hardware", "0.00")
    supplies = _amount("In supplies", "0.00")
    boards = sent.whole("In boards to buy.", -2)
    waste = sent.number("In waste [share of 1].", -0.0213)
    mass_kg = sent.number("In mass [kg].", 4.2)
    longest_piece_mm = sent.number("In the longest piece [mm].", 0.0)
    failed_checks = sent.whole("In failed checks.", 0)
    unreckoned = sent.whole("In checks that could not be reckoned.", 0)
    worst_utilisation = sent.number(
        "In the worst utilisation [share of 1]; null where either is not known.", 0.012, none=True
    )
    hands_on_minutes = sent.group(schema_of(Minutes), "In the time at work.")


class ComparedRowSchema(Sent):
    """One combination: what was asked, and the figures of its quote, which are null where there is none."""

    row = sent.whole("Its number in the grid, from 0.", 0)
    label = sent.text("What it is called.", "slatted-bed")
    design = sent.text("The design.", "slatted-bed")
    options = fields.Dict(
        required=True,
        metadata={"description": "Its options, as they were asked for.", "examples": [{"mattress": "queen"}]},
    )
    left_out = sent.rows(sent.text("An option.", "rail"), "Options that were swept, which its design does not have.")
    price_book = sent.text("The price book.", "sample-inch")
    revision = sent.text("Its revision.", "781ea1b956718b153a0c1f7e42d9b86c")
    quantity = sent.whole("How many are made.", 1)
    status = sent.text(
        "quoted; refused: the design or the price book cannot take these options; cannot_be_bought: the price book "
        "lacks something.", "quoted", choices=["quoted", "refused", "cannot_be_bought"],
    )  # fmt: skip
    reasons = sent.rows(RowReasonSchema, "Why there is no quote; empty where there is one.")
    currency = sent.text("The currency of the row's amounts (ISO 4217).", "USD")
    total = _amount("All that is spent", "207.31")
    each = _amount("The total for one of the quantity, rounded down", "207.31")
    lumber = _amount("Boards", "148.20")
    hardware = _amount("Fasteners and fittings, in whole packs", "31.96")
    supplies = _amount("Glue and the like, in whole containers", "14.50")
    trips = _amount("Trips to suppliers, and deliveries", "9.00")
    tax = _amount("Tax; where the book's prices hold it, the part of them that is tax", "12.65")
    boards = sent.whole("Boards to buy.", 14, none=True)
    waste = sent.number(
        "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover worth keeping "
        "[share of 1].", 0.0522, none=True,
    )  # fmt: skip
    mass_kg = sent.number("The mass of one [kg].", 61.4, none=True)
    longest_piece = sent.length("The longest side of what is carried as one.", 2032.0, "80 in", none=True)
    failed_checks = sent.whole("Checks that failed.", 0, none=True)
    worst_check = sent.text(
        "How the worst check came out, in the order fail, unreckoned, warn, not_checked, pass; null without a quote, "
        "or where nothing was looked at. Checked for planning, not a certificate.",
        "warn", none=True, choices=[status.value for status in Found],
    )  # fmt: skip
    worst_utilisation = sent.number(
        "The most that is used of what wood and bolts bear, rounded up [share of 1]: above 1 it does not hold; null "
        "without a quote, or where nobody knows how much something that carries bears.", 0.749, none=True,
    )  # fmt: skip
    hands_on_minutes = sent.group(schema_of(Minutes), "All people's time at work together.", none=True)
    proof = sent.text(
        "How far it is proven that the lumber cannot cost less, as in a quote; null without one.",
        "proven", none=True, choices=[status.value for status in Proven],
    )  # fmt: skip
    unreckoned = sent.whole(
        "Checks that could not be reckoned, for something carries and nobody knows how much it bears: such a row is "
        "the best of nothing, and outdoes none; null without a quote.", 0, none=True,
    )  # fmt: skip


class JudgementSchema(Sent):
    """How a row stands among its like, those of its quantity and currency."""

    best_in = sent.rows(sent.text("A criterion.", "total"), "What no row like it has less of; empty for a lone one.")
    dominated_by = sent.whole(
        "The first row like it that is nowhere worse in what rows are judged by, and somewhere better; null: there is "
        "none.", 3, none=True,
    )  # fmt: skip
    difference = sent.group(
        RowDifferenceSchema, "Less the baseline; null without one, or where either has no quote.", none=True
    )  # fmt: skip


class JudgedRowSchema(ComparedRowSchema, JudgementSchema):
    """A row of a comparison."""


class CountsSchema(Sent):
    """How many rows there are."""

    rows = sent.whole("In the grid.", 40)
    shown = sent.whole("Told here: within the filter.", 38)
    quoted = sent.whole("With a quote.", 38)
    refused = sent.whole("Refused.", 1)
    cannot_be_bought = sent.whole("That cannot be bought.", 1)


class ComparisonSchema(Sent):
    """A comparison."""

    engine = sent.text("The version of the engine.", "0.10.0")
    price_books = sent.rows(schema_of(QuotedBook), "The price books, in the order asked.")
    judged_by = sent.rows(sent.text("A criterion.", "total"), "By what a row can outdo another.")
    baseline = sent.whole("The row that others are held against, if any.", 0, none=True)
    counts = sent.group(CountsSchema, "How many rows there are.")
    rows = sent.rows(JudgedRowSchema, f"The rows, at most {MOST_ROWS}, filtered and sorted.")
