"""A request for a quote: what a caller may write, declared; every fault at once, each with its pointer."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeVar

from sawbill.asked.faults import Pointer, RequestFault, RequestFaultsError
from sawbill.asked.lines import (
    LINE,
    MOST_LINES,
    MOST_OPTIONS,
    MOST_PARTS,
    PIECE,
    Line,
    Lines,
    Need,
)
from sawbill.asked.owned import ON_HAND, OWNED_HARDWARE, OWNED_SUPPLY, OnHand
from sawbill.asked.pricing import PRICING, Pricing
from sawbill.asked.reader import Reader
from sawbill.asked.wood import LUMBER, LUMBER_THAT_HOLDS, wood_of
from sawbill.checks.site import Site
from sawbill.checks.strength import TRACED
from sawbill.making.rates import Minutes, RateError, read_time, usual_rates
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shop import SHOP as SHOP_SETTINGS
from sawbill.prices.shop import Shop
from sawbill.trade.declaring.headings import HAVE, PRICES, TOLD, WORK
from sawbill.trade.declaring.kinds import MOST_TEXT, Free, Kind, Text, Word, Wrong, YesNo
from sawbill.trade.declaring.members import Group, Member, Rows, members, members_of
from sawbill.trade.declaring.shown import Json, show
from sawbill.trade.design import Design
from sawbill.trade.lengths import System

__all__ = [
    "CUTTING_PLAN", "QUOTE", "OnHand", "Pointer", "Request", "RequestFault", "RequestFaultsError", "read_pieces",
    "read_request",
]  # fmt: skip

T = TypeVar("T")

MOST_TRACED: Final = 20
ALL_RULES: Final = "all"
"""What stands for all rules of strength where their calculations are asked for."""


@dataclass(frozen=True, slots=True)
class Request:
    """What is to be quoted: lines, stock on hand, the shop's settings, and which lumber will do (empty: any).

    site: where the furniture is to stand; rates: the maker's own times of work, by the name of the rate;
    owned_hardware, owned_supplies: what the maker has of each, counted once for all lines [pieces; ml, g or pieces];
    pricing: what is reckoned on top of the purchase; trace: the rules of strength to write the calculation out of;
    placed: whether frames are told part by part; must_hold: whether boards are bought so that the frames hold;
    ways_out: whether ways out of checks that fail or warn are looked for.
    """

    lines: tuple[Line, ...]
    shop: Shop
    units: System
    on_hand: tuple[OnHand, ...] = ()
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()
    site: Site = field(default_factory=Site)
    rates: tuple[tuple[str, Minutes], ...] = ()
    owned_hardware: tuple[tuple[Need, int], ...] = ()
    owned_supplies: tuple[tuple[str, int], ...] = ()
    pricing: Pricing = field(default_factory=Pricing)
    trace: tuple[str, ...] = ()
    placed: bool = False
    must_hold: bool = True
    ways_out: bool = False


def read_request(raw: Mapping[str, Any], book: PriceBook, designs: Mapping[str, Design]) -> Request:
    """Read the JSON of a request against a price book, whichever it names, and the designs on offer.

    Raises RequestFaultsError: with every fault.
    """
    return _read(raw, book, Reader(book, designs), QUOTE)


def read_pieces(raw: Mapping[str, Any], book: PriceBook) -> Request:
    """Read the JSON of a request for a cutting plan: it is one for a quote of a single line, the `pieces`.

    Raises RequestFaultsError: with every fault.
    """
    return _read(raw, book, Reader(book), CUTTING_PLAN)


def _read(raw: Mapping[str, Any], book: PriceBook, reader: Reader, group: Group) -> Request:
    request = reader.value((), {"price_book": book.name, **raw}, group)
    reader.raise_if_any()
    assert isinstance(request, Request), "a request without a fault can be read"
    return request


class PriceBookGiven(Kind):
    """A price book: its name, its name@revision, or the whole of it."""

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if (isinstance(raw, dict) and raw) or (isinstance(raw, str) and len(raw) <= MOST_TEXT):
            return None
        remedy = "name a price book, such as sample-inch, or give a whole one as an object"
        return Wrong("not-a-price-book", f"is {show(raw)}; {remedy}")

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"anyOf": [Text().schema(), {"$ref": "#/components/schemas/PriceBook"}]}


def _shop(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> Shop:
    """The book's shop settings, with those that the request changes."""
    changed = replace(reader.book.shop, **given)
    reader.lay_out_to(changed.rounding_step)
    return changed


def read_rates(reader: Reader, raw: Mapping[str, Any]) -> tuple[tuple[str, Minutes], ...]:
    """Read the maker's own times of work, in the order of the usual ones."""
    given: dict[str, Minutes] = {}
    for name, value in raw.items():
        if name not in usual_rates():
            near = difflib.get_close_matches(name[:60], usual_rates(), n=1, cutoff=0.5)
            hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(usual_rates())}"
            reader.fault(("rates", name), "unknown-rate", f"rates has no {show(name)}; {hint}")
            continue
        try:
            given[name] = read_time(value)
        except RateError as error:
            reader.fault(("rates", name), error.code, f"{name} {error}")
    return tuple((name, given[name]) for name in usual_rates() if name in given)


def _traced(rules: Sequence[str]) -> tuple[str, ...]:
    """The rules whose calculation is asked for, each once, in the order of their names."""
    return tuple(rule for rule in sorted(TRACED) if rule in rules or ALL_RULES in rules)


def _together(rows: Iterable[tuple[T, int] | None]) -> tuple[tuple[T, int], ...]:
    """What is owned of each thing, its rows added up."""
    found: Counter[T] = Counter()
    for what, quantity in filter(None, rows):
        found[what] += quantity
    return tuple(found.items())


def _quote(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> Request:
    if given.get("lines") == []:
        detail = "the request has no lines; give at least one design or list of parts"
        reader.fault(("lines",), "missing", detail)
    return _request(
        reader, given, tuple(given.get("lines", ())),
        site=given.get("site", Site()),
        rates=read_rates(reader, given.get("rates", {})),
        owned_hardware=_together(given.get("owned_hardware", ())),
        owned_supplies=_together(given.get("owned_supplies", ())),
        pricing=given.get("pricing", Pricing()),
        trace=_traced(given.get("trace", ())),
        placed=given.get("placed", False),
        must_hold=given.get("lumber", {}).get("must_hold", True),
        ways_out=given.get("ways_out", False),
    )  # fmt: skip


def _plan(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> Request:
    if given.get("pieces") == []:
        reader.fault(("pieces",), "missing", "the request has no pieces; give at least one")
    return _request(reader, given, (Line("pieces", 1, parts=tuple(given.get("pieces", ()))),))


def _request(reader: Reader, given: Mapping[str, Any], lines: tuple[Line, ...], **more: Any) -> Request:
    """What a quote and a cutting plan have in common."""
    species, grades = wood_of(given.get("lumber", {}))
    shop, units = given.get("shop", reader.book.shop), given.get("units", reader.book.units)
    return Request(lines, shop, units, tuple(given.get("on_hand", ())), species, grades, **more)


SHOP: Final = Group("ShopAsked", "How the shop cuts, where not as the price book says.", SHOP_SETTINGS, _shop)
SITE: Final = Group(
    "SiteAsked", "Where the furniture is to stand, the way there and who uses it; what is not told is not checked.",
    members_of(Site), lambda reader, at, given: Site(**given),
)  # fmt: skip


PRICE_BOOK: Final = Member(
    "price_book", PriceBookGiven(),
    "The prices: a price book by name, or by name@revision where it must not have changed, or whole.", "sample-inch",
    required=True, heading=PRICES,
)  # fmt: skip
UNITS: Final = Member(
    "units", Word("inch", "metric"), "Inch or metric lengths; unset: as the price book has them.", "inch",
    heading=TOLD, label="Lengths in",
)  # fmt: skip
_ON_HAND: Final = Member(
    "on_hand", Rows(ON_HAND, MOST_PARTS), "Boards that the maker has, which are used first.", heading=HAVE,
    label="Boards that you have",
)  # fmt: skip
_SHOP: Final = Member("shop", SHOP, "How the shop cuts; what is unset is as the price book says.")
TRACE: Final = Member(
    "trace", Rows(Word(*sorted(TRACED), ALL_RULES), MOST_TRACED, "A rule, by name, or all.", "bolts"),
    f"The rules of strength to write the calculation out of: all, or {', '.join(sorted(TRACED))}; unset: none.",
    ["bolts", "bending"], heading=TOLD, label="Calculations of strength", rare=True,
)  # fmt: skip
PLACED: Final = Member(
    "placed", YesNo(),
    "Whether every frame is told part by part, in its place, with all that joins them; unset: no.", True, default=False,
    heading=TOLD, label="Every part in its place", rare=True,
)  # fmt: skip
WAYS_OUT: Final = Member(
    "ways_out", YesNo(),
    "Whether changes of one or two options are looked for with which checks pass that fail or warn, each tried as a "
    "whole; unset: no.", True, default=False,
    heading=TOLD, label="Look for ways out of failed checks",
)  # fmt: skip
RATES: Final = Member(
    "rates", Free(MOST_OPTIONS),
    "Your own times of work, where not the usual ones (common practice): each a number of minutes, or text with "
    f"its unit, such as 2 min, 90 s or 1 to 3 h. {'; '.join(f'{r.name}: a {r.per}' for r in usual_rates().values())}.",
    {"cut": "2 min", "drill": 1.5, "finish_drying": "4 to 8 h"}, late=True,
    heading=WORK, label="Your times of work", rare=True,
)  # fmt: skip

QUOTE: Final = Group("QuoteRequest", "A request for a quote: every line goes into one purchase.", members(
    PRICE_BOOK,
    UNITS,
    _SHOP,
    Member("lines", Lines(LINE, MOST_LINES), "What is to be made, at least one line.", required=True),
    _ON_HAND,
    Member("site", SITE, "Where the furniture is to stand, and the way there: what it is checked against."),
    RATES,
    Member(
        "lumber", LUMBER_THAT_HOLDS, "Which lumber will do; unset: any that the price book sells, and that holds."
    ),
    Member(
        "owned_hardware", Rows(OWNED_HARDWARE, MOST_PARTS),
        "Hardware that the maker has, which is used before any is bought.",
        heading=HAVE, label="Hardware that you have", rare=True,
    ),
    Member(
        "owned_supplies", Rows(OWNED_SUPPLY, MOST_PARTS),
        "Supplies that the maker has, which are used before any is bought.",
        heading=HAVE, label="Supplies that you have", rare=True,
    ),
    Member("pricing", PRICING, "What to set aside, and how to reckon what it may be sold for."),
    TRACE,
    PLACED,
    WAYS_OUT,
    Member(
        "label", Text(), "What a stored quote is called; it is not part of the quote. Unset: no label.",
        "guest room, 2nd try",
    ),
), _quote)  # fmt: skip

CUTTING_PLAN: Final = Group(
    "CuttingPlanRequest", "A request for a cutting plan: pieces of any sections, bought and cut together.", members(
        PRICE_BOOK,
        UNITS,
        _SHOP,
        Member("pieces", Rows(PIECE, MOST_PARTS), "What is to be cut, at least one entry.", required=True),
        _ON_HAND,
        Member("lumber", LUMBER, "Which lumber will do; unset: any that the price book sells."),
    ), _plan,
)  # fmt: skip
