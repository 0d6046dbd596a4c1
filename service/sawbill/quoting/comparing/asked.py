"""What a caller may write of a comparison, declared."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from sawbill.asked.lines import MOST_OPTIONS, MOST_QUANTITY
from sawbill.asked.pricing import PRICING
from sawbill.asked.request import PRICE_BOOK, QUOTE, SHOP, UNITS
from sawbill.asked.wood import LUMBER_THAT_HOLDS
from sawbill.making.rates import usual_rates
from sawbill.quoting.comparing.criteria import BY_NUMBER, CRITERIA, USUAL
from sawbill.quoting.comparing.criteria import Kind as BoundKind
from sawbill.trade.declaring.kinds import MOST_TEXT, Free, Kind, Text, Whole, Wrong, whole_of
from sawbill.trade.declaring.members import Either, Group, Member, Rows, Table, members
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.declaring.shown import Json, show

MOST_ENTRIES: Final = 50
"""How many designs, price books, quantities, or values of one option a comparison may name."""


class Values(Kind):
    """The values that an option is to take, each as a design has it."""

    takes_null = True

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if not isinstance(raw, list):
            return Wrong("not-a-list", f"is {show(raw)}; it must be a list of 1 to {MOST_ENTRIES} values")
        if not raw:
            return Wrong("missing", f"is empty; give 1 to {MOST_ENTRIES} values")
        if len(raw) > MOST_ENTRIES:
            return Wrong("too-many", f"has {len(raw)} values; it may have {MOST_ENTRIES}")
        return None

    def from_text(self, text: str, between: str = ",") -> list[str]:
        """Take the values apart."""
        return [part.strip() for part in text.split(between)]

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        items = {"description": "A value, as a request for a quote has it."}
        return {"type": "array", "minItems": 1, "maxItems": MOST_ENTRIES, "items": items}


class BoundGiven(Kind):
    """A number as text, with its unit where it has one; a plain one also as a whole number."""

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if type(raw) is int or (isinstance(raw, str) and len(raw) <= MOST_TEXT):
            return None
        return Wrong("not-text", f"is {show(raw)}; it must be text or a whole number")

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"anyOf": [{"type": "string", "maxLength": MOST_TEXT}, {"type": "integer", "minimum": 0}]}


class AnyText(Text):
    """A text that may be anything, for what it names is looked up."""

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        return None if isinstance(raw, str) and len(raw) <= self.longest else Wrong("not-text", "")


class RowNumber(Kind):
    """The number of a row."""

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        return None if type(raw) is int else Wrong("not-text", "")

    def from_text(self, text: str, between: str = ",") -> int | str:
        """Take a number from its digits."""
        return whole_of(text)

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"type": "integer", "minimum": 0}


class Quantity(Whole):
    """How many are made, one of several numbers."""

    def read(self, name: str, raw: Any, reading: Reading) -> int:
        """Read a whole number."""
        return super().read("a quantity", raw, reading)


_BOUNDS: Final[Mapping[BoundKind, tuple[str, str]]] = {
    "money": ("in the currency of the row, as a plain number", "300.00"),
    "count": ("as a whole number", "0"),
    "share": ("in percent", "12 %"),
    "mass": ("as text with its unit", "60 kg"),
    "length": ("as text with its unit", "84 in"),
    "time": ("as text with its unit; the most time of the row is meant", "8 h"),
}
"""How the bound of each kind of number is written, with an example."""


def _bounds(kind: BoundKind) -> Group:
    how, example = _BOUNDS[kind]
    return Group(f"{kind.capitalize()}BoundAsked", f"Bounds of a {kind}.", members(
        Member("least", BoundGiven(), f"The least it may be, {how}.", example, late=True),
        Member("most", BoundGiven(), f"The most it may be, {how}.", example, late=True),
    ))  # fmt: skip


BOUNDS: Final = {kind: _bounds(kind) for kind in _BOUNDS}
"""The least and the most of a number, by its kind."""
_FILTER: Final = Group(
    "FilterAsked", "Which rows are told; a row without figures is then left out.",
    members(*(Member(name, BOUNDS[each.kind], f"Bounds of {each.words}.") for name, each in CRITERIA.items())),
)  # fmt: skip
DESIGN: Final = Group(
    "ComparedDesignAsked", "A design to compare, with options that all its rows have; they are not swept.", members(
        Member("design", Text(), "The design, by name.", "slatted-bed", required=True),
        Member("label", Text(), "What its rows are called; unset: the design's name.", "bed with a deep rail"),
        Member(
            "options", Free(MOST_OPTIONS), "The options of all its rows, as a request for a quote has them.",
            {"rail": "2x8"}, late=True,
        ),
    ),
)  # fmt: skip
BASELINE: Final = Group(
    "BaselineAsked", "The first row that is as told; what is not told may be anything.", members(
        Member("design", Text(), "The design, by name.", "slatted-bed"),
        Member("label", Text(), "What it is called.", "slatted-bed"),
        Member(
            "options", Free(MOST_OPTIONS), "Its options, as they are written in this request.", {"mattress": "queen"},
            late=True,
        ),
        Member("price_book", Text(), "Its price book, by name.", "sample-inch"),
        Member("quantity", Whole(1, MOST_QUANTITY), "Its quantity.", 1, late=True),
    ),
)  # fmt: skip


def _as_quoted(name: str, help: str) -> Member:
    """Give a member that a request for a quote has too; help: what it means for several rows."""
    asked = QUOTE.members[name]
    return Member(name, asked.kind, help, asked.example, late=asked.late)


COMMON: Final = Group("CommonAsked", "What all rows ask for alike; each has all that is on hand to itself.", members(
    Member("units", UNITS.kind, "The system lengths are written in; unset: each price book's.", UNITS.example),
    Member("shop", SHOP, "How the shop cuts; what is unset is as each price book says."),
    QUOTE.members["site"],
    Member("lumber", LUMBER_THAT_HOLDS, "Which lumber will do; unset: any that a price book sells, and that holds."),
    _as_quoted("on_hand", "Boards that the maker has; each row has all of them to itself."),
    _as_quoted("owned_hardware", "Hardware that the maker has; each row has all of it to itself."),
    _as_quoted("owned_supplies", "Supplies that the maker has; each row has all of them to itself."),
    Member(
        "rates", Free(MOST_OPTIONS),
        f"Your own times of work, as a request for a quote has them: {', '.join(usual_rates())}.", {"cut": "2 min"},
        late=True,
    ),
))  # fmt: skip

VALUES: Final = Values()
DESIGN_OR_NAME: Final = Either(
    DESIGN, AnyText(), "text",
    ["slatted-bed", {"design": "slatted-bed", "options": {"rail": "2x8"}, "label": "deep rail"}],
)  # fmt: skip
_ROW: Final = Either(
    BASELINE, RowNumber(), "a whole number", [0, {"design": "slatted-bed", "options": {"mattress": "queen"}}]
)
COMPARISON: Final = COMMON.but(
    "ComparisonRequest", "A request for a comparison: one row a design, option value, price book and quantity.",
    Member("designs", Rows(
        DESIGN_OR_NAME, MOST_ENTRIES, "A design by name, or with options of its own.",
    ), "What is compared, at least one design.", required=True),
    Member(
        "options", Table(VALUES, MOST_OPTIONS),
        "The values that each option is to take, one after the other. For a design that has no such option it is left "
        "out, and its rows say so; an option that none of the designs has is a mistake.",
        {"mattress": ["twin", "queen"], "rail": ["2x6", "2x8"]},
    ),
    Member("price_books", Rows(
        PRICE_BOOK.kind, MOST_ENTRIES, "The prices: a price book by name, by name@revision, or whole.", "sample-inch",
    ), "The price books, at least one.", required=True),
    Member("quantities", Rows(
        Quantity(1, MOST_QUANTITY), MOST_ENTRIES, "How many are made.", 4
    ), "How many are made; unset: 1."),
    Member("baseline", _ROW, "The row that others are held against: its number, or what it is."),
    Member(
        "sort", Text(words=tuple(sign + name for name in (BY_NUMBER, *CRITERIA) for sign in ("", "-"))),
        "What the rows are sorted by, least first; with a minus before it, most first. Unset: row, the order of the "
        "grid. Amounts of one currency stay together.", "-total",
    ),
    Member("pricing", PRICING, "What is reckoned on top of each row's purchase, such as what it may be sold for."),
    Member("filter", _FILTER, "Which rows are told; unset: all, those without figures too."),
    Member("judge_by", Rows(
        Text(words=tuple(CRITERIA)), len(CRITERIA), "A criterion.", "total"
    ), f"By what a row can outdo another; unset: {', '.join(USUAL)}."),
)  # fmt: skip
