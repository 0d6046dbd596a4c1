"""Data folders that have their tables: to make these takes longer than most tests which need them."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from sawbill.store import Store
from sawbill.store.sql.database import FILE, create_file


@cache
def _tables() -> bytes:
    """A file with every table and nothing in them, as migrations make it."""
    with TemporaryDirectory() as folder:
        with Store.open(folder) as store:
            store.migrate()
        return (Path(folder) / FILE).read_bytes()


def with_tables(folder: Path) -> Path:
    """Make a data folder with all tables, by a copy of those that were made first."""
    create_file(folder / FILE)
    (folder / FILE).write_bytes(_tables())
    return folder
