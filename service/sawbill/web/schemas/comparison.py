"""A comparison: the shape of its request, and what its answer holds, field by field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from marshmallow import ValidationError, fields

from sawbill.asked.request import MOST_PARTS, MOST_QUANTITY
from sawbill.making.rates import usual_rates
from sawbill.quoting.comparing.judging import BY_NUMBER, CRITERIA, USUAL, Kind
from sawbill.trade.option import show
from sawbill.web.schemas.fields import MOST_TEXT, Asked, Free, Group, Rows, Telling, Text, Told, Whole
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
