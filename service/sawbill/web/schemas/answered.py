"""The schemas of answers, made from what `sawbill.answer` declares: the interface's description has its words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from marshmallow import fields

from sawbill.answer.declared.fields import Answered, Field, Kind
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import OneOf, Sent

_PLAIN: Final[Mapping[Kind, type[fields.Field[Any]]]] = {
    "text": fields.String, "whole": fields.Integer, "number": fields.Float, "flag": fields.Boolean,
    "money": fields.String, "free": fields.Dict, "any": fields.Raw,
}  # fmt: skip
MONEY: Final = " [the price book's currency]"
"""What amounts are in, unless told otherwise."""
_MADE: Final[dict[object, type[Sent]]] = {}


def schema_of(of: object) -> type[Sent]:
    """The schema of an object of an answer, a class of `Answered`: always the same one."""
    if of not in _MADE:
        assert isinstance(of, type) and issubclass(of, Answered)
        described = {each.key: field_of(each) for each in of.fields}
        _MADE[of] = type(f"{of.__name__}Schema", (Sent,), {"__doc__": of.__doc__, **described})
    return _MADE[of]


def field_of(each: Field) -> fields.Field[Any]:
    """The field of a key."""
    about: dict[str, Any] = {"description": each.meaning}
    if each.kind == "money" and not each.unit:
        about["description"] += MONEY
    if each.kind == "rows":
        return fields.List(_inner(each.of), required=True, allow_none=each.none, metadata=about)
    if each.kind == "group":
        return fields.Nested(schema_of(each.of), required=True, allow_none=each.none, metadata=about)
    about["examples"] = [each.example]
    if each.kind == "length":
        return fields.Nested(sent.LengthSchema, required=True, allow_none=each.none, metadata=about)
    if each.choices:
        about["enum"] = [*each.choices, *([None] if each.none else [])]
    return _PLAIN[each.kind](required=True, allow_none=each.none, metadata=about)


def _inner(of: object) -> fields.Field[Any]:
    if isinstance(of, Field):
        return field_of(of)
    if isinstance(of, Mapping):
        return OneOf("kind", {word: schema_of(each) for word, each in of.items()})
    return fields.Nested(schema_of(of))
