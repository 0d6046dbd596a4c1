"""Whose a price book is, and what its owner lets others do with it."""

from __future__ import annotations

from typing import Any

from marshmallow import fields

from sawbill.store import RIGHTS, BookRights
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Asked, Sent, Text


class GrantAskedSchema(Asked):
    """What others are to be let do."""

    may = Text("read it, or write it too.", "read", required=True, metadata={"enum": list(RIGHTS)})


class OwnerAskedSchema(Asked):
    """To whom a price book is to be given."""

    owner = Text("The owner of a token, by name.", "ben", longest=63, required=True, metadata={"minLength": 1})


class GrantSchema(Sent):
    """What others may do."""

    to = sent.text("Whom it is for: everyone, an owner or the members of a group.", "owner:ben")
    may = sent.text("What they may do.", "read", choices=[*RIGHTS])


class BookRightsSchema(Sent):
    """Whose a price book is, and who else may read or write it."""

    name = sent.text("The price book.", "my-shop")
    owner = sent.text("Whose it is: the owner of a token.", "anna")
    rights: fields.List[Any] = sent.rows(GrantSchema, "Who else may do what, by whom it is for.")


def rights_json(name: str, rights: BookRights) -> dict[str, Any]:
    """Give the rights to a price book as JSON."""
    return {
        "name": name,
        "owner": rights.owner,
        "rights": [{"to": grant.to, "may": grant.may} for grant in rights.grants],
    }
