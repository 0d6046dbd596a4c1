"""Who reaches which price book: the one place where that is decided, as conditions for the database to decide by."""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import ColumnElement, Label, and_, case, exists, false, literal, or_, select, true

from sawbill.store.sql.schema import BOOKS, GRANTS, MEMBERS
from sawbill.store.values import Right, Who

EVERYONE: Final = "everyone"
OWNER: Final = "owner:"
GROUP: Final = "group:"
"""How a grant names whom it is for: everyone, who may have no token at all; an owner; the members of a group."""


def owns(who: Who) -> ColumnElement[bool]:
    """Whether a book is theirs, deleted or not."""
    if who.everything:
        return true()
    return BOOKS.c.owner == who.owner if who.owner else false()


def reads(who: Who) -> ColumnElement[bool]:
    """Whether a book is there for them."""
    return and_(BOOKS.c.deleted.is_(None), or_(owns(who), _granted(who)))


def writes(who: Who) -> ColumnElement[bool]:
    """Whether they may write the next revision of a book."""
    return and_(BOOKS.c.deleted.is_(None), or_(owns(who), _granted(who, "write")))


def may(who: Who) -> Label[Any]:
    """What they may do with a book that they read: read, write or own it."""
    return case((owns(who), "own"), (_granted(who, "write"), "write"), else_="read").label("may")


def _granted(who: Who, right: Right | None = None) -> ColumnElement[bool]:
    """Whether a book's owner lets them do something, None: anything."""
    groups = exists().where(MEMBERS.c.owner == who.owner, literal(GROUP) + MEMBERS.c.group == GRANTS.c.to)
    theirs = [GRANTS.c.to == EVERYONE]
    theirs += [GRANTS.c.to == OWNER + who.owner, groups] if who.owner else []
    enough = [] if right is None else [GRANTS.c.may == right]
    return exists(select(GRANTS.c.to).where(GRANTS.c.book == BOOKS.c.name, or_(*theirs), *enough))
