"""The description of the interface (OpenAPI 3.1), made from the routes and schemas that serve it."""

from __future__ import annotations

import inspect
from collections.abc import Mapping, Sequence
from functools import cache, cached_property
from typing import Any, Final

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.common import resolve_schema_cls
from flask import Flask, current_app
from flask_smorest import Api, Blueprint
from marshmallow import Schema, fields

from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import ENGINE
from sawbill.web import openapi
from sawbill.web.admission.access import LINK
from sawbill.web.door.refusing import LONGEST_ADDRESS
from sawbill.web.schemas import choices
from sawbill.web.schemas.comparison import BaselineAskedSchema, ComparedDesignAskedSchema
from sawbill.web.schemas.fields import LengthSchema, OneOf
from sawbill.web.schemas.price_book import PriceBookSchema
from sawbill.web.schemas.problem import ProblemSchema

DESCRIPTION: Final = (
    "Quotes for furniture built from construction lumber: what to buy, how to cut each board, the hardware, and the "
    "total to the last cent, from your own price book. Every length of a request is text with its unit, every length "
    "of an answer has its millimetres and its text. Money is text with the currency's decimals. The same request, "
    "price book and engine give the same bytes. Every error is a problem (RFC 9457). At any address, what is not HTTP "
    f"is refused with 400, a first line of more than {LONGEST_ADDRESS} bytes with 414, too many or too long headers "
    "with 431."
)
SCHEMES: Final[Mapping[str, Mapping[str, str]]] = {
    "token": {
        "type": "http",
        "scheme": "bearer",
        "description": "A token that sawbill token make prints, with the scopes quote, price-book or admin, which "
        "allows everything.",
    },
    "link": {
        "type": "apiKey",
        "in": "query",
        "name": LINK,
        "description": "A link token, which reads one stored quote or one table of it, for sheets that can send "
        "nothing but an address. It can be revoked.",
    },
}
"""How a caller shows what he may."""


_DESCRIPTION: Final = "sawbill-description"


class Described(Api):  # type: ignore[misc]  # untyped
    """The interface's description; errors are answered by `problems` alone."""

    ERROR_SCHEMA = ProblemSchema
    DEFAULT_ERROR_RESPONSE_NAME = None


class Description:
    """The description of blueprints, made when it is first asked for: it takes a while, and stays the same."""

    def __init__(self, blueprints: Sequence[Blueprint]) -> None:
        self._blueprints = blueprints

    @cached_property
    def content(self) -> Mapping[str, Any]:
        """What it says."""
        about: dict[str, str] = {}
        found: dict[str, Any] = _specified(self._blueprints, about).to_dict()
        found["components"]["schemas"].pop("PaginationMetadata", None)  # flask-smorest's own, of which nothing is used
        for name, words in about.items():
            if name in found["components"]["schemas"]:
                found["components"]["schemas"][name].setdefault("description", words)
        return choices.named(found)

    @cached_property
    def data(self) -> bytes:
        """The bytes of it as JSON."""
        return json_bytes(self.content)


@cache
def _description_of(*blueprints: Blueprint) -> Description:
    """One description for all applications of the same blueprints."""
    return Description(blueprints)


def _specified(blueprints: Sequence[Blueprint], about: dict[str, str]) -> APISpec:
    """Describe blueprints by an application of their own, which answers nobody; about: what each schema is, by name."""
    app = Flask("sawbill.web.described", static_folder=None)
    app.config.update(
        API_TITLE="Sawbill",
        API_VERSION=ENGINE,
        OPENAPI_VERSION="3.1.0",
        API_SPEC_OPTIONS={
            "info": {"description": DESCRIPTION, "license": {"name": "MIT", "identifier": "MIT"}},
            "servers": [{"url": "/"}],
        },
    )
    plugin = MarshmallowPlugin(schema_name_resolver=lambda schema: _named(schema, about))
    api = Described(app, spec_kwargs={"marshmallow_plugin": plugin})
    _share(api.spec, plugin.converter)
    for blueprint in blueprints:
        api.register_blueprint(blueprint)
    spec: APISpec = api.spec
    return spec


def describe(app: Flask, *blueprints: Blueprint) -> None:
    """Register blueprints with an application, and have them described."""
    for blueprint in blueprints:
        app.register_blueprint(blueprint)
    app.extensions[_DESCRIPTION] = _description_of(*blueprints)


def _share(spec: APISpec, converter: Any) -> None:
    """Describe what stands in several places."""

    def one_of(self: Any, field: fields.Field[Any], **kwargs: Any) -> dict[str, Any]:
        if not isinstance(field, OneOf):
            return {}
        each = {name: converter.resolve_nested_schema(schema) for name, schema in field.schemas.items()}
        mapping = {name: schema["$ref"] for name, schema in each.items()}
        return {"oneOf": [*each.values()], "discriminator": {"propertyName": field.key, "mapping": mapping}}

    converter.add_attribute_function(one_of)
    for schema in (LengthSchema, PriceBookSchema, ComparedDesignAskedSchema, BaselineAskedSchema):
        converter.resolve_nested_schema(schema)
    for name, scheme in SCHEMES.items():
        spec.components.security_scheme(name, dict(scheme))
    for name, each in openapi.PARAMETERS.items():
        spec.components.parameter(name, each["in"], dict(each))
    for name, each in openapi.RESPONSES.items():
        spec.components.response(name, dict(each), lazy=True)


def _named(schema: type[Schema] | Schema | str, about: dict[str, str]) -> str:
    """Name a schema by its class, and note what its docstring says of it."""
    found: Any = resolve_schema_cls(schema)
    name: str = found.__name__.removesuffix("Schema")
    about[name] = inspect.cleandoc(found.__doc__ or "")
    return name


def described() -> Description:
    """Give the description of the application at hand."""
    found: Description = current_app.extensions[_DESCRIPTION]
    return found
