"""The tables of a store, brought from what an older version made to what this one needs."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, Literal

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

from sawbill.store.sql.database import Database, create_file

State = Literal["new", "behind", "head", "ahead"]
"""How a store stands to this version: without tables, older, the same, or newer."""

_FOLDER: Final = Path(__file__).parent / "migrations"
_LOCK: Final = 7_209_455_501
"""Names the lock in PostgreSQL that lets one migration run at a time; any number no one else uses."""


def state(database: Database) -> State:
    """Tell how a store stands to this version. Raises StoreError: it cannot be read."""
    if database.file is not None and not database.file.exists():
        return "new"
    with database.read() as connection:
        return _state(connection)


def migrate(database: Database) -> State:
    """Bring a store to this version's tables, all at once or not at all, and give how it stood.

    A store that is newer is left as it is. Raises StoreError.
    """
    if database.file is not None:
        create_file(database.file)
    with database.write() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET LOCAL lock_timeout = '60s'"))
            connection.execute(text("SET LOCAL statement_timeout = 0"))
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        before = _state(connection)
        if before in ("new", "behind"):
            command.upgrade(_config(connection=connection), "head")
    return before


def _state(connection: Connection) -> State:
    scripts = ScriptDirectory.from_config(_config())
    found = MigrationContext.configure(connection).get_current_revision()
    if found is None:
        return "new"
    if found == scripts.get_current_head():
        return "head"
    return "behind" if found in {script.revision for script in scripts.walk_revisions()} else "ahead"


def _config(**attributes: Any) -> Config:
    config = Config(attributes=attributes)
    config.set_main_option("script_location", str(_FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config
