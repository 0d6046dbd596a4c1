"""Links that read one stored quote, or one table of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from marshmallow import fields

from sawbill.answer.tables import TABLES
from sawbill.store import Link
from sawbill.trade.kinds import Text, Whole
from sawbill.trade.members import Group, Member, members
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.declared import schema_of
from sawbill.web.schemas.fields import Sent

MOST_DAYS: Final = 3650
_TIME: Final = "2026-11-25T15:04:05.678901Z"


LINK_ASKED: Final = Group("LinkAsked", "A link that is to be made.", members(
    Member(
        "table", Text(words=tuple(TABLES)), "The one table that it reads; unset: the whole quote, its values and all "
        "its tables.", "cut-list",
    ),
    Member(
        "days", Whole(1, MOST_DAYS),
        "After how many days it ends; unset: when it is revoked, or its quote deleted [days].", 90,
    ),
))  # fmt: skip
LinkAskedSchema: Final = schema_of(LINK_ASKED)


class LinkSchema(Sent):
    """A link, less its secret."""

    id = sent.text("Its id, by which it is revoked; it opens nothing.", "7c1d0a94e6b2f85303aa")
    table = sent.text("The one table that it reads; null: the whole quote.", "cut-list", none=True)
    made = sent.text("When it was made (RFC 3339, UTC).", _TIME)
    expires = sent.text("When it ends (RFC 3339, UTC); null: not by itself.", _TIME, none=True)
    revoked = sent.text("When it was revoked (RFC 3339, UTC); null: it was not.", _TIME, none=True)


class NewLinkSchema(LinkSchema):
    """A link as it is made, with its secret, which cannot be had again."""

    secret = sent.text("Its secret, to be sent as ?link=…", "sawbill_…")
    address = sent.text(
        "An address that it opens; its other forms have their suffixes.",
        "/v1/quotes/1f0c9a5be2d47a8036cd/cut-list.csv?link=sawbill_…",
    )


class LinkListSchema(Sent):
    """The links to a quote."""

    links: fields.List[Any] = sent.rows(
        LinkSchema, "The links, the oldest first, those that open nothing any more too."
    )


def link_json(link: Link) -> dict[str, Any]:
    """Give a link as JSON."""
    return {
        "id": link.id,
        "table": link.table,
        "made": _time(link.made),
        "expires": _time(link.expires),
        "revoked": _time(link.revoked),
    }


def new_link_json(link: Link, secret: str) -> dict[str, Any]:
    """Give a new link as JSON, with its secret."""
    table = f"{link.table}.csv" if link.table else "shopping-list.csv"
    return {**link_json(link), "secret": secret, "address": f"/v1/quotes/{link.quote}/{table}?link={secret}"}


def _time(time: datetime | None) -> str | None:
    return None if time is None else time.isoformat(timespec="microseconds").replace("+00:00", "Z")
