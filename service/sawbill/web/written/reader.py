"""The description of the interface, laid out for people: addresses by resource, and what several of them share."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

Json = Mapping[str, Any]

METHODS: Final = ("get", "post", "put", "patch", "delete")
HOME: Final = "/openapi.html"
PAGE: Final = "/openapi/<part>.html"
SHAPE: Final = "/openapi/schemas/<name>.html"
PARAMETERS: Final = "parameters"
SCHEMAS: Final = "schemas"
"""Where it is: a page that leads to all others, one for each resource, one for what parameters are shared, one that
lists the schemas, and one for each of these."""


@dataclass(frozen=True, slots=True)
class Word:
    """Some words of a type; target: the address of what they name, empty for none."""

    text: str
    target: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """A parameter or a property; place: of a parameter, where it is written."""

    name: str
    anchor: str
    place: str
    required: bool
    kind: Sequence[Word]
    about: str
    example: str


@dataclass(frozen=True, slots=True)
class Form:
    """What a body or an answer may be: its media type, its kind, an example as it is written, empty for none."""

    media_type: str
    kind: Sequence[Word]
    example: str


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer: its status, what it means, its forms, the headers it has beside the usual ones."""

    status: str
    about: str
    forms: Sequence[Form]
    headers: Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Operation:
    """A method at an address; shared: its parameters that several addresses have, told once for all."""

    anchor: str
    method: str
    address: str
    title: str
    about: str
    access: str
    parameters: Sequence[Field]
    shared: Sequence[Word]
    body: str
    takes: Sequence[Form]
    answers: Sequence[Answer]
    problems: Sequence[Answer]


@dataclass(frozen=True, slots=True)
class Resource:
    """The addresses of one kind of thing; part: the name of its page."""

    part: str
    title: str
    about: str
    operations: Sequence[Operation]


@dataclass(frozen=True, slots=True)
class Shape:
    """A schema that several places share: an object with its fields, or another kind."""

    name: str
    target: str
    about: str
    kind: Sequence[Word]
    closed: bool
    fields: Sequence[Field]


def resources(api: Json) -> list[Resource]:
    """Give the addresses by resource, in the order of the description."""
    return [resource(api, part) for part in parts(api)]


def parts(api: Json) -> dict[str, Json]:
    """The tag of each resource, by what its page is called, in the order of the description."""
    return {tag["name"].replace(" ", "-"): tag for tag in api["tags"]}


def resource(api: Json, part: str) -> Resource:
    """Give the addresses of one resource."""
    tag = parts(api)[part]
    name = tag["name"]
    operations = [
        _operation(api, address, method, item, item[method])
        for address, item in api["paths"].items()
        for method in METHODS
        if method in item and item[method]["tags"][0] == name
    ]
    return Resource(part, name[:1].upper() + name[1:], tag.get("description", ""), operations)


def parameters(api: Json) -> list[Field]:
    """Give the parameters that several addresses have."""
    return [_parameter(each, f"parameter-{name}") for name, each in sorted(api["components"]["parameters"].items())]


def shapes(api: Json) -> list[Shape]:
    """Give the schemas that are shared, by name."""
    return [shape(api, name) for name in sorted(api["components"]["schemas"])]


def shape(api: Json, name: str) -> Shape:
    """Give one of them."""
    return _shape(name, api["components"]["schemas"][name])


def _operation(api: Json, address: str, method: str, item: Json, operation: Json) -> Operation:
    asked = [*item.get("parameters", ()), *operation.get("parameters", ())]
    body = operation.get("requestBody", {})
    answers = [_answer(status, _shared(api, each)) for status, each in sorted(operation["responses"].items())]
    return Operation(
        anchor=operation["operationId"],
        method=method.upper(),
        address=address,
        title=operation.get("summary", ""),
        about=operation.get("description", ""),
        access=_access(operation.get("security", ())),
        parameters=[_parameter(each, "") for each in asked if "$ref" not in each],
        shared=[Word(name, _of_parameter(name)) for name in (_last(each["$ref"]) for each in asked if "$ref" in each)],
        body=body.get("description", ""),
        takes=_forms(body.get("content", {})),
        answers=[each for each in answers if each.status < "4"],
        problems=[each for each in answers if each.status >= "4"],
    )


def _access(security: Iterable[Json]) -> str:
    """Say who may use an address."""
    ways = [dict(each) for each in security]
    scopes = [" or ".join(each["token"]) for each in ways if each.get("token")]
    if {} in ways or not ways:
        reading = "Everybody; or, if the service is set so, anyone with a token."
        return reading if any("token" in each for each in ways) else "Everybody."
    link = ", or with a link token of the quote" if any("link" in each for each in ways) else ""
    return f"With a token that has the scope {' or '.join(scopes)}, or admin{link}."


def _parameter(each: Json, anchor: str) -> Field:
    schema, example = each.get("schema", {}), each.get("example")
    return Field(
        name=each["name"],
        anchor=anchor,
        place=each["in"],
        required=bool(each.get("required")),
        kind=[*_kind(schema)],
        about=each.get("description", ""),
        example=_written(example),
    )


def _shared(api: Json, each: Json) -> Json:
    """Give a response, where only its name stands in its place."""
    found: Json = api["components"]["responses"][_last(each["$ref"])] if "$ref" in each else each
    return found


def _answer(status: str, each: Json) -> Answer:
    headers = [(name, header.get("description", "")) for name, header in each.get("headers", {}).items()]
    return Answer(status, each.get("description", ""), _forms(each.get("content", {})), headers)


def _forms(content: Json) -> list[Form]:
    return [
        Form(media_type, [*_kind(each.get("schema", {}))], _laid_out(each["example"]) if "example" in each else "")
        for media_type, each in content.items()
    ]


def _shape(name: str, schema: Json) -> Shape:
    needed = set(schema.get("required", ()))
    return Shape(
        name=name,
        target=_of_shape(name),
        about=schema.get("description", ""),
        kind=[*_kind({key: value for key, value in schema.items() if key != "properties"})],
        closed=schema.get("additionalProperties") is False,
        fields=[
            Field(
                name=key,
                anchor="",
                place="",
                required=key in needed,
                kind=[*_kind(value)],
                about=value.get("description", ""),
                example=_written(next(iter(value.get("examples", ())), None)),
            )
            for key, value in schema.get("properties", {}).items()
        ],
    )


def _kind(schema: Json) -> Iterator[Word]:
    """Say what a schema is, in words that lead to the shapes it names."""
    if "$ref" in schema:
        yield Word(_last(schema["$ref"]), _of_shape(_last(schema["$ref"])))
        return
    for word in ("anyOf", "oneOf", "allOf"):
        for i, each in enumerate(schema.get(word, ())):
            yield Word((" and " if word == "allOf" else " or ") if i else "")
            yield from _kind(each)
    types = schema.get("type", ())
    types = [types] if isinstance(types, str) else [*types]
    if "array" in types:
        yield Word("list of ")
        yield from _kind(schema.get("items", {}))
        types.remove("array")
    yield Word(" or ".join(types))
    if "const" in schema:
        yield Word(f": {schema['const']}")
    if "enum" in schema:
        yield Word(": " + ", ".join("null" if each is None else str(each) for each in schema["enum"]))
    bounds = ", ".join(_bounds(schema))
    yield Word(f" ({bounds})" if bounds else "")


def _bounds(schema: Json) -> Iterator[str]:
    """Say how a schema bounds a value."""
    if "minimum" in schema or "maximum" in schema:
        least, most = schema.get("minimum"), schema.get("maximum")
        yield f"from {least}" if most is None else f"to {most}" if least is None else f"{least} to {most}"
    words = {"maxLength": "characters", "maxItems": "entries", "maxProperties": "keys"}
    yield from (f"at most {schema[key]} {word}" for key, word in words.items() if key in schema)
    if "pattern" in schema:
        yield f"as {schema['pattern']}"
    if "contentMediaType" in schema and "description" in schema:
        yield schema["description"].rstrip(".") or schema["contentMediaType"]


def _written(example: Any) -> str:
    """Write an example as it stands where it is used: text as it is, all else as JSON."""
    if example is None or isinstance(example, str):
        return example or ""
    return json.dumps(example, ensure_ascii=False)


def _laid_out(example: Any) -> str:
    return json.dumps(example, ensure_ascii=False, indent=2)


def _of_shape(name: str) -> str:
    return SHAPE.replace("<name>", name)


def _of_parameter(name: str) -> str:
    return f"{PAGE.replace('<part>', PARAMETERS)}#parameter-{name}"


def _last(reference: str) -> str:
    return reference.rpartition("/")[2]
