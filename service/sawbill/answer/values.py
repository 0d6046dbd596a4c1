"""Single values of a quote, for one cell of a sheet or one variable of a script."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final, Literal

from sawbill.answer.columns import Cell, Json, meaning_of, unit_of
from sawbill.answer.declared.fields import Field
from sawbill.answer.quote import Quote
from sawbill.answer.records import COSTS
from sawbill.checks.finding import BY_BADNESS, Status
from sawbill.checks.strength import RULES
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown

Kind = Literal["text", "whole", "number", "money", "length", "mass"]

LENGTHS: Final[Mapping[str, Decimal]] = MappingProxyType({
    "mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000), "in": Decimal("25.4"), "ft": Decimal("304.8"),
})  # fmt: skip
"""The units a length may be asked for in, each in millimetres (the inch of 1959 is 25.4 mm)."""
MASSES: Final[Mapping[str, Decimal]] = MappingProxyType({"kg": Decimal(1), "lb": Decimal("0.45359237")})
"""The units a mass may be asked for in, each in kilograms (the pound of 1959 is 0.45359237 kg)."""
CURRENCY: Final = "the quote's currency"
"""The unit of an amount."""
UNITS: Final = (*LENGTHS, *MASSES)
DIGITS: Final = Decimal("0.0001")
"""How finely a converted number is written."""


class UnknownValueError(LookupError):
    """There is no such value, in any quote or in this one; the message says what there is."""


class WrongUnitError(ValueError):
    """A value is not measured in the unit that was asked for; the message says what it may be."""


@dataclass(frozen=True, slots=True)
class Value:
    """A value by name; unit: of its number; read: finds it in the JSON of a quote, None where that has none."""

    name: str
    meaning: str
    kind: Kind
    example: Any
    read: Callable[[Json], Any]
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """A value of a quote, and the unit of its number: of money the currency, empty where it has none."""

    cell: Cell
    unit: str


def value_of(answer: Json, path: str, unit: str | None = None) -> Found:
    """Find a value of a quote: by a name of VALUES, or by keys and places of its JSON with dots between.

    unit: what a length or a mass is to be told in, unset: mm, kg.
    Raises UnknownValueError; WrongUnitError.
    """
    check_unit(path, unit)
    value = VALUES.get(path)
    if value is None:
        return Found(_exact(_at(answer, path)), "")
    raw = value.read(answer)
    if raw is None:
        raise UnknownValueError(f"this quote has no single {path}")
    if value.kind == "money":
        return Found(Decimal(raw), answer["price_book"]["currency"])
    if unit is None or unit == value.unit:
        return Found(_exact(raw), value.unit)
    return Found(_converted(Decimal(str(raw)) / {**LENGTHS, **MASSES}[unit]), unit)


def check_path(path: str) -> None:
    """See that a path could be one of a quote's. Raises UnknownValueError: no name of VALUES, and no dots in it."""
    if path not in VALUES and "." not in path:
        raise UnknownValueError(f"there is no value called {shown(path)}; {nearest(path[:60], VALUES)}")


def check_unit(path: str, unit: str | None) -> None:
    """See that a value can be told in a unit. Raises WrongUnitError."""
    value = VALUES.get(path)
    known = {"length": LENGTHS, "mass": MASSES}.get(value.kind) if value else None
    if unit is not None and unit not in (known or {}):
        remedy = f"it may be {', '.join(known)}" if known else f"{shown(path)} takes no unit; leave it out"
        raise WrongUnitError(f'unit is "{shown(unit)}"; {remedy}')


def _at(answer: Json, path: str) -> Any:
    """Follow a path through the JSON. Raises UnknownValueError: it ends nowhere, or in what is no single value."""
    found: Any = answer
    for number, step in enumerate(path.split(".")):
        within = ".".join(path.split(".")[:number]) or "the quote"
        if isinstance(found, list) and step.isascii() and step.isdigit() and len(step) < 9 and int(step) < len(found):
            found = found[int(step)]
        elif isinstance(found, Mapping) and step in found:
            found = found[step]
        else:
            raise UnknownValueError(f"there is no {shown(step)} in {shown(within)}; {_inside(found, step)}")
    if isinstance(found, list | Mapping):
        raise UnknownValueError(f"{shown(path)} is no single value; {_inside(found, '')}")
    if found is None:
        raise UnknownValueError(f"this quote has no {shown(path)}")
    return found


def _inside(found: Any, step: str) -> str:
    if isinstance(found, Mapping):
        return nearest(step[:60], [*found]) if step else f"go on with one of {', '.join(found)}"
    if isinstance(found, list):
        return f"it has {len(found)} entries, from 0" if found else "it has no entries"
    return "that is a single value already"


def _exact(raw: Any) -> Cell:
    return Decimal(str(raw)) if isinstance(raw, float) else raw


def _converted(number: Decimal) -> Decimal:
    """A number without zeros that say nothing."""
    text = f"{number.quantize(DIGITS):f}"
    return Decimal(text.rstrip("0").rstrip("."))


def _boards(answer: Json) -> int:
    return sum(row["quantity"] for row in answer["shopping_list"] if row["kind"] == "lumber")


def _longest_part(answer: Json) -> Any:
    return max((row["length"]["mm"] for row in answer["cut_list"]), default=None)


def _count(status: Status) -> Callable[[Json], int]:
    return lambda answer: sum(check["status"] == status.value for check in answer["checks"])


def _worst_utilisation(answer: Json) -> Any:
    if _count(Status.UNRECKONED)(answer):
        return None  # something may bear less than all that is reckoned
    used = (check["utilisation"] for check in answer["checks"] if check["rule"] in RULES)
    return max((each for each in used if each is not None), default=None)


def _worst(answer: Json) -> str | None:
    found = {check["status"] for check in answer["checks"]}
    return next((status.value for status in reversed(BY_BADNESS) if status.value in found), None)


def _mattress_top(answer: Json) -> Any:
    tops = answer["frame"]["mattress_tops"] if answer["frame"] else []
    return tops[0]["length"]["mm"] if len(tops) == 1 else None


def _each(answer: Json) -> Any:
    return answer["shares"][0]["each"] if len(answer["shares"]) == 1 else None


def _pieces(answer: Json) -> list[Json]:
    return [piece for frame in answer["frames"] for piece in frame["carried_pieces"]]


def _of(name: str, path: str, meaning: str = "") -> Value:
    """The value at a path of the quote's keys: its kind, unit and example are those of the key, so is its meaning."""
    keys = path.split(".")
    each = _key(keys)

    def read(answer: Json) -> Any:
        found: Any = answer
        for key in keys:
            found = found.get(key) if found else None
        return found["mm"] if each.kind == "length" and found else found

    kind, unit, example = each.kind, unit_of(each), each.example
    if kind == "money":
        unit = CURRENCY
    elif isinstance(example, dict):
        unit, example = "mm", example["mm"]
    assert kind in ("text", "whole", "number", "money", "length")
    return Value(name, meaning or meaning_of(each), "mass" if unit == "kg" else kind, example, read, unit)


def _key(keys: Sequence[str]) -> Field:
    """The key that keys lead to, from the quote on. Raises KeyError: one of them is not declared."""
    of: Any = Quote
    for key in keys:
        each: Field = {field.key: field for field in of.fields}[key]
        of = each.of
    return each


_ALL: Final = (
    *(_of(name, f"totals.{name}", meaning) for name, meaning in COSTS.items()),
    Value("each", "What one of the only line's quantity bears of the total.", "money", "117.30", _each, CURRENCY),
    _of("gap", "proof.gap"),
    _of("proof", "proof.status", "How far the plan is proven: proven, within_tolerance or time_limit."),
    Value("boards", "How many boards to buy.", "whole", 12, _boards),
    Value("parts", "How many parts to cut.", "whole", 59,
          lambda answer: sum(row["quantity"] for row in answer["cut_list"])),
    Value("saw_stops", "How many lengths the saw's stop is set to.", "whole", 8,
          lambda answer: len(answer["saw_stops"])),
    _of("waste", "waste"),
    Value("longest_part", "The longest part to cut.", "length", 2159, _longest_part, "mm"),
    _of("longest_board", "load_home.longest", "The longest board to fetch."),
    _of("load", "load_home.mass_kg", "What the boards to fetch weigh."),
    _of("mass", "frame.mass_kg", "What one weighs, of one design."),
    Value("heaviest_piece", "The heaviest piece to be carried.", "mass", 10.2,
          lambda answer: max((each["mass_kg"] for each in _pieces(answer)), default=None), "kg"),
    Value("longest_piece", "The longest side of what is carried as one.", "length", 2159,
          lambda answer: max((each["longest"]["mm"] for each in _pieces(answer)), default=None), "mm"),
    _of("length", "frame.size.length", "The outer length, of one design."),
    _of("width", "frame.size.width", "The outer width, of one design."),
    _of("height", "frame.size.height", "The height above the floor, of one design."),
    Value("mattress_top", "How high the only mattress reaches.", "length", 584.2, _mattress_top, "mm"),
    Value("worst_check", "The worst of the findings: fail, unreckoned, warn, not_checked or pass.", "text",
          "not_checked", _worst),
    Value("worst_utilisation", "The most that is used of what wood and bolts bear; above 1 it does not hold.",
          "number", 0.749, _worst_utilisation, "share of 1"),
    Value("failed_checks", "How many rules are not met.", "whole", 0, _count(Status.FAIL)),
    Value("unreckoned", "How many checks could not be reckoned, for nobody knows what the wood bears.", "whole", 0,
          _count(Status.UNRECKONED)),
    Value("warned_checks", "How many findings warn.", "whole", 0, _count(Status.WARN)),
    _of("hands_on_least", "hands_on_minutes.least", "The time at work until it stands, at least."),
    _of("hands_on_most", "hands_on_minutes.most", "The time at work until it stands, at most."),
    _of("waiting_least", "waiting_minutes.least", "The time to wait, at least."),
    _of("waiting_most", "waiting_minutes.most", "The time to wait, at most."),
    _of("currency", "price_book.currency"),
    _of("revision", "price_book.revision", "The revision of the price book."),
    _of("finishing_least", "finishing_minutes.least", "The time at work on its finish, at least."),
    _of("finishing_most", "finishing_minutes.most", "The time at work on its finish, at most."),
    _of("taking_apart_least", "taking_apart_minutes.least", "The time at work to take it apart, at least."),
    _of("taking_apart_most", "taking_apart_minutes.most", "The time at work to take it apart, at most."),
    _of("elapsed_least", "elapsed_minutes.least", "How long it takes in all, waiting included, at least."),
    _of("elapsed_most", "elapsed_minutes.most", "How long it takes in all, waiting included, at most."),
)  # fmt: skip
VALUES: Final[Mapping[str, Value]] = MappingProxyType({value.name: value for value in _ALL})
"""Every value by name."""
