"""When each owner last had a turn, so that jobs are taken from one after the other."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table; nobody has had a turn."""
    op.create_table(
        "job_turns",
        sa.Column("owner", sa.String(), nullable=False),
        sa.Column("taken", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("owner", name=op.f("pk_job_turns")),
    )
