"""The keys of an answer, declared: what each is called, is, means and looks like, and how it is read from a value.

An object of an answer is a class; its attributes are its keys, in the order they are written:

    class Trip(Answered):
        "How the goods of one supplier come home."

        supplier = text("The supplier.", "Yard A")
        beyond_need = money("What of the goods is more than is needed.", "0.00", "beyond")

What a key is read from is the attribute of its own name, unless another is named, with dots between, or a function is
given. From a declaration come the JSON (`written`), its description (`web.schemas`) and the columns of tables.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from typing import Any, ClassVar, Final, Literal

from sawbill.prices.money import from_minor_units, money_text
from sawbill.trade.lengths import System, format_length, millimetres

Json = dict[str, Any]
Kind = Literal["text", "whole", "number", "flag", "money", "length", "group", "rows", "one of", "free", "any"]
Read = Callable[[Any, Any], Any]
"""Finds what is written: in a value, with the `Writing` at hand."""
UNIT: Final = re.compile(r" \[([^]]+)\]")
"""How a meaning tells the unit of its number."""


@dataclass(frozen=True)
class Writing:
    """What writes an answer: the system of its lengths, the decimals of its currency."""

    units: System
    decimals: int
    lengths: dict[int, tuple[float, str]] = field(default_factory=dict, init=False, repr=False, compare=False)
    """Lengths as they were written before [nm]: most come many times."""
    amounts: dict[int, str] = field(default_factory=dict, init=False, repr=False, compare=False)
    """Amounts likewise [minor units]."""

    def length(self, nm: int) -> Json:
        """Write a length, for a machine and for a person."""
        told = self.lengths.get(nm)
        if told is None:
            told = self.lengths[nm] = millimetres(nm), format_length(nm, self.units)
        return {"mm": told[0], "text": told[1]}

    def money(self, amount: int | Decimal) -> str:
        """Write an amount [minor units, or the currency as a decimal]."""
        if isinstance(amount, Decimal):
            return money_text(amount, self.decimals)
        told = self.amounts.get(amount)
        if told is None:
            told = self.amounts[amount] = f"{from_minor_units(amount, self.decimals):f}"
        return told


PLAIN: Final = Writing("metric", 0)
"""Writes what has no lengths and no amounts, or brings what writes them."""


class Field:
    """A key of an answer.

    meaning: with the unit of its numbers in square brackets; none: whether it may be null; choices: all it may be;
    of: what a group or a list holds; objects of several kinds by the word that each has as its `kind`; words: how a
    length is told where not as any other; written: whether it is read as JSON.
    """

    def __init__(
        self,
        kind: Kind,
        meaning: str,
        example: object = None,
        read: Read | str | None = None,
        *,
        none: bool = False,
        choices: Sequence[str] = (),
        of: type[Answered] | Field | Mapping[str, type[Answered]] | None = None,
        words: Callable[[Any], str] | None = None,
        written: bool = False,
    ) -> None:
        self.key, self.kind, self.meaning, self.example = "", kind, meaning, example
        self.none, self.choices, self.of = none, choices, of
        self._read, self._words, self._written = read, words, written

    def __set_name__(self, owner: type[Answered], name: str) -> None:
        self.key = name

    @property
    def unit(self) -> str:
        """What its numbers are counted in; empty for none."""
        found = UNIT.search(self.meaning)
        return found[1] if found else ""

    def code(self, names: dict[str, object]) -> str:
        """The Python that reads and writes it, of a `value` for an `out`; names: takes what that Python calls."""

        def called(thing: object) -> str:
            names[f"c{len(names)}"] = thing
            return f"c{len(names) - 1}"

        read, of = self._read, self.of
        found = f"{called(read)}(value, out)" if callable(read) else f"value.{read or self.key}"
        if self.none and self.kind == "text":
            return found if callable(read) else f"{found} or None"  # what is empty is not there
        if self._written:
            return found
        if self.none and self.kind in ("length", "money", "group"):
            found, otherwise = "found", f"None if (found := {found}) is None else "
        else:
            otherwise = ""
        match self.kind:
            case "length" if self._words:
                return f'{{**out.length({found}), "text": {called(self._words)}(value)}}'
            case "length" | "money":
                return f"{otherwise}out.{self.kind}({found})"
            case "group":
                return f"{otherwise}{called(of)}.written({found}, out)"
            case "rows" if isinstance(of, Mapping):
                return f"[{called(of)}[each.kind].written(each, out) for each in {found}]"
            case "rows" if self.none:
                return f"None if (found := {found}) is None else [*found]"
            case "rows" if isinstance(of, Field):
                return f"[out.length(each) for each in {found}]" if of.kind == "length" else f"[*{found}]"
            case "rows":
                return f"[{called(of)}.written(each, out) for each in {found}]"
        return found


class Answered:
    """An object of an answer: its class is its declaration, and is never made.

    What writes it is put together as Python when it is first written, as dataclasses are: it is as fast as if it were
    written by hand.
    """

    fields: ClassVar[tuple[Field, ...]] = ()
    _write: ClassVar[Callable[[Any, Writing], Json]]

    def __init_subclass__(cls) -> None:
        bases = [base for base in cls.__bases__ if issubclass(base, Answered)]
        own = [each for each in vars(cls).values() if isinstance(each, Field)]
        cls.fields = (*(each for base in bases for each in base.fields), *own)

        def first(value: Any, out: Writing) -> Json:
            names: dict[str, object] = {}
            keys = ", ".join(f"{each.key!r}: {each.code(names)}" for each in cls.fields)
            made: Callable[[Any, Writing], Json] = eval(f"lambda value, out: {{{keys}}}", names)
            cls._write = staticmethod(made)
            return made(value, out)

        cls._write = staticmethod(first)

    @classmethod
    def written(cls, value: Any, out: Writing) -> Json:
        """Write a value as JSON."""
        return cls._write(value, out)


def text(
    meaning: str,
    example: str | None,
    read: Read | str | None = None,
    *,
    none: bool = False,
    choices: Sequence[str] = (),
) -> Field:
    """A text; choices: all it may be."""
    return Field("text", meaning, example, read, none=none, choices=choices)


def whole(meaning: str, example: int | None, read: Read | str | None = None, *, none: bool = False) -> Field:
    """A whole number."""
    return Field("whole", meaning, example, read, none=none)


def number(meaning: str, example: float, read: Read | str | None = None, *, none: bool = False) -> Field:
    """A number."""
    return Field("number", meaning, example, read, none=none)


def flag(meaning: str, read: Read | str | None = None, *, example: bool, none: bool = False) -> Field:
    """A yes or no."""
    return Field("flag", meaning, example, read, none=none)


def moment(meaning: str, read: str | Callable[[Any], datetime | None], *, none: bool = False) -> Field:
    """A moment, written as RFC 3339 has it, in UTC."""
    find = attrgetter(read) if isinstance(read, str) else read

    def written(value: Any, _: Writing) -> str | None:
        found: datetime | None = find(value)
        return None if found is None else found.isoformat(timespec="microseconds").replace("+00:00", "Z")

    return text(meaning, "2026-11-25T15:04:05.678901Z", written, none=none)


def money(meaning: str, example: str, read: Read | str | None = None, *, none: bool = False) -> Field:
    """An amount of money, read as minor units or as a decimal."""
    return Field("money", meaning, example, read, none=none)


def length(
    meaning: str,
    mm: float,
    written: str,
    read: Read | str | None = None,
    *,
    none: bool = False,
    words: Callable[[Any], str] | None = None,
) -> Field:
    """A length, read in nanometres; words: how it is told where not as any other."""
    return Field("length", meaning, {"mm": mm, "text": written}, read, none=none, words=words)


def group(
    of: type[Answered], meaning: str, read: Read | str | None = None, *, none: bool = False, written: bool = False
) -> Field:
    """An object within an object; written: whether it is read as JSON."""
    return Field("group", meaning, None, read, none=none, of=of, written=written)


def rows(
    of: type[Answered] | Field | Mapping[str, type[Answered]],
    meaning: str,
    read: Read | str | None = None,
    *,
    none: bool = False,
) -> Field:
    """A list: of objects, of what a field is, or of objects of several kinds, each with its word as its `kind`.

    none: whether it may be null, which one of plain values alone may.
    """
    return Field("rows", meaning, None, read, of=of, none=none)


def either(meaning: str, example: object, read: Read) -> Field:
    """A value of several kinds, or null, read as JSON."""
    return Field("any", meaning, example, read, none=True)


def free(meaning: str, example: Mapping[str, object], read: Read) -> Field:
    """An object whose keys somebody else chose, read as JSON."""
    return Field("free", meaning, example, read)
