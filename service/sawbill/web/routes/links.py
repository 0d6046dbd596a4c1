"""Links to stored quotes: made, listed and revoked by the quote's owner, for sheets that can send no token."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

from flask import Response
from flask_smorest import Blueprint

from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.kept import LinkList, NewLink, new_link_json
from sawbill.web.admission import callers
from sawbill.web.http.answers import json_answer
from sawbill.web.http.bodies import read_body
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.openapi import JSON, parameter, route
from sawbill.web.routes.quotes import ID, READS, WRITES
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.links import LINK_ASKED, LinkAskedSchema

links = Blueprint("links", __name__, description="Addresses that give one stored quote without a token.")

ADDRESS: Final = "/v1/quotes/<quote_id>/links"
LINK_ID: Final = parameter("link_id", "The link, by its id.", "7c1d0a94e6b2f85303aa", place="path")
BODY: Final = {
    "required": True,
    "description": "What it gives, and for how long; {} for the whole quote until it is revoked.",
    "content": {JSON: {"schema": LinkAskedSchema, "example": {"table": "cut-list", "days": 90}}},
}


@route(
    links,
    f"POST {ADDRESS}",
    None,
    "",
    *WRITES,
    "too-large",
    "wrong-content-type",
    access="quote",
    path=ID,
    requestBody=BODY,
    responses={
        "201": {
            "description": "The link, with its secret, shown only this once.",
            "content": {JSON: {"schema": schema_of(NewLink)}},
        }
    },
)
def make_link(quote_id: str) -> Response:
    """Make a link that reads a stored quote, or one table of it, without a token: whoever has it can read that."""
    parameters()
    asked = read_body(LINK_ASKED)
    days = asked.get("days")
    expires = None if days is None else datetime.now(UTC) + timedelta(days=days)
    made, secret = kept.store().links.make(quote_id, callers.reach(), asked.get("table"), expires)
    response = json_answer(new_link_json(made, secret), cache="no-store")
    response.status_code = 201
    return response


@route(links, f"GET {ADDRESS}", schema_of(LinkList), "The links.", *READS, access="kept", path=ID)
def list_links(quote_id: str) -> Response:
    """List the links to a stored quote, without their secrets."""
    parameters()
    found = kept.store().links.list(quote_id, callers.reach())
    return json_answer(LinkList.written(found, PLAIN), cache="no-store")


@route(
    links,
    f"DELETE {ADDRESS}/<link_id>",
    None,
    "",
    *WRITES,
    access="quote",
    path=[*ID, LINK_ID],
    responses={"204": {"description": "The link no longer works."}},
)
def revoke_link(quote_id: str, link_id: str) -> Response:
    """Revoke a link: it opens nothing from now on."""
    parameters()
    store, owner = kept.store(), callers.reach()
    if all(each.id != link_id for each in store.links.list(quote_id, owner)):
        raise Problem("not-found", "this quote has no link with this id")
    store.links.revoke(link_id, owner)
    return Response(status=204)
