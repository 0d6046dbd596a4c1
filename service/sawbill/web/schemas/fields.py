"""Fields that describe what is sent; what is asked is declared (`web.schemas.declared`)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from marshmallow import Schema, fields


class Sent(Schema):
    """An object of an answer; later versions may add to it, so nobody should refuse what is unknown."""

    class Meta:
        """Leaves additionalProperties open."""

        unknown = "include"


class LengthSchema(Sent):
    """A length, for a machine and for a person."""

    mm = fields.Float(required=True, metadata={"description": "The length [mm], exact.", "examples": [2133.6]})
    text = fields.String(
        required=True,
        metadata={
            "description": "The length with its unit as a workshop writes it, to 1/16 in or 1 mm.",
            "examples": ["84 in"],
        },
    )


def text(description: str, example: str | None, *, none: bool = False, choices: Sequence[str] = ()) -> fields.String:
    """Describe a text that is sent."""
    more = {"enum": [*choices, *([None] if none else [])]} if choices else {}
    return fields.String(required=True, allow_none=none, metadata=_about(description, example, **more))


def money(description: str, example: str) -> fields.String:
    """Describe an amount of money that is sent."""
    return text(f"{description} [the price book's currency]", example)


def whole(description: str, example: int | None, *, none: bool = False) -> fields.Integer:
    """Describe a whole number that is sent."""
    return fields.Integer(required=True, allow_none=none, metadata=_about(description, example))


def number(description: str, example: float, *, none: bool = False) -> fields.Float:
    """Describe a number that is sent."""
    return fields.Float(required=True, allow_none=none, metadata=_about(description, example))


def flag(description: str, *, example: bool) -> fields.Boolean:
    """Describe a yes or no that is sent."""
    return fields.Boolean(required=True, metadata=_about(description, example))


def length(description: str, millimetres: float, written: str, *, none: bool = False) -> fields.Nested:
    """Describe a length that is sent."""
    about = _about(description, {"mm": millimetres, "text": written})
    return fields.Nested(LengthSchema, required=True, allow_none=none, metadata=about)


def group(schema: type[Schema], description: str, *, none: bool = False) -> fields.Nested:
    """Describe an object that is sent."""
    return fields.Nested(schema, required=True, allow_none=none, metadata={"description": description})


def rows(inner: type[Schema] | fields.Field[Any], description: str) -> fields.List[Any]:
    """Describe a list that is sent."""
    each = inner if isinstance(inner, fields.Field) else fields.Nested(inner)
    return fields.List(each, required=True, metadata={"description": description})


class OneOf(fields.Field[Any]):
    """One of several objects, told apart by one of their keys."""

    def __init__(self, key: str, schemas: Mapping[str, type[Schema]]) -> None:
        self.key, self.schemas = key, schemas
        super().__init__(required=True)


def _about(description: str, example: object, **more: object) -> dict[str, Any]:
    return {"description": description, "examples": [example], **more}
