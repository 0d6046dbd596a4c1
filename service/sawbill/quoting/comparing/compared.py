"""A request for a comparison, read into its grid and wishes; every fault at once, each with its pointer."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from sawbill.asked.faults import Pointer
from sawbill.asked.offered import no_such_design
from sawbill.asked.pricing import NOTHING, Pricing
from sawbill.asked.reader import Reader
from sawbill.asked.request import read_rates
from sawbill.making.rates import RateError, read_time
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.asked import COMMON, COMPARISON
from sawbill.quoting.comparing.criteria import BY_NUMBER, CRITERIA, USUAL, Bound, Wishes
from sawbill.quoting.comparing.criteria import Kind as BoundKind
from sawbill.quoting.comparing.grid import MOST_ROWS, Combination, Entry, Grid
from sawbill.trade.declaring.shown import show
from sawbill.trade.design import Design
from sawbill.trade.lengths import LengthError, parse_length
from sawbill.trade.numbers import parse_number, parse_percent
from sawbill.trade.quantities import QuantityError, parse_quantity


@dataclass(frozen=True, slots=True)
class Compared:
    """What is compared: the rows to make, what all of them ask for, how they are told, and what is reckoned on top."""

    combinations: Grid
    common: Mapping[str, Any]
    wishes: Wishes
    pricing: Pricing = NOTHING


def read_comparison(raw: Mapping[str, Any], books: Sequence[PriceBook], designs: Mapping[str, Design]) -> Compared:
    """Read the JSON of a request for a comparison against the price books that it names, in their order.

    A fault of one row alone, such as an option out of its range, is told in that row.
    Raises RequestFaultsError: with every fault of what the rows have in common.
    """
    reader = Reader(books[0], designs)
    compared = compare_as_asked(reader, {"price_books": [book.name for book in books], **raw}, books)
    reader.raise_if_any()
    assert compared is not None, "a request without a fault can be read"
    return compared


def compare_as_asked(
    reader: Reader, raw: Any, books: Sequence[PriceBook], most: int = MOST_ROWS
) -> Compared | None:  # fmt: skip
    """Read the JSON of a request for a comparison of any shape, its first price book that of the reader.

    most: how many rows it may have. None: there are faults, which the reader has.
    """
    given = reader.value((), raw, COMPARISON)
    if given is None:
        return None
    common = common_of(reader, raw, given, books)
    asks = Asks(reader)
    entries = asks.entries(given.get("designs", ()))
    options = asks.options(given.get("options", {}), entries)
    quantities = asks.quantities(given.get("quantities", [1]))
    grid = Grid(entries, options, len(books), quantities)
    if grid.size > most:
        detail = f"the comparison has {grid.size} rows; it may have {most}: leave out designs, values or books"
        reader.fault(("designs",), "too-many-rows", detail)
        return None
    wishes = asks.wishes(given, grid, books)
    return Compared(grid, common, wishes, given.get("pricing") or NOTHING)


def common_of(
    reader: Reader, raw: Mapping[str, Any], given: Mapping[str, Any], books: Sequence[PriceBook]
) -> dict[str, Any]:
    """What all that is quoted asks for, as it is written; read against every price book, the first by its reader."""
    common = {name: raw[name] for name in COMMON.members if name in raw}
    for book in books[1:]:
        another = Reader(book)
        another.members((), common, COMMON)
        reader.meaning += another.meaning
    read_rates(reader, given.get("rates", {}))
    return common


class Asks:
    """Reads which designs are asked for, and how what is made of them is told; also of a proposal."""

    def __init__(self, reader: Reader) -> None:
        """Keep what is wrong with a reader."""
        self.designs, self.fault = reader.designs, reader.fault

    def entries(self, raw: Sequence[Any]) -> list[Entry]:
        """Read the designs."""
        if not raw:
            self.fault(("designs",), "missing", "the request has no designs; name at least one")
        entries: list[Entry] = []
        for i, each in enumerate(raw):
            given: Mapping[str, Any] = {"design": each} if isinstance(each, str) else each or {}
            name, where = given.get("design", ""), ("designs", i, *(() if isinstance(each, str) else ("design",)))
            if name not in self.designs:
                self.fault(where, "unknown-design", no_such_design(name, self.designs))
                continue
            design, own = self.designs[name], given.get("options", {})
            label = given.get("label") or name
            self.known(("designs", i, "options"), own, [design])
            if any(label == entry.label for entry in entries):
                self.fault(("designs", i), "repeated", f"two designs are called {show(label)}; give each its own label")
            entries.append(Entry(label, design, own))
        return entries

    def options(self, raw: Mapping[str, Any], entries: Sequence[Entry]) -> dict[str, Sequence[Any]]:
        """Read the values that options take in turn."""
        if entries:
            self.known(("options",), raw, [entry.design for entry in entries])
        for name, values in raw.items():
            self.each_once(("options", name), values)
        return dict(raw)

    def known(self, at: Pointer, options: Iterable[str], designs: Sequence[Design]) -> None:
        """Refuse an option that none of some designs has."""
        names = list(dict.fromkeys(option.name for design in designs for option in design.options))
        for name in options:
            if name not in names:
                who = designs[0].name if len(designs) == 1 else "none of the designs"
                has = f"{who} has no" if len(designs) == 1 else f"{who} has an"
                detail = f"{has} option {show(name)}; {_near(name, names)}"
                self.fault((*at, name), "unknown-option", detail)

    def quantities(self, raw: Sequence[Any]) -> list[int]:
        """Read how many are made."""
        if not raw:
            self.fault(("quantities",), "missing", "quantities is empty; give at least one, or leave it out")
        self.each_once(("quantities",), raw)
        return list(raw)

    def each_once(self, at: Pointer, values: Sequence[Any]) -> None:
        """Refuse what is given twice."""
        for i, value in enumerate(values):
            if value in values[:i]:
                self.fault((*at, i), "repeated", f"{at[-1]} has {show(value)} twice; give it once")

    def wishes(
        self, raw: Mapping[str, Any], combinations: Sequence[Combination], books: Sequence[PriceBook]
    ) -> Wishes:  # fmt: skip
        """Read how rows are told."""
        sort, descending = raw.get("sort", BY_NUMBER), False
        if isinstance(sort, str) and sort.startswith("-"):
            sort, descending = sort[1:], True
        sort = self.one_of(("sort",), sort, (BY_NUMBER, *CRITERIA)) or BY_NUMBER
        judged = [self.one_of(("judge_by", i), name, CRITERIA) for i, name in enumerate(raw.get("judge_by", USUAL))]
        bounds = [self.bound(("filter", name), name, each) for name, each in raw.get("filter", {}).items()]
        baseline = self.baseline(raw.get("baseline"), combinations, books)
        return Wishes(
            sort, descending, tuple(filter(None, bounds)), tuple(dict.fromkeys(filter(None, judged))) or USUAL, baseline
        )  # fmt: skip

    def one_of(self, at: Pointer, word: object, known: Iterable[str]) -> str | None:
        """Read one of the words that are known."""
        known = tuple(known)
        if isinstance(word, str) and word in known:
            return word
        self.fault(at, "not-a-choice", f"{_name(at)} is {show(word)}; {_near(str(word), known)}")
        return None

    def bound(self, at: Pointer, name: str, raw: Mapping[str, Any]) -> Bound | None:
        """Read the bounds of a criterion."""
        if self.one_of(at, name, CRITERIA) is None:
            return None
        ends: dict[str, Any] = {}
        for end in ("least", "most"):
            if end in raw:
                try:
                    ends[end] = BOUND_READERS[CRITERIA[name].kind](str(raw[end]))
                except (ValueError, RateError, LengthError, QuantityError) as error:
                    self.fault((*at, end), "not-a-bound", f"{name} is {show(raw[end])}: {error}")
        return Bound(name, **ends)

    def baseline(
        self, raw: Any, combinations: Sequence[Combination], books: Sequence[PriceBook]
    ) -> int | None:  # fmt: skip
        """The row that others are held against: by its number, or the first that is as told."""
        if raw is None:
            return None
        if not isinstance(raw, Mapping):
            if isinstance(raw, int) and not isinstance(raw, bool) and 0 <= raw < max(1, len(combinations)):
                return raw
            detail = f"baseline is {show(raw)}; it may be a row's number, 0 to {max(0, len(combinations) - 1)}"
            self.fault(("baseline",), "no-such-row", detail)
            return None
        for each in combinations:
            options = {name: each.options.get(name) for name in raw.get("options", {})}
            told = {
                "design": each.design.name, "label": each.label, "options": options,
                "price_book": books[each.book].name, "quantity": each.quantity,
            }  # fmt: skip
            if all(told[key] == value for key, value in raw.items()):
                return each.number
        detail = "no row is as baseline says; give a design, label, options, price_book and quantity that are compared"
        self.fault(("baseline",), "no-such-row", detail)
        return None


def _name(at: Pointer) -> object:
    return next(step for step in reversed(at) if isinstance(step, str))


def _near(word: str, known: Iterable[str]) -> str:
    known = tuple(known)
    near = difflib.get_close_matches(word[:60], known, n=1, cutoff=0.5)
    return f"did you mean {near[0]}?" if near else f"there are {', '.join(known)}"


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 9):
        raise ValueError("write a whole number")
    return int(text)


BOUND_READERS: Final[Mapping[BoundKind, Callable[[str], Decimal | Fraction | int]]] = {
    "money": parse_number,
    "count": _whole,
    "share": parse_percent,
    "mass": lambda text: parse_quantity(text, "mass"),
    "length": parse_length,
    "time": lambda text: read_time(text).most,
}
"""How the bound of each kind of number is written."""
