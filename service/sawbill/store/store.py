"""The door of the store."""

from __future__ import annotations

from pathlib import Path
from typing import Self

from sqlalchemy import text

from sawbill.store.clock import Clock, system_clock
from sawbill.store.errors import StoreError, StoreNotAtHeadError
from sawbill.store.kept.books import Books
from sawbill.store.kept.jobs import Jobs
from sawbill.store.kept.limits import Limits
from sawbill.store.kept.links import Links
from sawbill.store.kept.owners import Owners
from sawbill.store.kept.parts import Parts
from sawbill.store.kept.quotes import Quotes
from sawbill.store.kept.rights import Groups, Rights
from sawbill.store.kept.sessions import Sessions
from sawbill.store.kept.tokens import Tokens
from sawbill.store.sql import backups, migrating
from sawbill.store.sql.database import Database
from sawbill.store.sql.migrating import State
from sawbill.store.sql.probing import Probe


class Store:
    """Everything that is kept: see the package's docstring."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._probe = database, Probe(database)
        self.books = Books(database, clock)
        self.rights = Rights(database)
        self.groups = Groups(database)
        self.quotes = Quotes(database, clock)
        self.tokens = Tokens(database, clock)
        self.sessions = Sessions(database, clock)
        self.owners = Owners(database)
        self.links = Links(database, clock)
        self.limits = Limits(database, clock)
        self.jobs = Jobs(database, clock)
        self.parts = Parts(database)

    @classmethod
    def open(cls, where: str | Path, clock: Clock = system_clock) -> Self:
        """Open a store: a data folder, or an address that begins with postgresql+psycopg://.

        Nothing is read or made yet. Raises StoreError: the address is of another kind.
        """
        return cls(Database(where), clock)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections of this process; the next use opens others. To be called before a fork."""
        self._database.close()

    def state(self) -> State:
        """Tell how its tables stand to this version: new, behind, head or ahead. Raises StoreError."""
        return migrating.state(self._database)

    def migrate(self) -> State:
        """Bring its tables to this version, making a data folder where there is none, and give how they stood.

        Raises StoreNotAtHeadError: a newer version made them. StoreError.
        """
        before = migrating.migrate(self._database)
        if before == "ahead":
            raise StoreNotAtHeadError(_remedy(before))
        return before

    def prepare(self) -> None:
        """See that it can be used: what a service does when it starts. A new data folder gets its tables here.

        Raises StoreNotAtHeadError: its tables have to be migrated first, by a command of its own, for that takes a
        backup and everybody's attention. StoreError.
        """
        found = self.state()
        if found == "new" and self._database.file is not None:
            found = "head" if self.migrate() in ("new", "head") else found
        if found != "head":
            raise StoreNotAtHeadError(_remedy(found))
        if self._database.reserve is not None:
            self._database.reserve.lay()

    def check(self) -> None:
        """See that it is at head, can be written, has room and is not damaged, as a probe asks. Raises StoreError."""
        found = self.state()
        if found != "head":
            raise StoreNotAtHeadError(_remedy(found))
        self._probe.check()

    def back_up(self, target: Path) -> None:
        """Copy a store in a data folder into one file while it is in use. Raises StoreError."""
        if self._database.file is None:
            raise StoreError("back up a store in PostgreSQL with pg_dump, and restore it with pg_restore")
        backups.back_up(self._database.file, target)

    def faults(self) -> list[str]:
        """Look through the whole of a store in a data folder, and list what is damaged. Raises StoreError."""
        if self._database.file is None:
            raise StoreError("check a store in PostgreSQL with pg_amcheck")
        with self._database.read() as connection:
            told = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
            stray = [
                f"a row of {row[0]} points to nothing" for row in connection.execute(text("PRAGMA foreign_key_check"))
            ]
        return [*(line for line in told if line != "ok"), *stray]


def restore(backup: Path, folder: Path) -> None:
    """Make a store of a backup in a folder that is empty or not there yet. Raises StoreError."""
    backups.restore(backup, folder)


def _remedy(found: State) -> str:
    remedies = {
        "new": "the store has no tables yet; run `sawbill migrate`",
        "behind": "the store's tables are from an older version; take a backup, then run `sawbill migrate`",
        "ahead": "the store's tables are from a newer version; run that version, or restore an older backup",
    }
    return remedies[found]
