"""A request for a quote: what a caller may write, read into values; every fault at once, each with its pointer."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final, Literal, TypeVar, cast

from sawbill.asked.lines import Line, Need, OwnPart
from sawbill.asked.pricing import (
    LEAST_FACTOR,
    MOST_CONTINGENCY,
    MOST_FACTOR,
    MOST_MARGIN,
    MOST_MARKUP,
    MOST_RATE,
    Pricing,
    read_number,
)
from sawbill.checks.site import Site
from sawbill.checks.strength import TRACED
from sawbill.making.rates import Minutes, RateError, read_time, usual_rates
from sawbill.prices.pricebook import (
    MOST_EXTRA,
    MOST_OFFCUT_VALUE,
    SUPPLIES,
    PriceBook,
    Shop,
    parse_percent,
    percent_text,
)
from sawbill.trade import design_values, fasteners, lumber
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.lengths import INCH, MM, LengthError, System, parse_length
from sawbill.trade.lumber import Section
from sawbill.trade.option import Flag, OptionError, Reading, range_text, show
from sawbill.trade.quantities import QuantityError, parse_quantity

T = TypeVar("T")
Pointer = tuple[str | int, ...]

MOST_LINES: Final = 50
MOST_QUANTITY: Final = 1000
MOST_PARTS: Final = 500
MOST_OWNED: Final = 1_000_000
"""The most of one supply that a maker may say to have [ml, g or pieces] (our own limit, no source)."""
LONGEST: Final = 20_000 * MM
SHORTEST: Final = MM
ALL_RULES: Final = "all"
"""What stands for all rules of strength where their calculations are asked for."""
USUAL_LABEL: Final = "line {}"
SITE_LENGTHS: Final[Mapping[str, tuple[int, int]]] = {
    "room_length": (1000 * MM, 30_000 * MM),
    "room_width": (1000 * MM, 30_000 * MM),
    "ceiling": (1000 * MM, 10_000 * MM),
    "door_width": (300 * MM, 5000 * MM),
    "door_height": (500 * MM, 5000 * MM),
    "door_swing": (0, 5000 * MM),
    "vehicle_length": (300 * MM, LONGEST),
    "vehicle_width": (300 * MM, 5000 * MM),
    "vehicle_height": (300 * MM, 5000 * MM),
}
"""Least and greatest value of each length of a site [nm]: any dwelling, any lorry (our own limits, no source)."""
SITE_MASSES: Final[Mapping[str, tuple[int, int]]] = {
    "one_person": (5_000, 100_000), "heaviest_user": (30_000, 300_000),
}  # fmt: skip
"""The least and the most that may be told of who lifts it and who uses it [g] (our own limits, no source)."""


@dataclass(frozen=True, slots=True)
class RequestFault:
    """One fault: where it stands in the request (RFC 6901 steps), a stable code, and what would be right."""

    pointer: Pointer
    code: str
    detail: str


class RequestFaultsError(ValueError):
    """Every fault of a request at once."""

    def __init__(self, faults: Sequence[RequestFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(fault.detail for fault in faults))


@dataclass(frozen=True, slots=True)
class OnHand:
    """Boards that the maker has: species and grade may be unknown; length [nm].

    design_values: what is told of their strength, a word of `trade.design_values.find_told`.
    """

    section: Section
    length: int
    quantity: int
    species: str | None = None
    grade: str | None = None
    design_values: str | None = None


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
    """Read the JSON of a request, whose shape has been checked, against a price book and the designs on offer.

    Raises RequestFaultsError: with every fault.
    """
    reader = _Reader(book, designs)
    units = reader.one_of(("units",), raw.get("units", book.units), ("inch", "metric"), book.units)
    shop = reader.shop(("shop",), raw.get("shop", {}))
    reader.reading = replace(reader.reading, step=shop.step)
    lines = [reader.line(("lines", i), line) for i, line in enumerate(raw.get("lines", ()))]
    on_hand = [reader.on_hand(("on_hand", i), row) for i, row in enumerate(raw.get("on_hand", ()))]
    site = reader.site(("site",), raw.get("site", {}))
    rates = reader.rates(("rates",), raw.get("rates", {}))
    species, grades = reader.accepted(("lumber",), raw.get("lumber", {}))
    must_hold = reader.flag(("lumber", "must_hold"), raw.get("lumber", {}).get("must_hold", True))
    hardware = [reader.hardware(("owned_hardware", i), row) for i, row in enumerate(raw.get("owned_hardware", ()))]
    supplies = [reader.owned_supply(("owned_supplies", i), row) for i, row in enumerate(raw.get("owned_supplies", ()))]
    pricing = reader.pricing(("pricing",), raw.get("pricing", {}))
    trace = reader.traced(("trace",), raw.get("trace", ()))
    placed = bool(reader.flag(("placed",), raw.get("placed", False)))
    ways_out = reader.flag(("ways_out",), raw.get("ways_out", False))
    if not lines:
        reader.fault(("lines",), "missing", "the request has no lines; give at least one design or list of parts")
    if reader.faults:
        raise RequestFaultsError(reader.faults)
    return Request(
        cast(tuple[Line, ...], tuple(lines)), shop, cast(System, units),
        cast(tuple[OnHand, ...], tuple(on_hand)), species, grades, site, rates,
        _together(filter(None, hardware)), _together(filter(None, supplies)), pricing, trace, placed,
        bool(must_hold), bool(ways_out),
    )  # fmt: skip


def read_pieces(raw: Mapping[str, Any], book: PriceBook) -> Request:
    """Read the JSON of a request for a cutting plan: it is one for a quote of a single line, the `pieces`.

    Raises RequestFaultsError: with every fault, its pointer into the pieces.
    """
    line = {"label": "pieces", "parts": raw.get("pieces", ())}
    try:
        return read_request({**raw, "lines": [line]}, book, {})
    except RequestFaultsError as error:
        raise RequestFaultsError([_in_pieces(fault) for fault in error.faults]) from None


def _together(rows: Iterable[tuple[T, int]]) -> tuple[tuple[T, int], ...]:
    """What is owned of each thing, its rows added up."""
    found: Counter[T] = Counter()
    for what, quantity in rows:
        found[what] += quantity
    return tuple(found.items())


def _in_pieces(fault: RequestFault) -> RequestFault:
    """A fault of the line that pieces are read as, where the caller wrote it."""
    if fault.pointer == ("lines", 0):
        return RequestFault(("pieces",), fault.code, "the request has no pieces; give at least one")
    if fault.pointer[:3] == ("lines", 0, "parts"):
        return replace(fault, pointer=("pieces", *fault.pointer[3:]))
    return fault


class _Reader:
    """Reads values one by one and keeps their faults; a value at fault reads as None."""

    def __init__(self, book: PriceBook, designs: Mapping[str, Design]) -> None:
        self.book = book
        self.designs = designs
        self.faults: list[RequestFault] = []
        self.reading = Reading(book.units, book.usual_section, book.section)

    def fault(self, pointer: Pointer, code: str, detail: str) -> None:
        self.faults.append(RequestFault(pointer, code, detail))

    def line(self, at: Pointer, raw: Mapping[str, Any]) -> Line | None:
        """A line of a design, or of own parts and hardware."""
        before = len(self.faults)
        quantity = self.count((*at, "quantity"), raw.get("quantity", 1))
        label = str(raw.get("label") or USUAL_LABEL.format(int(at[-1]) + 1))
        frame = None
        if "design" in raw:
            for key in ("parts", "hardware"):
                if key in raw:
                    self.fault(
                        (*at, key),
                        "not-both",
                        f"a line names a design or gives its own parts; move {key} to a line of its own",
                    )
            frame = self.frame(at, raw)
        elif not raw.get("parts") and not raw.get("hardware"):
            self.fault(at, "missing", "the line names no design and gives no parts or hardware")
        elif "options" in raw:
            self.fault((*at, "options"), "not-both", "only a line with a design has options")
        parts = [self.own_part((*at, "parts", i), part) for i, part in enumerate(raw.get("parts", ()))]
        hardware = [self.hardware((*at, "hardware", i), row) for i, row in enumerate(raw.get("hardware", ()))]
        species, grades = self.accepted((*at, "lumber"), raw.get("lumber", {}))
        if len(self.faults) > before:
            return None
        return Line(
            label, cast(int, quantity), raw.get("design"), frame,
            cast(tuple[OwnPart, ...], tuple(parts)), cast(tuple[tuple[Need, int], ...], tuple(hardware)),
            species, grades, dict(raw.get("options", {})),
        )  # fmt: skip

    def frame(self, at: Pointer, raw: Mapping[str, Any]) -> Any:
        name = raw["design"]
        if name not in self.designs:
            near = difflib.get_close_matches(str(name), self.designs, n=1, cutoff=0.5)
            hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(self.designs)}"
            self.fault((*at, "design"), "unknown-design", f"there is no design {show(name)}; {hint}")
            return None
        try:
            return self.designs[name].frame(raw.get("options", {}), self.reading)
        except OptionFaultsError as error:
            for fault in error.faults:
                within = (fault.within,) if fault.within else ()
                self.fault((*at, "options", fault.option, *within), fault.code, fault.message)
            return None

    def own_part(self, at: Pointer, raw: Mapping[str, Any]) -> OwnPart | None:
        section = self.section((*at, "section"), raw.get("section"))
        length = self.length((*at, "length"), raw.get("length"), SHORTEST, LONGEST)
        quantity = self.count((*at, "quantity"), raw.get("quantity", 1))
        least = None
        if "shortest" in raw:
            least = self.length((*at, "shortest"), raw["shortest"], SHORTEST, length or LONGEST)
        species, grades = self.accepted(at, raw)
        if section is None or length is None or quantity is None:
            return None
        return OwnPart(str(raw.get("name", "part")), section, length, quantity, least, species, grades)

    def hardware(self, at: Pointer, raw: Mapping[str, Any]) -> tuple[Need, int] | None:
        """A fastener by the words of the trade, its size and length as it needs them."""
        quantity = self.count((*at, "quantity"), raw.get("quantity", 1), most=100_000)
        item = self.one_of((*at, "item"), raw.get("item"), tuple(fasteners.ITEMS))
        if item is None:
            return None
        kind = fasteners.ITEMS[item]
        size, length = None, None
        for key, wanted in (("size", kind.has_size), ("length", kind.has_length)):
            if wanted != bool(raw.get(key)):
                code, has = ("missing", "a") if wanted else ("not-known", "no")
                self.fault((*at, key), code, f"a {item} has {has} {key}")
        if kind.has_size and raw.get("size"):
            find: Callable[[str], Any] = {
                "wood screw": fasteners.find_screw, "joist hanger": fasteners.find_hanger,
            }.get(item, fasteners.find_bolt)  # fmt: skip
            size = self.name((*at, "size"), raw["size"], find)
        if kind.has_length and raw.get("length"):
            length = self.length((*at, "length"), raw["length"], SHORTEST, 40 * INCH)
        return (Need(item, size or "", length), quantity) if quantity else None

    def on_hand(self, at: Pointer, raw: Mapping[str, Any]) -> OnHand | None:
        section = self.section((*at, "section"), raw.get("section"))
        length = self.length((*at, "length"), raw.get("length"), SHORTEST, LONGEST)
        quantity = self.count((*at, "quantity"), raw.get("quantity", 1))
        species = self.name((*at, "species"), raw["species"], lumber.find_species) if raw.get("species") else None
        grade = self.name((*at, "grade"), raw["grade"], lumber.find_grade) if raw.get("grade") else None
        word = raw.get("design_values")
        told = self.name((*at, "design_values"), word, design_values.find_told) if word else None
        if section is None or length is None or quantity is None:
            return None
        return OnHand(section, length, quantity, species, grade, told)

    def owned_supply(self, at: Pointer, raw: Mapping[str, Any]) -> tuple[str, int] | None:
        """A supply that the maker has, rounded down to whole [ml, g or pieces]."""
        item = self.one_of((*at, "item"), raw.get("item"), tuple(SUPPLIES))
        amount, dimension = raw.get("amount"), SUPPLIES.get(item or "")
        if dimension is None:
            return None
        if dimension == "count":
            pieces = int(amount) if isinstance(amount, str) and amount.isascii() and amount.isdigit() else amount
            found: Fraction | int | None = self.count((*at, "amount"), pieces, most=MOST_OWNED)
        else:
            found = self.amount((*at, "amount"), amount, dimension)
        return None if item is None or found is None else (item, int(found))

    def shop(self, at: Pointer, raw: Mapping[str, Any]) -> Shop:
        """The book's shop settings, with those that the request changes."""
        limits = {
            "kerf": ("kerf", 0, 10 * MM), "end_trim": ("end_trim", 0, 150 * MM),
            "rounding_step": ("step", MM // 10, 10 * MM), "longest_board": ("longest_board", 300 * MM, LONGEST),
            "keep_offcut": ("keep_offcut", 0, 3000 * MM),
        }  # fmt: skip
        shares = {"offcut_value": MOST_OFFCUT_VALUE, "extra_for_fewer_setups": MOST_EXTRA}
        changed: dict[str, Any] = {}
        for key, (name, least, most) in limits.items():
            if key in raw and (nm := self.length((*at, key), raw[key], least, most)) is not None:
                changed[name] = nm
        if "spare_boards" in raw:
            spare = self.count((*at, "spare_boards"), raw["spare_boards"], least=0, most=100)
            changed["spare_boards"] = spare or 0
        for key, most_share in shares.items():
            if key in raw and (share := self.share((*at, key), raw[key], most_share)) is not None:
                changed[key] = share
        for key in ("no_slivers", "yard_cuts"):
            if key in raw and (flag := self.flag((*at, key), raw[key])) is not None:
                changed[key] = flag
        return replace(self.book.shop, **changed)

    def site(self, at: Pointer, raw: Mapping[str, Any]) -> Site:
        """Where the furniture is to stand: what is not told stays unknown."""
        given: dict[str, Any] = {}
        for key, value in raw.items():
            where = (*at, key)
            if key in SITE_LENGTHS:
                given[key] = self.length(where, value, *SITE_LENGTHS[key])
            elif key in SITE_MASSES:
                given[key] = self.mass(where, value, *SITE_MASSES[key])
            elif key == "indoors":
                given[key] = self.flag(where, value)
            else:
                known = [*SITE_LENGTHS, *SITE_MASSES, "indoors"]
                near = difflib.get_close_matches(str(key), known, n=1, cutoff=0.5)
                hint = f"did you mean {near[0]}?" if near else f"it has {', '.join(known)}"
                self.fault(where, "unknown-key", f"site has no {show(key)}; {hint}")
        return Site(**{key: value for key, value in given.items() if value is not None})

    def rates(self, at: Pointer, raw: Mapping[str, Any]) -> tuple[tuple[str, Minutes], ...]:
        """The maker's own times of work, in the order of the usual ones."""
        given: dict[str, Minutes] = {}
        for name, value in raw.items():
            if name not in usual_rates():
                near = difflib.get_close_matches(str(name)[:60], usual_rates(), n=1, cutoff=0.5)
                hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(usual_rates())}"
                self.fault((*at, name), "unknown-rate", f"rates has no {show(name)}; {hint}")
                continue
            try:
                given[name] = read_time(value)
            except RateError as error:
                self.fault((*at, name), error.code, f"{name} {error}")
        return tuple((name, given[name]) for name in usual_rates() if name in given)

    def pricing(self, at: Pointer, raw: Mapping[str, Any]) -> Pricing:
        """What is reckoned on top of the purchase; what is not told is not reckoned."""
        shares = {"contingency": MOST_CONTINGENCY, "markup": MOST_MARKUP, "margin": MOST_MARGIN}
        numbers = {"labour_rate": (Decimal(0), MOST_RATE), "factor": (LEAST_FACTOR, MOST_FACTOR)}
        given: dict[str, Decimal | None] = {
            key: self.share((*at, key), raw[key], most) for key, most in shares.items() if key in raw
        }
        given |= {key: self.number((*at, key), raw[key], *limits) for key, limits in numbers.items() if key in raw}
        return Pricing(**given)

    def number(self, at: Pointer, raw: object, least: Decimal, most: Decimal) -> Decimal | None:
        try:
            number = read_number(raw if isinstance(raw, str) else "")
        except ValueError as error:
            self.fault(at, "not-a-number", f"{at[-1]} is {show(raw)}; {error}")
            return None
        if not least <= number <= most:
            self.fault(at, "out-of-range", f"{at[-1]} is {raw}; it may be {least:f} to {most:f}")
            return None
        return number

    def amount(self, at: Pointer, raw: object, dimension: Literal["volume", "mass"]) -> Fraction | None:
        try:
            amount = parse_quantity(raw if isinstance(raw, str) else "", dimension)
        except QuantityError as error:
            self.fault(at, "not-an-amount", f"{at[-1]} is {show(raw)}: {error}")
            return None
        if not 1 <= amount <= MOST_OWNED:
            unit = "ml" if dimension == "volume" else "g"
            self.fault(at, "out-of-range", f"{at[-1]} is {raw}; it may be 1 {unit} to {MOST_OWNED} {unit}")
            return None
        return amount

    def mass(self, at: Pointer, raw: object, least: int, most: int) -> int | None:
        name = at[-1]
        if not isinstance(raw, str):
            self.fault(at, "not-a-mass", f"{name} is {show(raw)}; a mass is text with its unit, such as 23 kg")
            return None
        try:
            grams = parse_quantity(raw, "mass")
        except QuantityError as error:
            self.fault(at, "not-a-mass", f"{name} is {show(raw)}: {error}")
            return None
        if not least <= grams <= most:
            allowed = f"{least // 1000} kg to {most // 1000} kg"
            self.fault(at, "out-of-range", f"{name} is {raw}; it may be {allowed}")
            return None
        return int(grams)

    def length(self, at: Pointer, raw: object, least: int, most: int) -> int | None:
        name = at[-1]
        if not isinstance(raw, str):
            self.fault(at, "not-a-length", f"{name} is {show(raw)}; a length is text with its unit, such as 8 in")
            return None
        try:
            nm = parse_length(raw)
        except LengthError as error:
            self.fault(at, "not-a-length", f"{name} is {show(raw)}: {error}")
            return None
        if not least <= nm <= most:
            allowed = range_text(least, most, self.book.units)
            self.fault(at, "out-of-range", f"{name} is {raw}; it may be {allowed}")
            return None
        return nm

    def share(self, at: Pointer, raw: object, most: Decimal) -> Decimal | None:
        try:
            share = parse_percent(raw if isinstance(raw, str) else "")
        except ValueError as error:
            self.fault(at, "not-a-percentage", f"{at[-1]} is {show(raw)}; {error}")
            return None
        if share > most:
            self.fault(at, "out-of-range", f"{at[-1]} is {raw}; it may be 0 % to {percent_text(most)}")
            return None
        return share

    def flag(self, at: Pointer, raw: object) -> bool | None:
        try:
            return Flag(str(at[-1]), "", default=False).read(raw, self.reading)
        except OptionError as error:
            self.fault(at, error.code, str(error))
            return None

    def count(self, at: Pointer, raw: object, least: int = 1, most: int = MOST_QUANTITY) -> int | None:
        if isinstance(raw, int) and not isinstance(raw, bool) and least <= raw <= most:
            return raw
        self.fault(at, "out-of-range", f"{at[-1]} is {show(raw)}; it may be a whole number from {least} to {most}")
        return None

    def section(self, at: Pointer, raw: object) -> Section | None:
        try:
            return self.reading.section(str(raw))
        except ValueError as error:
            self.fault(at, "unknown-section", f"{at[-1]}: {error}")
            return None

    def one_of(self, at: Pointer, raw: object, words: Sequence[str], default: str | None = None) -> str | None:
        if isinstance(raw, str) and raw in words:
            return raw
        name = next(word for word in reversed(at) if isinstance(word, str))
        self.fault(at, "not-a-choice", f"{name} is {show(raw)}; it may be {', '.join(words)}")
        return default

    def name(self, at: Pointer, raw: object, find: Callable[[str], Any]) -> str | None:
        try:
            return str(find(str(raw)).name)
        except ValueError as error:
            self.fault(at, "unknown-name", str(error))
            return None

    def traced(self, at: Pointer, raw: Sequence[object]) -> tuple[str, ...]:
        """The rules whose calculation is asked for, each once, in the order of their names."""
        known = (*sorted(TRACED), ALL_RULES)
        found = [self.one_of((*at, i), name, known, ALL_RULES) for i, name in enumerate(raw)]
        return tuple(sorted(TRACED)) if ALL_RULES in found else tuple(rule for rule in sorted(TRACED) if rule in found)

    def accepted(self, at: Pointer, raw: Mapping[str, Any]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The species and the grades that will do."""
        species = self.names((*at, "species"), raw.get("species", ()), lumber.find_species)
        return species, self.names((*at, "grades"), raw.get("grades", ()), lumber.find_grade)

    def names(self, at: Pointer, raw: Sequence[object], find: Callable[[str], Any]) -> tuple[str, ...]:
        found = (self.name((*at, i), name, find) for i, name in enumerate(raw))
        return tuple(name for name in found if name is not None)
