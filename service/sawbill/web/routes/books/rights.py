"""Whose a stored price book is, who else may read and write it, and the way back for one that was deleted."""

from __future__ import annotations

from typing import Any, Final

from flask import Response
from flask_smorest import Blueprint
from marshmallow import Schema

from sawbill.answer.declared.books import BookRights, BookSummary, Shared
from sawbill.answer.declared.fields import PLAIN
from sawbill.asked.request import RequestFault
from sawbill.store.kept.books import UNDO_WINDOW
from sawbill.store.kept.rights import TO
from sawbill.web.admission import callers
from sawbill.web.http import problems
from sawbill.web.http.answers import json_answer
from sawbill.web.http.bodies import read_body
from sawbill.web.http.queries import parameters
from sawbill.web.openapi import JSON, parameter, route
from sawbill.web.routes.books.price_books import ADDRESS, NAME, store_to_write, summary
from sawbill.web.schemas.answered import schema_of
from sawbill.web.schemas.book_rights import GRANT_ASKED, OWNER_ASKED, GrantAskedSchema, OwnerAskedSchema
from sawbill.web.work.quoting import service

book_rights = Blueprint(
    "rights", __name__, description="Who owns a price book, and who else may read or change it."
)  # fmt: skip

RIGHTS: Final = f"{ADDRESS}/rights"
WHOM: Final = [
    *NAME,
    parameter(
        "to",
        "Who it is for: everyone, owner:NAME or group:NAME; whoever runs the service keeps the groups.",
        "owner:ben",
        place="path",
        pattern=f"^(?:{TO.pattern})$",
    ),
]
MAY: Final = ("not-found", "not-yours", "price-book-read-only", *problems.WRITES_STORE)
SENT: Final = ("too-large", "wrong-content-type")


def _body(description: str, schema: type[Schema], example: dict[str, str]) -> dict[str, Any]:
    return {
        "required": True,
        "description": description,
        "content": {JSON: {"schema": schema, "example": example}},
    }


@route(book_rights, f"GET {RIGHTS}", schema_of(BookRights), "The rights.", *MAY, access="price-book", path=NAME)
def get_price_book_rights(name: str) -> Response:
    """Say who else may read and change a price book of yours."""
    parameters()
    return _told(name)


@route(
    book_rights, f"PUT {RIGHTS}/<to>", schema_of(BookRights), "The rights from now on.", *MAY, *SENT,
    access="price-book", path=WHOM, requestBody=_body("What they may do.", GrantAskedSchema, {"may": "read"}),
)  # fmt: skip
def let_price_book(name: str, to: str) -> Response:
    """Let others read a price book of yours, or change it too; this replaces what you let them do before."""
    parameters()
    store, asked = store_to_write(name), read_body(GRANT_ASKED)
    try:
        store.rights.let(name, to, asked["may"], callers.who())
    except ValueError as error:
        raise problems.faulty([RequestFault(("to",), "not-a-name", f"to: {error}")], "parameter") from None
    return _told(name)


@route(
    book_rights, f"DELETE {RIGHTS}/<to>", schema_of(BookRights), "The rights from now on.", *MAY, access="price-book",
    path=WHOM,
)  # fmt: skip
def keep_price_book(name: str, to: str) -> Response:
    """Stop sharing a price book of yours with others."""
    parameters()
    store_to_write(name).rights.keep_from(name, to, callers.who())
    return _told(name)


@route(
    book_rights, f"PATCH {RIGHTS}", None, "", *MAY, *SENT, access="price-book", path=NAME,
    requestBody=_body("Its new owner.", OwnerAskedSchema, {"owner": "ben"}),
    responses={"204": {"description": "It is theirs; those you shared it with still have it."}},
)  # fmt: skip
def give_price_book(name: str) -> Response:
    """Give a price book of yours to another owner, who decides what you may still do with it."""
    parameters()
    store, asked = store_to_write(name), read_body(OWNER_ASKED)
    try:
        store.rights.give(name, asked["owner"], callers.who())
    except ValueError as error:
        raise problems.faulty([RequestFault(("owner",), "not-a-name", f"owner: {error}")]) from None
    return Response(status=204)


@route(
    book_rights, f"POST {ADDRESS}/undelete", schema_of(BookSummary),
    f"It is restored; this works for {UNDO_WINDOW.days} days after it was deleted.", *MAY, *problems.RECKONED,
    access="price-book", path=NAME,
)  # fmt: skip
def undelete_price_book(name: str) -> Response:
    """Bring back a price book that you deleted, with all that it was and whom you shared it with."""
    parameters()
    entry = store_to_write(name).books.undelete(name, callers.who())
    book = service().library.summary(name, entry)
    response = json_answer(summary(name, book, entry), cache="no-store")
    response.set_etag(entry.revision)
    return response


def _told(name: str) -> Response:
    rights = store_to_write(name).rights.of(name, callers.who())
    return json_answer(BookRights.written(Shared(name, rights), PLAIN), cache="no-store")
