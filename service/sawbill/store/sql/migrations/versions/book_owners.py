"""Price books with owners, whom they let read and write them, and deletion that can be undone."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"

BOOKS = sa.table("books", *map(sa.column, ("name", "sequence", "owner")))
HISTORY = sa.table("book_history", *map(sa.column, ("name", "sequence", "by")))


def upgrade() -> None:
    """Add columns and tables; a book of before belongs to who wrote it last, and nobody else reads it yet."""
    op.add_column("books", sa.Column("owner", sa.String(), nullable=False, server_default=""))
    op.add_column("books", sa.Column("deleted", sa.BigInteger()))
    wrote_last = sa.select(HISTORY.c.by).where(HISTORY.c.name == BOOKS.c.name, HISTORY.c.sequence == BOOKS.c.sequence)
    op.execute(sa.update(BOOKS).values(owner=wrote_last.scalar_subquery()))
    op.create_table(
        "book_grants",
        sa.Column("book", sa.String(), nullable=False),
        sa.Column("to", sa.String(), nullable=False),
        sa.Column("may", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["book"], ["books.name"], name=op.f("fk_book_grants_book"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("book", "to", name=op.f("pk_book_grants")),
    )
    op.create_table(
        "group_members",
        sa.Column("group", sa.String(), nullable=False),
        sa.Column("owner", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("group", "owner", name=op.f("pk_group_members")),
    )
