"""How an address is served and described at once; `described` makes one description of all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, TypeVar

from flask_smorest import Blueprint
from marshmallow import Schema

from sawbill.web.admission.access import takes
from sawbill.web.admission.callers import ENOUGH, Access
from sawbill.web.http import problems
from sawbill.web.schemas.problem import ProblemSchema

View = TypeVar("View", bound=Callable[..., Any])

JSON: Final = "application/json"
ALWAYS: Final = ("bad-request", "method-not-allowed", "invalid-request", "internal-error")
"""What any address may answer with: for a host not trusted, a wrong method, an unknown parameter, a fault of ours."""
GUARDED: Final = ("token-needed", "token-refused", "too-many-requests", *problems.READS_STORE)
"""What an address that is not open to all may answer with besides: for its caller, and what he has asked for before."""
LINE: Final = {
    "type": "string",
    "description": "The status, the kind of problem and each mistake, in one line.",
    "examples": ["422 The request has mistakes in it: slat_gap is 1 km; it may be 1/2 in to 4 in"],
}
"""What a problem of an address that ends in .txt or .csv is."""


PARAMETERS: Final[dict[str, Mapping[str, Any]]] = {}
"""Parameters of several addresses, which are described once; filled while the routes are declared."""
NOT_MODIFIED: Final = "not-modified"
RESPONSES: Final[dict[str, Mapping[str, Any]]] = {
    NOT_MODIFIED: {"description": "Nothing has changed since the tag in If-None-Match."}
}
"""What addresses answer alike, by the names that stand for it there; filled likewise, with the problems."""


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
            name = _problem(same, line=address.endswith(problems.PLAIN))
            described = blueprint.alt_response(status, response=name)(described)
        security = {"security": _security(access)}
        described = blueprint.doc(operationId=view.__name__, **security, **operation)(described)
        blueprint.route(address, methods=[method], parameters=[*path])(described)
        return view

    return decorate


def _problem(kinds: Sequence[str], *, line: bool) -> str:
    """Describe the problems of one status once for all addresses that have just these, and give their name."""
    told = [kind for kind in problems.KINDS if kind in kinds]
    name = ".".join([*told, *(["line"] if line else [])])
    content = {"text/plain": {"schema": LINE}} if line else {problems.CONTENT_TYPE: {"schema": ProblemSchema}}
    description = "; ".join(f"{problems.KINDS[kind].title} (/problems/{kind})" for kind in told)
    RESPONSES[name] = {"description": description, "content": content}
    return name


def _slow(kinds: Sequence[str]) -> Sequence[str]:
    """Give the problem of an address that reads a body, which may come too slowly."""
    return ("too-slow",) if "wrong-content-type" in kinds else ()


def _guarded(access: Access) -> Sequence[str]:
    """Give the problems that come from what an address takes."""
    if access == "open":
        return ()
    return GUARDED if access == "read" else (*GUARDED, "not-allowed")


def _security(access: Access) -> list[dict[str, list[str]]]:
    """Tell what an address takes: one of the list, of which an empty one is nothing; without a list, nothing ever."""
    if access == "open":
        return []
    if access == "read":
        return [{}, {"token": []}]
    taken: list[dict[str, list[str]]] = [{"token": [scope]} for scope in ENOUGH[access]]
    return [*taken, {"link": []}] if access == "stored-quote" else taken


def page(description: str) -> dict[str, Any]:
    """Describe an answer that is a page."""
    schema = {"type": "string", "description": "The page.", "examples": ["<!doctype html>"]}
    return {"responses": {"200": {"description": description, "content": {"text/html": {"schema": schema}}}}}


def shared(parameters: Sequence[Mapping[str, Any]]) -> list[str]:
    """Describe parameters once for all addresses that have them, and give what stands for them there."""
    for each in parameters:
        if PARAMETERS.setdefault(each["name"], each) != each:
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


UNITS: Final = parameter("units", "Inch or metric lengths.", "inch", enum=["inch", "metric"])
