"""Whether a store can be used: it is read and written to find out, and its file looked through now and then."""

from __future__ import annotations

import sqlite3
import threading
import time
from contextlib import closing
from pathlib import Path
from typing import Final

from sqlalchemy import text

from sawbill.store.errors import StoreDamagedError, StoreFullError
from sawbill.store.sql.database import WAIT, Database
from sawbill.store.sql.driver_errors import told
from sawbill.store.sql.reserve import LEAST_ROOM

HELD: Final = 1.0
"""How long what was found is told again, so that nobody wears the disk out by asking [s]."""
LOOK_EVERY: Final = 60.0
"""How often a file is looked through, at most [s]."""
SHARE: Final = 100
"""And so seldom that it takes no more than one part in so many of the time."""


class Probe:
    """Looks whether a database can be used; one in each process."""

    def __init__(self, database: Database) -> None:
        self._database = database
        self._lock = threading.Lock()
        self._good_until = self._look_next = 0.0

    def check(self) -> None:
        """See that it can be written, has room left, and is not damaged. Raises StoreError."""
        with self._lock:
            if time.monotonic() < self._good_until:
                return
            self._write()
            if self._database.file is not None and self._database.reserve is not None:
                self._look_through(self._database.file)
                self._database.reserve.lay()
                if self._database.reserve.room() < LEAST_ROOM:
                    raise StoreFullError(f"its disk has less than {LEAST_ROOM // 1_000_000} MB left; make room on it")
            self._good_until = time.monotonic() + HELD

    def _write(self) -> None:
        """Write what is there already: the least that must go through."""
        with self._database.write() as connection:
            connection.execute(text("UPDATE alembic_version SET version_num = version_num"))

    def _look_through(self, file: Path) -> None:
        """Look through a file, as it is on the disk and not as some connection remembers it."""
        if time.monotonic() < self._look_next:
            return
        began = time.monotonic()
        with told(), closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=rw", uri=True, timeout=WAIT)) as fresh:
            found = fresh.execute("PRAGMA quick_check(1)").fetchone()
        if found != ("ok",):
            raise StoreDamagedError("the store's file is damaged; restore the last backup")
        now = time.monotonic()
        self._look_next = now + max(LOOK_EVERY, SHARE * (now - began))
