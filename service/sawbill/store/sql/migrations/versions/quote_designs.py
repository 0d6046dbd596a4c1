"""The designs of a quote, by which a list of quotes may be asked."""

from __future__ import annotations

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add the column, filled from the requests that are stored."""
    op.add_column("quotes", sa.Column("designs", sa.String(), nullable=False, server_default=""))
    quotes = sa.table("quotes", sa.column("number"), sa.column("request", sa.LargeBinary), sa.column("designs"))
    connection = op.get_bind()
    for number in connection.execute(sa.select(quotes.c.number)).scalars().all():
        request = connection.execute(sa.select(quotes.c.request).where(quotes.c.number == number)).scalar_one()
        connection.execute(quotes.update().where(quotes.c.number == number).values(designs=_designs(bytes(request))))


def _designs(request: bytes) -> str:
    """Their names in order, a space before, between and after; nothing where there are none."""
    lines = json.loads(request).get("lines", ())
    names = sorted({line["design"] for line in lines if "design" in line})
    return f" {' '.join(names)} " if names else ""
