"""Whose a price book is, and what its owner lets others do with it."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import fields

from sawbill.store import RIGHTS, BookRights
from sawbill.trade.declaring.kinds import Text
from sawbill.trade.declaring.members import Group, Member, members
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.declared import schema_of
from sawbill.web.schemas.fields import Sent

GRANT_ASKED: Final = Group("GrantAsked", "What others are to be let do.", members(
    Member("may", Text(words=tuple(RIGHTS)), "What they may do: read it, or write it too.", "read", required=True),
))  # fmt: skip
OWNER_ASKED: Final = Group("OwnerAsked", "To whom a price book is to be given.", members(
    Member("owner", Text(63, least=1), "The owner of a token, by name.", "ben", required=True),
))  # fmt: skip
GrantAskedSchema: Final = schema_of(GRANT_ASKED)
OwnerAskedSchema: Final = schema_of(OWNER_ASKED)


class GrantSchema(Sent):
    """What others may do."""

    to = sent.text("Whom it is for: everyone, an owner or the members of a group.", "owner:ben")
    may = sent.text("Whether they may read it, or write it too.", "read", choices=[*RIGHTS])


class BookRightsSchema(Sent):
    """Whose a price book is, and who else may read or write it."""

    name = sent.text("The price book, by name.", "my-shop")
    owner = sent.text("Whose it is: the owner of a token.", "anna")
    rights: fields.List[Any] = sent.rows(GrantSchema, "Who else may do what, by whom it is for.")


def rights_json(name: str, rights: BookRights) -> dict[str, Any]:
    """Give the rights to a price book as JSON."""
    return {
        "name": name,
        "owner": rights.owner,
        "rights": [{"to": grant.to, "may": grant.may} for grant in rights.grants],
    }
