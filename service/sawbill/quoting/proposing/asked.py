"""What a caller may write of a proposal, declared."""

from __future__ import annotations

from typing import Final

from sawbill.asked.lines import MOST_OPTIONS, MOST_QUANTITY
from sawbill.asked.request import PRICE_BOOK
from sawbill.quoting.comparing.asked import BOUNDS, COMMON, DESIGN_OR_NAME
from sawbill.quoting.comparing.criteria import Kind as BoundKind
from sawbill.quoting.proposing.grid import MOST_COMBINATIONS
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, TO_LESSEN
from sawbill.trade.declaring.kinds import MOST_TEXT, Free, Kind, Text, Whole, Word, Wrong
from sawbill.trade.declaring.members import Group, Member, Rows, Table, members
from sawbill.trade.declaring.shown import Json, show

ANY: Final = "any"
NEAR: Final = "near"
RANGE: Final = ("from", "to", "step")
"""What a range is told by."""
MOST_VALUES: Final = 50
"""How many values of one option are tried."""
USUALLY_OPEN: Final = 5
"""How many options are left open where none is named."""
MOST_ENTRIES: Final = 20
"""How many designs or price books a proposal may name."""
MOST_TOOLS: Final = 100
LONGEST_VALUES: Final = 2_000
"""The longest that the values of an option may be, written in one text [characters]."""
USUAL_NUMBER: Final = 3
MOST_PROPOSALS: Final = 10
"""How many proposals are made unless it is said, and at most."""


class OpenValues(Kind):
    """The values that an option may take: a list, a range, or a text that tells either."""

    takes_null = True

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if isinstance(raw, str):
            words = f"has {len(raw)} characters; it may have {LONGEST_VALUES}"
            return Wrong("too-long", words) if len(raw) > LONGEST_VALUES else None
        if isinstance(raw, dict):
            missing = next((f"lacks {name}" for name in ("from", "to") if name not in raw), "")
            unknown = next((f"has {show(name)}" for name in raw if name not in RANGE), "")
            what = missing or unknown
            return Wrong("not-a-range", f"{what}; a range has from, to, and a step") if what else None
        if not isinstance(raw, list):
            return Wrong("not-values", f"is {show(raw)}; it must be a list, a range, or text such as {ANY}")
        if not 1 <= len(raw) <= MOST_VALUES:
            return Wrong("too-many", f"has {len(raw)} values; it may have 1 to {MOST_VALUES}")
        return None

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"anyOf": [
            {"type": "string", "maxLength": LONGEST_VALUES},
            {"type": "array", "minItems": 1, "maxItems": MOST_VALUES, "items": _VALUE},
            {"type": "object", "properties": _ENDS, "required": ["from", "to"], "additionalProperties": False},
        ]}  # fmt: skip


_END: Final[Json] = {"anyOf": [{"type": "string", "maxLength": MOST_TEXT}, {"type": "integer", "minimum": 0}]}
_VALUE: Final[Json] = {
    "description": "A value, as a request for a quote has it.",
    "anyOf": [
        {"type": "string"}, {"type": "integer"}, {"type": "boolean"}, {"type": "object", "additionalProperties": True},
    ],
}  # fmt: skip
_ENDS: Final[Json] = {
    "from": {"description": "The first value.", "examples": ["8 in"], **_END},
    "to": {"description": "The last it may be.", "examples": ["12 in"], **_END},
    "step": {"description": "How far apart; unset: 1 in, 25 mm, or 1 of a count.", "examples": ["1 in"], **_END},
}


def _kind(name: str) -> BoundKind:
    return "count" if name == NEW_WARNINGS else MEASURES[name].kind


def _about(name: str) -> str:
    words = (
        "the number of rules that warn, beside those that warn of the usual options"
        if name == NEW_WARNINGS
        else MEASURES[name].words
    )
    usual = {NEW_WARNINGS: "; unset: none", "failed_checks": "; unset: none"}.get(name, "")
    return f"Bounds of {words}{usual}."


WISHES: Final = Group(
    "WishesAsked", "What a quote must keep to.",
    members(*(Member(name, BOUNDS[_kind(name)], _about(name)) for name in (*MEASURES, NEW_WARNINGS))),
)  # fmt: skip
_OPEN: Final[Json] = {
    "rail": ["2x6", "2x8"],
    "clear_height": {"from": "8 in", "to": "12 in", "step": "1 in"},
    "slat": ANY,
}
PROPOSAL: Final = COMMON.but(
    "ProposalRequest", "A request for a proposal: what stays, what is left open, what is wished, what is made least.",
    Member("designs", Rows(
        DESIGN_OR_NAME, MOST_ENTRIES, "A design by name, or with options of its own.",
    ), "What may be built, at least one design.", required=True),
    Member(
        "options", Free(MOST_OPTIONS), "The options that stay as they are told, of every design that has them.",
        {"mattress": "queen"}, late=True,
    ),
    Member(
        "open", Table(OpenValues(), MOST_OPTIONS),
        "The options left open, each with its values: a list; a range from, to, by a step; values in one text with "
        f"commas between, or a range as 8 in to 12 in by 1 in; {NEAR}, as usual and one step from it; {ANY}, all there "
        "is: sections on sale whose strength is known and sizes, none smaller than usual. Unset: the first "
        f"{USUALLY_OPEN} of sections, bolts and yes-or-no options, {NEAR}. Up to {MOST_COMBINATIONS} combinations.",
        _OPEN,
    ),
    Member("price_books", Rows(
        PRICE_BOOK.kind, MOST_ENTRIES, "The prices: a price book by name, by name@revision, or whole.", "sample-inch",
    ), "The price books, at least one, all of one currency.", required=True),
    Member("quantity", Whole(1, MOST_QUANTITY), "How many are made; unset: 1.", 1),
    Member("wishes", WISHES, "What a quote must keep to; no check may fail unless it is said otherwise."),
    Member("tools", Rows(
        Text(), MOST_TOOLS, "A tool.", "drill"
    ), "The tools at hand: no others are to be needed.", ["drill", "clamp"]),
    Member("make_least", Word(*TO_LESSEN), "What to make least; unset: total.", "total"),
    Member("proposals", Whole(1, MOST_PROPOSALS), f"How many to make; unset: {USUAL_NUMBER}.", 3),
)  # fmt: skip
