"""Revisions of 128 bits in place of 64, of which two contents with the same could be searched for."""

from __future__ import annotations

import hashlib

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

REVISIONS = sa.table("revisions", *map(sa.column, ("revision", "content", "stored", "short")))
POINTING = [sa.table(name, sa.column("revision")) for name in ("books", "book_history", "quotes")]


def upgrade() -> None:
    """Rename every revision, and keep its old name beside it, by which addresses of then find it."""
    op.add_column("revisions", sa.Column("short", sa.String()))
    op.create_index("ix_revisions_short", "revisions", ["short"], unique=True)
    for name in op.get_bind().execute(sa.select(REVISIONS.c.revision)).scalars().all():
        _rename(op.get_bind(), name)


def _rename(connection: sa.Connection, old: str) -> None:
    """Rename one; what is not what its name says is left as it is, and is told of when somebody reads it."""
    found = sa.select(REVISIONS.c.content).where(REVISIONS.c.revision == old)
    new = hashlib.sha256(bytes(connection.execute(found).scalar_one())).hexdigest()[:32]
    if not new.startswith(old):
        return
    renamed = sa.select(sa.literal(new), REVISIONS.c.content, REVISIONS.c.stored, sa.literal(old))
    copied = sa.insert(REVISIONS).from_select(list(REVISIONS.c.keys()), renamed.where(REVISIONS.c.revision == old))
    connection.execute(copied)
    for table in POINTING:
        connection.execute(sa.update(table).where(table.c.revision == old).values(revision=new))
    connection.execute(sa.delete(REVISIONS).where(REVISIONS.c.revision == old))
