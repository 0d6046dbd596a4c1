"""The description of the interface (OpenAPI 3.1), made from the routes and schemas that serve it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, Final, TypeVar

from apispec.ext.marshmallow import MarshmallowPlugin
from flask import Flask, Response, current_app
from flask_smorest import Api, Blueprint
from marshmallow import Schema, fields

from sawbill.answer.quote import ENGINE
from sawbill.web.admission.access import LINK, takes
from sawbill.web.admission.callers import ENOUGH, Access
from sawbill.web.door.refusing import LONGEST_ADDRESS
from sawbill.web.http import problems
from sawbill.web.schemas.comparison import BaselineAskedSchema, ComparedDesignAskedSchema
from sawbill.web.schemas.fields import LengthSchema, OneOf
from sawbill.web.schemas.price_book import PriceBookSchema
from sawbill.web.schemas.problem import ProblemSchema

View = TypeVar("View", bound=Callable[..., Any])

JSON: Final = "application/json"
DESCRIPTION: Final = (
    "Quotes for furniture built from construction lumber: what to buy, how to cut each board, the hardware, and the "
    "total to the last cent, from your own price book. Every length of a request is text with its unit, every length "
    "of an answer has its millimetres and its text. Money is text with the currency's decimals. The same request, "
    "price book and engine give the same bytes. Every error is a problem (RFC 9457). Wherever it goes, what is no HTTP "
    f"is refused with 400, a first line of more than {LONGEST_ADDRESS} bytes with 414, too many or too long headers "
    "with 431."
)
ALWAYS: Final = ("bad-request", "method-not-allowed", "invalid-request", "internal-error")
"""What any address may answer with: for a host not trusted, a wrong method, an unknown parameter, a fault of ours."""
GUARDED: Final = ("token-needed", "token-refused", "too-many-requests", *problems.READS_STORE)
"""What an address that is not open to all may answer with besides: for its caller, and what he has asked for before."""
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


LINE: Final = {
    "type": "string",
    "description": "The status, the kind of problem and each fault, in one line.",
    "examples": ["422 The request has faults: slat_gap is 1 km; it may be 1/2 in to 4 in"],
}
"""What a problem of an address that ends in .txt or .csv is."""


_SHARED: Final[dict[str, Mapping[str, Any]]] = {}
"""Parameters of several addresses, which are described once; filled while the routes are declared."""


_SPEC: Final = "sawbill-description"


class Documented(Api):  # type: ignore[misc]  # untyped
    """The interface's description; errors are answered by `problems` alone."""

    ERROR_SCHEMA = ProblemSchema
    DEFAULT_ERROR_RESPONSE_NAME = None

    def _register_error_handlers(self) -> None:
        """Leave them to `problems.register`."""

    def _register_pagination_header(self) -> None:
        """Describe no pages: there are none."""


def describe(app: Flask, *blueprints: Blueprint) -> None:
    """Register blueprints with an application, and serve the description of them at /openapi.json."""
    app.config.update(
        API_TITLE="Sawbill",
        API_VERSION=ENGINE,
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/",
        OPENAPI_JSON_PATH="openapi.json",
        API_SPEC_OPTIONS={
            "info": {"description": DESCRIPTION, "license": {"name": "MIT", "identifier": "MIT"}},
            "servers": [{"url": "/"}],
        },
    )
    plugin = MarshmallowPlugin()
    api = Documented(app, spec_kwargs={"marshmallow_plugin": plugin})
    converter: Any = plugin.converter

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
        api.spec.components.security_scheme(name, dict(scheme))
    for name, each in _SHARED.items():
        api.spec.components.parameter(name, each["in"], dict(each))
    for blueprint in blueprints:
        api.register_blueprint(blueprint)
    app.extensions[_SPEC] = api.spec
    app.view_functions["api-docs.openapi_json"] = takes("open")(_once(app.view_functions["api-docs.openapi_json"]))


def _once(view: Callable[..., Any]) -> Callable[[], Response]:
    """Have a view make its answer once, for all who ask after: it takes a while, and stays the same."""

    @cache
    def made() -> tuple[bytes, str | None]:
        response = view()
        return response.get_data(), response.mimetype

    def give() -> Response:
        data, mimetype = made()
        return Response(data, mimetype=mimetype)

    return give


def described() -> dict[str, Any]:
    """Give the description of the application at hand, as it is served."""
    found: dict[str, Any] = current_app.extensions[_SPEC].to_dict()
    return found


def route(
    blueprint: Blueprint,
    rule: str,
    schema: type[Schema] | None,
    description: str,
    *kinds: str,
    access: Access,
    path: Sequence[Mapping[str, Any]] = (),
    **operation: Any,
) -> Callable[[View], View]:
    """Serve a method and path, such as `GET /healthz`, by a view, and describe it.

    schema, description: of its answer, schema None where `operation` describes that; kinds: the problems it may
    have beside those of ALWAYS; access: what it takes; path: the parameters of its path; operation: anything else that
    OpenAPI has a word for.
    """
    method, _, address = rule.partition(" ")

    def decorate(view: View) -> View:
        described: Callable[..., Any] = takes(access)(view)
        if schema is not None:
            described = blueprint.response(200, schema, description=description)(described)
        by_status: dict[int, list[str]] = {}
        for kind in dict.fromkeys((*kinds, *_slow(kinds), *_guarded(access), *ALWAYS)):
            by_status.setdefault(problems.KINDS[kind].status, []).append(kind)
        for status, same in sorted(by_status.items(), reverse=True):
            described = blueprint.alt_response(
                status,
                schema=LINE if address.endswith(problems.PLAIN) else ProblemSchema,
                content_type="text/plain" if address.endswith(problems.PLAIN) else problems.CONTENT_TYPE,
                description="; ".join(f"{problems.KINDS[kind].title} (/problems/{kind})" for kind in same),
            )(described)
        security = {"security": _security(access)}
        described = blueprint.doc(operationId=view.__name__, **security, **operation)(described)
        blueprint.route(address, methods=[method], parameters=[*path])(described)
        return view

    return decorate


def _slow(kinds: Sequence[str]) -> Sequence[str]:
    """Give the problem of an address that reads a body, which may come too slowly."""
    return ("too-slow",) if "wrong-content-type" in kinds else ()


def _guarded(access: Access) -> Sequence[str]:
    """Give the problems that come from what an address takes."""
    if access == "open":
        return ()
    return GUARDED if access == "read" else (*GUARDED, "not-allowed")


def _security(access: Access) -> list[dict[str, list[str]]]:
    """Tell what an address takes; one of the list does, and what is empty takes nothing."""
    if access == "open":
        return [{}]
    if access == "read":
        return [{}, {"token": []}]
    taken: list[dict[str, list[str]]] = [{"token": [scope]} for scope in ENOUGH[access]]
    return [*taken, {"link": []}] if access == "stored-quote" else taken


def page(description: str) -> dict[str, Any]:
    """Describe an answer that is a page."""
    example = "<!doctype html>"
    schema = {"type": "string", "description": "The page.", "examples": [example]}
    return {"responses": {"200": {"description": description, "content": {"text/html": {"schema": schema}}}}}


def shared(parameters: Sequence[Mapping[str, Any]]) -> list[str]:
    """Describe parameters once for all addresses that have them, and give what stands for them there."""
    for each in parameters:
        if _SHARED.setdefault(each["name"], each) != each:
            raise ValueError(f"the parameter {each['name']} is shared already, with another description")
    return [each["name"] for each in parameters]


def parameter(name: str, description: str, example: str, *, place: str = "query", **schema: Any) -> dict[str, Any]:
    """Describe a parameter of a path or a query."""
    return {
        "name": name,
        "in": place,
        "required": schema.pop("required", place == "path"),
        "description": description,
        "schema": {"type": "string", **schema},
        "example": example,
    }


UNITS: Final = parameter("units", "The system lengths are written in.", "inch", enum=["inch", "metric"])
