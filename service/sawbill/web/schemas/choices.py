"""The choices that stand in several places, each with a name of its own, so that a client has one type for each."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.answer.drift import WHY
from sawbill.answer.tables import TABLES
from sawbill.checks.finding import Status as Found
from sawbill.cutting import Status as Proven
from sawbill.prices.changes import THINGS
from sawbill.prices.offers import SUPPLIES
from sawbill.quoting.comparing.criteria import BY_NUMBER, CRITERIA
from sawbill.store import RIGHTS
from sawbill.trade import fasteners
from sawbill.trade.boxes import AXES
from sawbill.trade.declaring.reading import NO, YES

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Choice:
    """What may be chosen; called: names for values that cannot be names themselves, where a language needs some."""

    about: str
    values: Sequence[str]
    called: Sequence[str] = ()

    def schema(self) -> Json:
        """Describe it."""
        more = {"x-enum-varnames": [*self.called]} if self.called else {}
        return {
            "type": "string",
            "description": self.about,
            "enum": [*self.values],
            "examples": [self.values[0]],
            **more,
        }


_ORDERS: Final = (BY_NUMBER, *CRITERIA)
CHOICES: Final[Mapping[str, Choice]] = {
    "YesNo": Choice("Yes or no, as a word.", (*YES, *NO), ("yes", "true", "on", "one", "no", "false", "off", "zero")),
    "UnitSystem": Choice("A system that lengths are written in.", ("inch", "metric")),
    "TableName": Choice("A table of a quote.", tuple(TABLES)),
    "CheckStatus": Choice("How a check came out.", tuple(status.value for status in Found)),
    "ProofStatus": Choice("How far it is proven that nothing costs less.", tuple(status.value for status in Proven)),
    "RowStatus": Choice("Whether a row has a quote, and if not, why.", ("quoted", "refused", "cannot_be_bought")),
    "Axis": Choice("A direction: x along the frame, y across it, z upwards.", tuple(AXES)),
    "HardwareItem": Choice("A kind of hardware.", tuple(fasteners.ITEMS)),
    "SupplyItem": Choice("A supply: glue, finish and the like.", tuple(SUPPLIES)),
    "PriceTable": Choice("A table of a price book.", tuple(THINGS)),
    "DriftReason": Choice("Why a quote would come out otherwise today.", tuple(WHY)),
    "BookRight": Choice("What may be done with a price book of somebody else's.", tuple(RIGHTS)),
    "ByteOrderMark": Choice("1 for yes, 0 for no.", ("1", "0"), ("yes", "no")),
    "ErrorForm": Choice("How a problem is told.", ("text", "status")),
    "Criterion": Choice("A figure that rows are judged by.", tuple(CRITERIA)),
    "RowOrder": Choice(
        "What rows are sorted by: least first, or with a minus before it most first.",
        tuple(sign + name for name in _ORDERS for sign in ("", "-")),
        tuple(sign + name for name in _ORDERS for sign in ("", "most_")),
    ),
}  # fmt: skip


def named(api: Mapping[str, Any]) -> Json:
    """Give a description in which each of these choices stands once, by name, and what has one value is constant."""
    names = {tuple(choice.values): name for name, choice in CHOICES.items()}
    found: Json = _named(api, names)
    used = json.dumps(found)
    more = {name: choice.schema() for name, choice in CHOICES.items() if f'"{_at(name)}"' in used}
    found["components"]["schemas"] = dict(sorted({**found["components"]["schemas"], **more}.items()))
    return found


def _named(value: Any, names: Mapping[tuple[Any, ...], str]) -> Any:
    if isinstance(value, list):
        return [_named(each, names) for each in value]
    if not isinstance(value, Mapping):
        return value
    found = {key: each if key in ("example", "examples") else _named(each, names) for key, each in value.items()}
    return _choice(found, names) if isinstance(found.get("enum"), list) else found


def _choice(schema: Json, names: Mapping[tuple[Any, ...], str]) -> Json:
    """Give the schema of a choice with its name instead of its values, if it has one."""
    values = [each for each in schema["enum"] if each is not None]
    more = {key: each for key, each in schema.items() if key not in ("type", "enum", "maxLength")}
    name = names.get(tuple(values))
    if name is None:
        return schema if len(schema["enum"]) > 1 else {**more, "type": "string", "const": values[0]}
    reference = {"$ref": _at(name)}
    return {**more, "anyOf": [reference, {"type": "null"}]} if None in schema["enum"] else {**reference, **more}


def _at(name: str) -> str:
    return f"#/components/schemas/{name}"
