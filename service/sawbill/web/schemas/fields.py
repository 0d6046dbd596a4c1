"""Fields: those of requests tell what is wrong in stable codes, those of answers describe what is sent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from marshmallow import RAISE, Schema, ValidationError, fields

from sawbill.trade.option import NO, YES, show

MOST_TEXT: Final = 100
"""The longest text a request may give where nothing else is said [characters]."""


@dataclass(frozen=True, slots=True)
class Told:
    """What is wrong with a value: a stable code, words to go on with after its name, the names known there."""

    code: str
    detail: str
    known: tuple[str, ...] = ()


class Asked(Schema):
    """An object of a request: an unknown key is refused, with those that are known."""

    class Meta:
        """At every level, which nested schemas do not inherit by themselves."""

        unknown = RAISE

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        known = tuple(self.fields)
        self.error_messages = {
            "unknown": Told("unknown-key", "is not known", known),  # type: ignore[dict-item]  # any object will do
            "type": Told("not-an-object", "must be an object"),  # type: ignore[dict-item]  # any object will do
        }


class Telling:
    """Lets a field tell of what is missing or null."""

    default_error_messages: dict[str, Any] = {  # noqa: RUF012 (as marshmallow declares it)
        "required": [Told("missing", "is missing")],
        "null": [Told("null", "is null; give a value or leave it out")],
    }


class Text(Telling, fields.String):
    """A text of at most so many characters, every one of them printable."""

    def __init__(self, description: str, example: str, *, longest: int = MOST_TEXT, **kwargs: Any) -> None:
        self.longest = longest
        more = kwargs.pop("metadata", {})
        super().__init__(metadata=_about(description, example, maxLength=longest, **more), **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError([Told("not-text", f"is {show(value)}; it must be text{self._hint()}")])
        if len(value) > self.longest:
            raise ValidationError([Told("too-long", f"has {len(value)} characters; it may have {self.longest}")])
        if not value.isprintable():
            raise ValidationError([Told("not-printable", f"is {show(value)}; use no control characters")])
        return value

    def _hint(self) -> str:
        return ""


class LengthText(Text):
    """A length as text with its unit; what it may be is for its reader to say."""

    def _hint(self) -> str:
        return " with its unit, such as 8 in"


class MassText(Text):
    """A mass as text with its unit; what it may be is for its reader to say."""

    def _hint(self) -> str:
        return " with its unit, such as 23 kg"


class PercentText(Text):
    """A share as text in percent; what it may be is for its reader to say."""

    def _hint(self) -> str:
        return " in percent, such as 25 %"


class YesNo(Telling, fields.Field[Any]):
    """Yes or no, as JSON has it or as a word; which words is for its reader to say."""

    def __init__(self, description: str, **kwargs: Any) -> None:
        words = {"anyOf": [{"type": "boolean"}, {"enum": [*YES, *NO]}]}
        super().__init__(metadata=_about(description, True, **words), **kwargs)


class Whole(Telling, fields.Integer):
    """A whole number, written as one; its range is for its reader to check."""

    def __init__(self, description: str, example: int, least: int, most: int, **kwargs: Any) -> None:
        super().__init__(metadata=_about(description, example, minimum=least, maximum=most), **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> int:
        if type(value) is not int:
            raise ValidationError([Told("not-a-whole-number", f"is {show(value)}; it must be a whole number")])
        return value


class Rows(Telling, fields.List[Any]):
    """A list of at most so many entries, which are read only when there are no more."""

    def __init__(self, inner: fields.Field[Any], description: str, most: int, **kwargs: Any) -> None:
        self.most = most
        super().__init__(inner, metadata={"description": description, "maxItems": most}, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> list[Any]:
        if not isinstance(value, list):
            raise ValidationError([Told("not-a-list", f"is {show(value)}; it must be a list")])
        if len(value) > self.most:
            raise ValidationError([Told("too-many", f"has {len(value)} entries; it may have {self.most}")])
        return super()._deserialize(value, attr, data, **kwargs)


class Group(Telling, fields.Nested):
    """An object within an object."""

    def __init__(self, schema: type[Asked], description: str = "", **kwargs: Any) -> None:
        super().__init__(schema, metadata={"description": description} if description else {}, **kwargs)


class Free(Telling, fields.Field[dict[str, Any]]):
    """An object of at most so many keys, which somebody else reads."""

    def __init__(self, description: str, example: Mapping[str, object], most: int, **kwargs: Any) -> None:
        self.most = most
        about = _about(description, example, type="object", maxProperties=most)
        super().__init__(metadata=about, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError([Told("not-an-object", f"is {show(value)}; it must be an object")])
        if len(value) > self.most:
            raise ValidationError([Told("too-many", f"has {len(value)} keys; it may have {self.most}")])
        return value


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
