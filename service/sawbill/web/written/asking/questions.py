"""What a page asks before it quotes a design: a field for each option and setting, made from how they are declared."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from sawbill.asked.pricing import PRICING
from sawbill.asked.request import PRICE_BOOK, SITE, UNITS
from sawbill.asked.wood import LUMBER, LUMBER_THAT_HOLDS
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shop import SHOP
from sawbill.trade.declaring import kinds
from sawbill.trade.declaring.headings import by_heading
from sawbill.trade.declaring.kinds import Kind
from sawbill.trade.declaring.members import Member, Rows
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.design import Design
from sawbill.trade.lengths import System
from sawbill.trade.lumber import section
from sawbill.trade.mattresses import mattress_sizes
from sawbill.trade.option import Option
from sawbill.web.http.languages import message
from sawbill.web.http.queries import TOLD
from sawbill.web.library.books import SENT

Faults = Mapping[str, Sequence[str]]
"""What is wrong with each field, by its name."""
FILE: Final = "prices_file"
"""The field of a price book that is sent along."""
MEASURED: Final = "_measured"
"""How the name of the field ends that takes a mattress which is in no list."""
Taken = tuple[str, str]
"""A value that may be chosen, and what it is called; the value of what is usual is empty."""
YOUR_FILE: Final = message("Your own file")
"""What prices are called that were sent with the form: their title may be that of the book they began as."""
HOW_MANY: Final = message("How many")
MADE: Final = ("1", "1000")
"""How many of a thing may be made."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field: what it is called, what it means, and what stands in it.

    shape: text to be written, one of several, some of several, or a mattress, which is listed or measured; value: as it
    was written, empty where it is as usual; usual: what it then is; range: the least and the most, where it has any;
    listed: what may be chosen, under headings that may be empty; faults: what is wrong with it; rare: whether few will
    ask for it.
    """

    name: str
    label: str
    help: str
    shape: Literal["text", "number", "one", "some", "mattress"]
    value: str = ""
    usual: str = ""
    range: tuple[str, str] | None = None
    listed: tuple[tuple[str, tuple[Taken, ...]], ...] = ()
    faults: tuple[str, ...] = ()
    rare: bool = False

    @property
    def chosen(self) -> tuple[str, ...]:
        """The values, where there may be several."""
        return tuple(part.strip() for part in self.value.split(",") if part.strip())

    @property
    def measured(self) -> str:
        """What is written in place of a listed size."""
        known = {value for _, group in self.listed for value, _ in group}
        return "" if self.value in known else self.value


@dataclass(frozen=True, slots=True)
class FieldGroup:
    """Fields that belong together, under a heading; note: what holds for all of them."""

    heading: str
    fields: tuple[Field, ...]
    note: str = ""

    @property
    def usual(self) -> tuple[Field, ...]:
        """Those that many will ask for, and any that something is wrong with."""
        return tuple(each for each in self.fields if not each.rare or each.value or each.faults)

    @property
    def rare(self) -> tuple[Field, ...]:
        """The others."""
        return tuple(each for each in self.fields if each not in self.usual)

    @property
    def faulty(self) -> bool:
        """Whether anything is wrong in it."""
        return any(each.faults for each in self.fields)

    @property
    def asked(self) -> int:
        """In how many of its fields something stands; in that of the price book something always does."""
        return sum(bool(each.value) for each in self.fields if each.name != PRICE_BOOK.name)


@dataclass(frozen=True, slots=True)
class Questions:
    """All that a page asks of one design, or of pieces to be cut, which have none.

    carried: what is to be told of the quote, which no field asks for; of_file: what is wrong with the price book that
    was sent; elsewhere: faults that belong to no field.
    """

    design: str
    of_design: tuple[FieldGroup, ...]
    prices: FieldGroup
    beside: tuple[FieldGroup, ...]
    carried: tuple[Taken, ...] = ()
    of_file: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()

    @property
    def faults(self) -> tuple[str, ...]:
        """Everything that is wrong."""
        groups = (*self.of_design, self.prices, *self.beside)
        at_fields = (fault for group in groups for each in group.fields for fault in each.faults)
        return (*self.elsewhere, *self.of_file, *at_fields)


def questions(
    design: Design | None, given: Mapping[str, str], book: PriceBook | None, books: Sequence[Taken], faults: Faults
) -> Questions:  # fmt: skip
    """Ask for all that a quote of a design may be asked with, or a cutting plan, where there is none.

    given: what stands in the address; book: whose usual values are told, None where there is none to be had; books: by
    name, with their titles.
    """
    return _Asking(design, given, book, faults).all(books)


class _Asking:
    """The making of all fields for one page."""

    def __init__(self, design: Design | None, given: Mapping[str, str], book: PriceBook | None, faults: Faults) -> None:
        self.design, self.given, self.book, self.faults = design, given, book, faults
        own: System = book.units if book else "inch"
        self.units: System = "metric" if given.get("units") == "metric" else own
        self.units = "inch" if given.get("units") == "inch" else self.units
        self.reading = Reading(
            self.units, book.usual_section if book else lambda role: "", book.section if book else section,
            book.shop.rounding_step if book else None,
        )  # fmt: skip
        self.told: set[str] = set()

    def all(self, books: Sequence[Taken]) -> Questions:
        of_design = tuple(self._of_design())
        prices = FieldGroup(PRICE_BOOK.label, tuple(self._prices(books)))
        beside = tuple(self._beside())
        carried = tuple((each.name, self.given[each.name]) for each in TOLD if self._carries(each.name))
        of_file = tuple(self.faults.get(FILE, ()))
        others = (name for name in self.faults if name not in self.told and name != FILE)
        elsewhere = tuple(told for name in others for told in self.faults[name])
        return Questions(
            self.design.name if self.design else "", of_design, prices, beside, carried, of_file, elsewhere
        )

    def _carries(self, name: str) -> bool:
        return name in self.given and name not in self.faults

    def field(self, name: str, label: str, help: str, shape: Any, **more: Any) -> Field:
        """A field with what stands in it, and what is wrong with that."""
        self.told.add(name)
        return Field(
            name, label, help, shape, self.given.get(name, "").strip(), faults=tuple(self.faults.get(name, ())), **more
        )

    def _of_design(self) -> Iterator[FieldGroup]:
        for heading, listed in by_heading(self.design.options if self.design else ()).items():
            yield FieldGroup(heading.title, tuple(map(self._option, listed)), heading.note)

    def _option(self, option: Option) -> Field:
        told, given = option.describe(self.reading), self.given.get(option.name, "").strip()
        usual = told["default"]

        def asked(shape: Any, **more: Any) -> Field:
            return self.field(option.name, option.label, option.help, shape, rare=option.rare, **more)

        match option.kind:
            case "mattress":
                return asked("mattress", usual=called(usual), listed=_mattresses(usual))
            case "section":
                return asked("one", usual=usual, listed=_choice(usual, self._sections(), given))
            case "choice":
                return asked("one", usual=usual, listed=_choice(usual, told["choices"], given))
            case "flag":
                usual = "yes" if usual else "no"
                return asked("one", usual=usual, listed=_choice(usual, ("yes", "no"), given))
            case "lengths":
                return asked("text", range=(told["least"]["text"], told["most"]["text"]))
            case "count":
                return asked("number", usual=str(usual), range=(str(told["least"]), str(told["most"])))
        return asked("text", usual=usual["text"], range=(told["least"]["text"], told["most"]["text"]))

    def _sections(self) -> Iterable[str]:
        return dict.fromkeys(offer.section.name for offer in self.book.lumber) if self.book else ()

    def _prices(self, books: Sequence[Taken]) -> Iterator[Field]:
        given = self.given.get("price_book", "")
        title = YOUR_FILE if given.startswith(f"{SENT}@") else self.book.title if self.book else given
        others = () if not given or given in dict(books) else ((given, title),)
        system, asked = self.book.units if self.book else "inch", self.given.get(UNITS.name, "").strip()
        listed, told = (("", (*others, *books)),), message("Where the prices come from.")
        yield self.field(PRICE_BOOK.name, PRICE_BOOK.label, told, "one", listed=listed)
        if self.design:
            yield self.field("quantity", HOW_MANY, message("How many are made."), "number", usual="1", range=MADE)
        yield self.field(
            UNITS.name, UNITS.label, "", "one", usual=system, listed=_choice(system, ("inch", "metric"), asked)
        )

    def _beside(self) -> Iterator[FieldGroup]:
        for heading, listed in by_heading(BESIDE if self.design else OF_PIECES).items():
            yield FieldGroup(heading.title, tuple(map(self._member, listed)), heading.note)

    def _member(self, member: Member) -> Field:
        kind, told = member.kind, member.kind.describe(self.units)
        usual = getattr(self.book.shop, member.name, member.default) if self.book else member.default
        written = "" if usual is None or (member.needed and usual is member.default) else kind.text(usual, self.units)

        def asked(shape: Any, **more: Any) -> Field:
            return self.field(member.name, member.label, member.help, shape, rare=member.rare, **more)

        if isinstance(kind, kinds.YesNo):
            given = self.given.get(member.name, "").strip()
            return asked("one", usual=written, listed=_choice(written, ("yes", "no"), given))
        if isinstance(kind, Rows):
            return asked("some", listed=self._some(member, kind.inner))
        between = (str(told["least"]), str(told["most"])) if "least" in told else None
        return asked("number" if isinstance(kind, kinds.Whole) else "text", usual=written, range=between)

    def _some(self, member: Member, inner: Kind) -> tuple[tuple[str, tuple[Taken, ...]], ...]:
        """Words of a list, or what the price book sells of something."""
        words = getattr(inner, "words", ())
        if not words and self.book:
            of = "grade" if member.name == "grades" else "species"
            words = dict.fromkeys(str(getattr(offer, of)) for offer in self.book.lumber if getattr(offer, of))
        given = [part.strip() for part in self.given.get(member.name, "").split(",") if part.strip()]
        return (("", tuple((word, word.replace("_", " ")) for word in dict.fromkeys((*words, *given)))),)


BESIDE: Final[Sequence[Member]] = (
    *LUMBER_THAT_HOLDS.members.values(), *SITE.members.values(), *SHOP.values(), *PRICING.members.values(),
)  # fmt: skip
"""What is asked beside a design's own options."""
OF_PIECES: Final[Sequence[Member]] = (*LUMBER.members.values(), *SHOP.values())
"""What is asked beside pieces to be cut."""


def _choice(usual: str, words: Iterable[str], given: str = "") -> tuple[tuple[str, tuple[Taken, ...]], ...]:
    """The usual word first, its value empty: it says as much as nothing; given: a word that may be in no list."""
    others = [word for word in dict.fromkeys((*words, *([given] if given else []))) if word != usual]
    return (("", (("", usual), *((word, word) for word in others))),)


def called(mattress: str) -> str:
    """What a mattress is called that may be in no list."""
    sizes = mattress_sizes()
    return sizes[mattress].title if mattress in sizes else mattress


def _mattresses(usual: str) -> tuple[tuple[str, tuple[Taken, ...]], ...]:
    sizes = mattress_sizes()
    markets: dict[str, list[Taken]] = {}
    for size in sizes.values():
        markets.setdefault(size.market, []).append((size.name, size.title))
    return (("", (("", called(usual)),)), *((market, tuple(listed)) for market, listed in markets.items()))
