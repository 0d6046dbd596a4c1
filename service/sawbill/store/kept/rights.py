"""What the owners of price books let others do with them, and the groups that they may name."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from sqlalchemy import delete, select, update

from sawbill.store.kept.books import owned
from sawbill.store.kept.reach import EVERYONE, GROUP, OWNER
from sawbill.store.sql import database
from sawbill.store.sql.database import Database, insert_new
from sawbill.store.sql.schema import BOOKS, GRANTS, MEMBERS
from sawbill.store.values import BookRights, Grant, Right, Who

NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,62}", re.ASCII)
"""What an owner or a group may be called."""
NAMED: Final = "lower-case letters, digits and hyphens, 63 at most, such as anna"
TO: Final = re.compile(rf"{EVERYONE}|(?:{OWNER}|{GROUP}){NAME.pattern}", re.ASCII)
"""How it is written whom a grant is for."""
MOST_GRANTS: Final = 200
"""For how many a book may have one each."""


class Rights:
    """Whose a price book is, and what its owner lets others do. Each method takes who asks: its owner alone may.

    All raise UnknownStoredBookError and NotYoursError.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def of(self, name: str, who: Who) -> BookRights:
        """Tell whose a book is, and what others may do with it."""
        with self._database.read() as connection:
            row = owned(connection, name, who, hold=False)
            query = select(GRANTS.c.to, GRANTS.c.may).where(GRANTS.c.book == name).order_by(GRANTS.c.to)
            return BookRights(row.owner, tuple(Grant(each.to, each.may) for each in connection.execute(query)))

    def let(self, name: str, to: str, may: Right, who: Who) -> None:
        """Let somebody read or write a book, in place of what he was let before.

        Raises ValueError: `to` is nobody's name; a book has no more than MOST_GRANTS.
        """
        if not TO.fullmatch(to):
            raise ValueError(f"write {EVERYONE}, {OWNER}NAME or {GROUP}NAME, a name in {NAMED}")
        with self._database.write() as connection:
            owned(connection, name, who)
            others = connection.execute(select(GRANTS.c.to).where(GRANTS.c.book == name, GRANTS.c.to != to)).all()
            if len(others) >= MOST_GRANTS:
                raise ValueError(f"share a price book with {MOST_GRANTS} at most; name a group instead of its members")
            row = database.insert(connection, GRANTS).values(book=name, to=to, may=may)
            connection.execute(
                row.on_conflict_do_update(index_elements=[GRANTS.c.book, GRANTS.c.to], set_={"may": may})
            )

    def keep_from(self, name: str, to: str, who: Who) -> None:
        """Let somebody do nothing with a book any more that he was let; others who name him are not touched."""
        with self._database.write() as connection:
            owned(connection, name, who)
            connection.execute(delete(GRANTS).where(GRANTS.c.book == name, GRANTS.c.to == to))

    def give(self, name: str, owner: str, who: Who) -> None:
        """Give a book to another owner; what others were let stays. Raises ValueError: that is no owner's name."""
        if not NAME.fullmatch(owner):
            raise ValueError(f"an owner is written in {NAMED}")
        with self._database.write() as connection:
            owned(connection, name, who)
            connection.execute(update(BOOKS).where(BOOKS.c.name == name).values(owner=owner))


class Groups:
    """Owners by groups, which the operator keeps: who shares a book with a group shares it with its members."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def list(self) -> dict[str, tuple[str, ...]]:
        """List the groups by name, each with its members."""
        found: dict[str, tuple[str, ...]] = {}
        with self._database.read() as connection:
            for row in connection.execute(select(MEMBERS).order_by(MEMBERS.c.group, MEMBERS.c.owner)):
                found[row.group] = (*found.get(row.group, ()), row.owner)
        return found

    def add(self, group: str, owners: Iterable[str]) -> None:
        """Add members to a group, which there need not be yet. Raises ValueError: a name is not right."""
        names = (group, *owners)
        wrong = [name for name in names if not NAME.fullmatch(name)]
        if wrong:
            raise ValueError(f"{', '.join(wrong)}: a group and its members are written in {NAMED}")
        with self._database.write() as connection:
            for owner in names[1:]:
                insert_new(connection, MEMBERS, {"group": group, "owner": owner})

    def remove(self, group: str, owners: Iterable[str]) -> None:
        """Take members out of a group; one without any is gone."""
        with self._database.write() as connection:
            connection.execute(delete(MEMBERS).where(MEMBERS.c.group == group, MEMBERS.c.owner.in_(list(owners))))
