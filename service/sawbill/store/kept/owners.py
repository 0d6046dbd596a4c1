"""All that an owner keeps, counted and handed over as one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sqlalchemy import Table, delete, exists, func, select, update

from sawbill.store.kept.reach import OWNER
from sawbill.store.kept.rights import NAME, NAMED
from sawbill.store.sql.database import Database
from sawbill.store.sql.schema import BOOKS, GRANTS, JOBS, KEYS, QUOTES

COUNTED: Final[Mapping[str, Table]] = {"quotes": QUOTES, "price books": BOOKS, "jobs": JOBS}
"""What belongs to an owner, each with its table."""


class Owners:
    """What each owner keeps."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def kept_by(self, owner: str) -> dict[str, int]:
        """Count what an owner keeps, by the words of COUNTED, deleted price books among them."""
        with self._database.read() as connection:
            return {
                what: connection.execute(
                    select(func.count()).select_from(table).where(table.c.owner == owner)
                ).scalar_one()
                for what, table in COUNTED.items()
            }

    def hand_over(self, old: str, new: str) -> dict[str, int]:
        """Give all that one owner keeps to another, at once or not at all, and count it as `kept_by` does.

        Who wrote a revision stays as it was written. What others let the old owner do, they do not let the new one. An
        idempotency key that both have used names the new owner's quote alone.
        Raises ValueError: no owner can be called so, or both are one.
        """
        if not NAME.fullmatch(new):
            raise ValueError(f"an owner is written in {NAMED}")
        if old == new:
            raise ValueError(f"{old} has it all already; name another owner")
        theirs = KEYS.alias()
        twice = exists().where(theirs.c.owner == new, theirs.c.key == KEYS.c.key)
        with self._database.write() as connection:
            connection.execute(delete(KEYS).where(KEYS.c.owner == old, twice))
            connection.execute(update(KEYS).where(KEYS.c.owner == old).values(owner=new))
            found = {
                what: connection.execute(update(table).where(table.c.owner == old).values(owner=new)).rowcount
                for what, table in COUNTED.items()
            }
            own = select(BOOKS.c.name).where(BOOKS.c.owner == new)
            connection.execute(delete(GRANTS).where(GRANTS.c.to == OWNER + new, GRANTS.c.book.in_(own)))
        return found
