"""A request for a proposal, read into its grid and its wishes; every fault at once, each with its pointer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Final

from sawbill.asked.reader import Reader
from sawbill.asked.request import Pointer, read_request
from sawbill.making.rates import RateError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import BOUND_READERS, Asks, common_of
from sawbill.quoting.comparing.grid import Entry
from sawbill.quoting.proposing.asked import PROPOSAL, USUAL_NUMBER
from sawbill.quoting.proposing.grid import MOST_COMBINATIONS, Grid, Table
from sawbill.quoting.proposing.looking import SETTINGS
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, TOOLS, Number, Wish
from sawbill.quoting.proposing.opening import Opener
from sawbill.trade.declaring.shown import show
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.lengths import LengthError
from sawbill.trade.quantities import QuantityError

IMPLIED: Final = (Wish("failed_checks", most=0), Wish(NEW_WARNINGS, most=0))
"""What is wished unless it is said otherwise."""


@dataclass(frozen=True, slots=True)
class Proposed:
    """What is asked: among which combinations, what all of them ask for, what they must keep to, what is made least,
    and how many proposals."""

    grid: Grid
    common: Mapping[str, Any]
    wishes: tuple[Wish, ...]
    least: str
    number: int

    @property
    def told(self) -> tuple[Wish, ...]:
        """The wishes that were told, without those that go without saying."""
        return tuple(wish for wish in self.wishes if wish not in IMPLIED)


def read_proposal(raw: Mapping[str, Any], books: Sequence[PriceBook], designs: Mapping[str, Design]) -> Proposed:
    """Read the JSON of a request for a proposal against the price books that it names, in their order.

    Raises RequestFaultsError: with every fault.
    """
    reader = Reader(books[0], designs)
    proposed = propose_as_asked(reader, {"price_books": [book.name for book in books], **raw}, books)
    reader.raise_if_any()
    assert proposed is not None, "a request without a fault can be read"
    return proposed


def propose_as_asked(reader: Reader, raw: Any, books: Sequence[PriceBook]) -> Proposed | None:
    """Read the JSON of a request of any shape, its first price book that of the reader.

    None: there are faults, which the reader has.
    """
    given = reader.value((), raw, PROPOSAL)
    if given is None:
        return None
    common = common_of(reader, raw, given, books)
    asks = _Asks(reader)
    entries = [replace(each, options={**given.get("options", {}), **each.options})
               for each in asks.entries(given.get("designs", ()))]  # fmt: skip
    asks.fixed(given, entries)
    wishes = asks.wished(given, books)
    sound = not reader.faults()
    grid = Grid(list(asks.tables(given, entries, books, common if sound else {})), given.get("quantity", 1))
    if not sound:
        return None
    if grid.size > MOST_COMBINATIONS and not reader.faults():
        detail = f"there are {grid.size} combinations; there may be {MOST_COMBINATIONS}: leave fewer options open, or "
        reader.fault(("open",), "too-many-combinations", f"{detail}name fewer values")
    number = given.get("proposals", USUAL_NUMBER)
    return Proposed(grid, common, wishes, given.get("make_least", "total"), number)


class _Asks(Asks):
    """Reads what is asked of a proposal."""

    def fixed(self, raw: Mapping[str, Any], entries: Sequence[Entry]) -> None:
        designs = [entry.design for entry in entries]
        for key in ("options", "open") if designs else ():
            self.known((key,), raw.get(key) or (), designs)
        for name in raw.get("open") or ():
            if name in raw.get("options", {}):
                self.fault(("open", name), "not-both", f"{name} is fixed in options, and left open: leave one of them")

    def wished(self, raw: Mapping[str, Any], books: Sequence[PriceBook]) -> tuple[Wish, ...]:
        """What is wished, and what goes without saying."""
        currencies = {(book.currency, book.decimals) for book in books}
        if len(currencies) > 1:
            detail = "the price books have several currencies, which are never compared; name those of one"
            self.fault(("price_books",), "several-currencies", detail)
        decimals = books[0].decimals if books else 2
        told = [self.wish(name, each, decimals) for name, each in raw.get("wishes", {}).items()]
        found = {wish.name: wish for wish in told if wish is not None}
        if TOOLS in raw:
            found[TOOLS] = Wish(TOOLS, most=0, at_hand=frozenset(map(str, raw[TOOLS])))
        return (*found.values(), *(wish for wish in IMPLIED if wish.name not in found))

    def wish(self, name: str, raw: Mapping[str, Any], decimals: int) -> Wish | None:
        kind = "count" if name == NEW_WARNINGS else MEASURES[name].kind
        ends: dict[str, Number] = {}
        for end in ("least", "most"):
            if end in raw:
                try:
                    value = BOUND_READERS[kind](str(raw[end]))
                except (ValueError, RateError, LengthError, QuantityError) as error:
                    self.fault(("wishes", name, end), "not-a-bound", f"{name} is {show(raw[end])}: {error}")
                else:
                    ends[end] = Fraction(value) * 10**decimals if kind == "money" else Fraction(value)
        if not raw.keys() & {"least", "most"}:
            self.fault(("wishes", name), "missing", f"{name}: give the least or the most it may be")
        return Wish(name, ends.get("least"), ends.get("most"))

    def tables(
        self, raw: Mapping[str, Any], entries: Iterable[Entry], books: Sequence[PriceBook], common: Mapping[str, Any]
    ) -> Iterable[Table]:
        """A table for every design and price book, what is wrong told once; common: empty where that has faults."""
        told = set[Pointer]()

        def once(at: Pointer, code: str, detail: str) -> None:
            if at not in told:
                told.add(at)
                self.fault(at, code, detail)

        for entry in entries:
            mine = {option.name for option in entry.design.options}
            own = replace(entry, options={name: each for name, each in entry.options.items() if name in mine})
            opened = raw.get("open")
            asked = None if opened is None else {name: each for name, each in opened.items() if name in mine}
            for place, book in enumerate(books):
                opener = Opener(own, read_request({**common, "lines": [SETTINGS]}, book, {}), book, once)
                try:
                    own.design.read(own.options, opener.reading)
                except OptionFaultsError as error:
                    for fault in error.faults:
                        once((*_at(raw, entry, fault.option), fault.option), fault.code, fault.message)
                yield Table(own, place, opener.opened(asked, ("open",)))


def _at(raw: Mapping[str, Any], entry: Entry, option: str) -> Pointer:
    """Where an option that stays was told: of its design alone, or of all."""
    for i, each in enumerate(raw.get("designs", ())):
        if isinstance(each, Mapping) and each.get("design") == entry.design.name and option in each.get("options", {}):
            return "designs", i, "options"
    return ("options",)
