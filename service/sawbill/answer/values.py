"""Single values of a quote, for one cell of a sheet or one variable of a script."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final, Literal

from sawbill.answer.columns import Cell, Json
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
    example: str | int | float
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


def _longest(name: str, key: str) -> Callable[[Json], Any]:
    return lambda answer: max((row[key]["mm"] for row in answer[name]), default=None)


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


def _side(name: str) -> Callable[[Json], Any]:
    return lambda answer: answer["frame"] and answer["frame"]["size"][name]["mm"]


def _mattress_top(answer: Json) -> Any:
    tops = answer["frame"]["mattress_tops"] if answer["frame"] else []
    return tops[0]["length"]["mm"] if len(tops) == 1 else None


def _each(answer: Json) -> Any:
    return answer["shares"][0]["each"] if len(answer["shares"]) == 1 else None


def _pieces(answer: Json, key: str) -> list[Any]:
    return [piece[key] for frame in answer["frames"] for piece in frame["carried_pieces"]]


def _values() -> list[Value]:
    money = [Value(name, meaning, "money", "117.30", _total(name), "the quote's currency")
             for name, meaning in COSTS.items()]  # fmt: skip
    return [
        *money,
        Value("each", "What one of the only line's quantity bears of the total.", "money", "117.30", _each,
              "the quote's currency"),
        Value("gap", "What another cutting plan could save at most.", "money", "0.00",
              lambda answer: answer["proof"]["gap"], "the quote's currency"),
        Value("proof", "How far the plan is proven: proven, within_tolerance or time_limit.", "text", "proven",
              lambda answer: answer["proof"]["status"]),
        Value("boards", "How many boards to buy.", "whole", 12, _boards),
        Value("parts", "How many parts to cut.", "whole", 59,
              lambda answer: sum(row["quantity"] for row in answer["cut_list"])),
        Value("saw_stops", "How many lengths the saw's stop is set to.", "whole", 8,
              lambda answer: len(answer["saw_stops"])),
        Value("waste", "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover kept.",
              "number", 0.0522, lambda answer: answer.get("waste"), "share of 1"),
        Value("longest_part", "The longest part to cut.", "length", 2159, _longest("cut_list", "length"), "mm"),
        Value("longest_board", "The longest board to fetch.", "length", 4876.8,
              lambda answer: (answer["load_home"]["longest"] or {}).get("mm"), "mm"),
        Value("load", "What the boards to fetch weigh.", "mass", 65.7, lambda answer: answer["load_home"]["mass_kg"],
              "kg"),
        Value("mass", "What one weighs, of one design.", "mass", 62.5,
              lambda answer: answer["frame"] and answer["frame"]["mass_kg"], "kg"),
        Value("heaviest_piece", "The heaviest piece to be carried.", "mass", 10.2,
              lambda answer: max(_pieces(answer, "mass_kg"), default=None), "kg"),
        Value("longest_piece", "The longest side of what is carried as one.", "length", 2159,
              lambda answer: max((each["mm"] for each in _pieces(answer, "longest")), default=None), "mm"),
        Value("length", "The outer length, of one design.", "length", 2159, _side("length"), "mm"),
        Value("width", "The outer width, of one design.", "length", 1625.6, _side("width"), "mm"),
        Value("height", "The height above the floor, of one design.", "length", 342.9, _side("height"), "mm"),
        Value("mattress_top", "How high the only mattress reaches.", "length", 584.2, _mattress_top, "mm"),
        Value("worst_check", "The worst of the findings: fail, unreckoned, warn, not_checked or pass.", "text",
              "not_checked", _worst),
        Value("worst_utilisation", "The most that is used of what wood and bolts bear; above 1 it does not hold.",
              "number", 0.749, _worst_utilisation, "share of 1"),
        Value("failed_checks", "How many rules are not met.", "whole", 0, _count(Status.FAIL)),
        Value("unreckoned", "How many checks could not be reckoned, for nobody knows what the wood bears.", "whole", 0,
              _count(Status.UNRECKONED)),
        Value("warned_checks", "How many findings warn.", "whole", 0, _count(Status.WARN)),
        Value("hands_on_least", "The time at work, at least.", "whole", 460, _time("hands_on", "least"), "min"),
        Value("hands_on_most", "The time at work, at most.", "whole", 1169, _time("hands_on", "most"), "min"),
        Value("waiting_least", "The time to wait, at least.", "whole", 1680, _time("waiting", "least"), "min"),
        Value("waiting_most", "The time to wait, at most.", "whole", 4680, _time("waiting", "most"), "min"),
        Value("currency", "What the amounts are in (ISO 4217).", "text", "USD",
              lambda answer: answer["price_book"]["currency"]),
        Value("revision", "The revision of the price book.", "text", "b4359b1f9f25e8dd",
              lambda answer: answer["price_book"]["revision"]),
    ]  # fmt: skip


def _total(name: str) -> Callable[[Json], Any]:
    return lambda answer: answer["totals"][name]


def _time(kind: str, end: str) -> Callable[[Json], Any]:
    return lambda answer: answer[f"{kind}_minutes"][end]


VALUES: Final[Mapping[str, Value]] = MappingProxyType({value.name: value for value in _values()})
"""Every value by name."""
