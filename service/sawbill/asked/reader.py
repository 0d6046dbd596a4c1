"""Reads what a caller wrote, by its declaration: every fault at once, each with its pointer, in one pass.

A value is asked two things. Is it a text, a list, an object at all, and of a size that may be? That is its shape. May
it be what it says? That is its meaning, which takes a price book; without one the shape alone is looked at. What has no
sound shape has no meaning either, so only the first is told of it (`faults.merged`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final, NamedTuple, TypeVar

from sawbill.asked.faults import MOST_WORDED, Pointer, RequestFault, RequestFaultsError, first_in_order, merged
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown
from sawbill.trade.declaring.kinds import Kind, Wrong
from sawbill.trade.declaring.members import Either, Group, Member, Rows, Table
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.design import Design

T = TypeVar("T")

_NULL: Final = Wrong("null", "is null; give a value or leave it out")
_UNKNOWN: Final = Wrong("unknown-key", "is not known")
_ALONE: Final = Reading("metric", usual=lambda _: "")
"""What words, names and whole numbers are read against, which no price book changes."""


class _Misshapen(NamedTuple):
    """A value that is wrong at first sight; known: the keys there, where its own is not."""

    at: Pointer
    wrong: Wrong
    known: Sequence[str] = ()


class Reader:
    """Reads values against a price book, if there is one, and keeps what is wrong with them.

    shape: faults found by others before, such as a parameter that is given twice; they count before its own.
    """

    def __init__(
        self,
        book: PriceBook | None = None,
        designs: Mapping[str, Design] | None = None,
        *,
        reading: Reading | None = None,
    ) -> None:
        self._book, self.designs = book, designs or {}
        self._reading = reading if book is None else _reading(book)
        self._misshapen: list[_Misshapen] = []
        self.shape: list[RequestFault] = []
        self.meaning: list[RequestFault] = []

    @property
    def book(self) -> PriceBook:
        """The price book that is read against."""
        assert self._book is not None, "what a value means is read against a price book"
        return self._book

    @property
    def reading(self) -> Reading:
        """What values are read against."""
        assert self._reading is not None, "what a value means is read against a price book"
        return self._reading

    def lay_out_to(self, step: int) -> None:
        """Read designs from here on to the shop's step [nm]."""
        self._reading = replace(self.reading, step=step)

    def fault(self, at: Pointer, code: str, detail: str) -> None:
        """Note what is wrong with what a value means."""
        self.meaning.append(RequestFault(at, code, detail))

    def faults(self) -> list[RequestFault]:
        """Give all that is wrong, in the order of the places."""
        return first_in_order(self._found(), lambda fault: fault.pointer)

    def raise_if_any(self) -> None:
        """Raise RequestFaultsError if anything is wrong, in the order it was found in."""
        if found := self._found():
            raise RequestFaultsError(found)

    def _found(self) -> list[RequestFault]:
        return merged(self.shape + self._worded(), self.meaning)

    def value(self, at: Pointer, raw: Any, kind: Kind) -> Any:
        """Read a value; None where it is at fault, or only looked at."""
        if not self._is_sound(at, raw, kind):
            return None
        if isinstance(kind, Either):
            kind = kind.group if isinstance(raw, Mapping) else kind.other
        if isinstance(kind, Group):
            return self._group(at, raw, kind)
        if isinstance(kind, Rows):
            return [self.value((*at, i), each, kind.inner) for i, each in enumerate(raw)]
        if isinstance(kind, Table):
            return {name: each for name, each in raw.items() if self._is_sound((*at, name), each, kind.inner)}
        return None if self._reading is None else self.read(at, lambda name: kind.read(name, raw, self.reading))

    def read(self, at: Pointer, read: Callable[[str], T]) -> T | None:
        """Read a value whose shape is sound; read: is given its name, and may raise OptionError."""
        try:
            return read(next((step for step in reversed(at) if isinstance(step, str)), ""))
        except OptionError as error:
            self.fault(at, error.code, str(error))
            return None

    def members(self, at: Pointer, raw: Mapping[str, Any], group: Group) -> dict[str, Any]:
        """Read the members of a group that are there and sound, in the order they are declared in."""
        for name in raw:
            if name not in group.members:
                self._misshapen.append(_Misshapen((*at, name), _UNKNOWN, tuple(group.members)))
        found = {}
        for name, member in group.members.items():
            if name in raw:
                value = self._member((*at, name), raw[name], member)
                if value is not None:
                    found[name] = value
            elif member.required:
                self._misshapen.append(_Misshapen((*at, name), _missing(member)))
        return found

    def _member(self, at: Pointer, raw: Any, member: Member) -> Any:
        if raw is None and member.nullable:
            return None
        if not member.late:
            return None if raw == "" and member.nullable else self.value(at, raw, member.kind)
        return raw if self._is_sound(at, raw, member.kind) else None

    def _is_sound(self, at: Pointer, raw: Any, kind: Kind) -> bool:
        """Look at the shape of a value, and note what is wrong with it."""
        wrong = _NULL if raw is None and at and not kind.takes_null else kind.check(raw)
        if wrong is not None:
            self._misshapen.append(_Misshapen(at, wrong))
        return wrong is None

    def _group(self, at: Pointer, raw: Mapping[str, Any], group: Group) -> Any:
        found = self.members(at, raw, group)
        if self._reading is None:
            return None
        return found if group.make is None else group.make(self, at, found)

    def _worded(self) -> list[RequestFault]:
        """Put the faults of shape into words; of a flood only the first, which takes most of the time."""
        told = first_in_order(self._misshapen, lambda each: each.at)
        worded = [RequestFault(each.at, each.wrong.code, _words(each)) for each in told[:MOST_WORDED]]
        return worded + [RequestFault(each.at, each.wrong.code, "") for each in told[MOST_WORDED:]]


def _reading(book: PriceBook) -> Reading:
    return Reading(book.units, book.usual_section, book.section, book.shop.rounding_step)


def read_alone(raw: Any, group: Group) -> dict[str, Any]:
    """Read a whole body that takes no price book to understand. Raises RequestFaultsError."""
    reader = Reader(reading=_ALONE)
    found: dict[str, Any] = reader.value((), raw, group)
    reader.raise_if_any()
    return found


def _missing(member: Member) -> Wrong:
    such = f"; write one, such as {member.example}" if isinstance(member.example, str | int) else ""
    return Wrong("missing", f"is missing{such}")


def _words(each: _Misshapen) -> str:
    last = each.at[-1] if each.at else "the request"
    name = f"entry {last}" if isinstance(last, int) else last
    near = f"; {nearest(str(last)[:60], each.known)}" if each.known else ""
    return f"{shown(name)} {each.wrong.words}{near}"
