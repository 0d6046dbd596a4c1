"""Schemas and parameters made from what is declared of a request: nothing of it is typed again for the web."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from marshmallow import RAISE, Schema, fields

from sawbill.trade.declaring.kinds import Kind, Text, Whole, YesNo
from sawbill.trade.declaring.members import Group, Member, Rows
from sawbill.trade.declaring.reading import NO, YES
from sawbill.web.schemas.fields import Sent


class Asked(Schema):
    """An object of a request, which its reader reads (`asked.reader`); here it is only described."""

    class Meta:
        """An unknown key is refused."""

        unknown = RAISE


_FIELDS: Final[Mapping[str | None, type[fields.Field[Any]]]] = {"string": fields.String, "integer": fields.Integer}
_MADE: Final[dict[str, tuple[Group, type[Asked]]]] = {}
"""The schema of each group by its title: two groups of one title would be described as one."""


def schema_of(group: Group) -> type[Asked]:
    """Make the schema of a group. Raises ValueError: another group has its title."""
    made = _MADE.get(group.title)
    if made is None:
        members = {name: _field(each.kind, **_about(each)) for name, each in group.members.items()}
        made = group, type(f"{group.title}Schema", (Asked,), {"__doc__": group.help, **members})
        _MADE[group.title] = made
    if made[0] != group:
        raise ValueError(f"two groups of a request are called {group.title}")
    return made[1]


def _about(member: Member) -> dict[str, Any]:
    example = {} if member.example is None else {"examples": [member.example]}
    about = {"description": member.help, **example}
    return {"about": about, "required": member.required, "allow_none": member.nullable}


def _field(kind: Kind, about: Mapping[str, Any], **more: Any) -> fields.Field[Any]:
    if isinstance(kind, Group):
        return fields.Nested(schema_of(kind), metadata=dict(about), **more)
    if isinstance(kind, Rows):
        example = {} if kind.example is None else {"examples": [kind.example]}
        inner = _field(kind.inner, {"description": kind.help, **example} if kind.help else {})
        return fields.List(inner, metadata={**about, "maxItems": kind.most}, **more)
    schema = kind.schema()
    return _FIELDS.get(schema.get("type"), fields.Raw)(metadata={**about, **schema}, **more)


def told_schema(title: str, about: str, members: Mapping[str, Member]) -> type[Schema]:
    """Make the schema of settings as a price book tells them, their lengths and shares as text."""
    kinds: dict[type[Kind], type[fields.Field[Any]]] = {YesNo: fields.Boolean, Whole: fields.Integer}
    return _sent(
        title, about, {name: (each, kinds.get(type(each.kind), fields.String)) for name, each in members.items()}
    )


def cells_schema(title: str, about: str, columns: Mapping[str, Member]) -> type[Schema]:
    """Make the schema of a row of a price book's table, every cell of it text."""
    return _sent(title, about, {name: (each, fields.String) for name, each in columns.items()})


def _sent(title: str, about: str, members: Mapping[str, tuple[Member, type[fields.Field[Any]]]]) -> type[Schema]:
    made = {
        name: field(required=each.needed and not each.nullable, metadata=_told(each))
        for name, (each, field) in members.items()
    }
    return type(f"{title}Schema", (Sent,), {"__doc__": about, **made})


def _told(member: Member) -> dict[str, Any]:
    words = member.kind.words if isinstance(member.kind, Text) else ()
    enum = {"enum": [*words]} if words else {}
    return {"description": member.help, "examples": [member.example], **enum}


def parameter_of(member: Member) -> dict[str, Any]:
    """Describe a member as a parameter of a query."""
    kind, told, example = member.kind, member.help, member.example
    schema: dict[str, Any] = {"type": "string"}
    if isinstance(kind, YesNo):
        example, schema["enum"] = "yes", [*YES, *NO]
    elif isinstance(kind, Whole):
        example, schema["pattern"] = str(example), "^[0-9]+$"
    elif isinstance(kind, Rows):
        example, told = ",".join(example), f"{told} With commas between."
    elif isinstance(kind, Text) and kind.words:
        schema["enum"] = [*kind.words]
    return {
        "name": member.name, "in": "query", "required": member.required, "description": told, "schema": schema,
        "example": example,
    }  # fmt: skip
