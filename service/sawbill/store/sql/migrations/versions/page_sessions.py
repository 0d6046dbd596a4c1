"""Who is signed in to the pages: a browser's session, opened with a token."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the table; nobody is signed in."""
    op.create_table(
        "sessions",
        sa.Column("secret", sa.String(), nullable=False),
        sa.Column("token", sa.String(), nullable=False),
        sa.Column("over_tls", sa.Boolean(), nullable=False),
        sa.Column("began", sa.BigInteger(), nullable=False),
        sa.Column("ends", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["token"], ["tokens.id"], name=op.f("fk_sessions_token"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("secret", name=op.f("pk_sessions")),
    )
    op.create_index("ix_sessions_token", "sessions", ["token"])
    op.create_index("ix_sessions_ends", "sessions", ["ends"])
