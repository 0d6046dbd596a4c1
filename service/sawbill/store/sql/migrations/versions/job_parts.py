"""What jobs come to in parts, kept as they come: so many rows each."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Make the table; what jobs came to before is whole, and stays where it is."""
    op.add_column("jobs", sa.Column("rows", sa.Integer(), nullable=False, server_default="0"))
    op.add_column("jobs", sa.Column("tries", sa.Integer(), nullable=False, server_default="0"))
    op.add_column("jobs", sa.Column("maker", sa.String(), nullable=False, server_default=""))
    op.create_table(
        "job_parts",
        sa.Column("job", sa.String(), nullable=False),
        sa.Column("stage", sa.String(), nullable=False),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name=op.f("fk_job_parts_job"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job", "stage", "first", name=op.f("pk_job_parts")),
    )
