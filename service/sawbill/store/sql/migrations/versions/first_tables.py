"""The first tables."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first tables."""
    _jobs()
    _limits()
    _revisions()
    _tokens()
    _books()
    _quotes()
    _book_history()
    _idempotency_keys()
    _links()


def _jobs() -> None:
    op.create_table(
        "jobs",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("owner", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("lease", sa.BigInteger()),
        sa.Column("request", sa.LargeBinary(), nullable=False),
        sa.Column("result", sa.LargeBinary()),
        sa.Column("detail", sa.String(), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_jobs")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_jobs_id", "jobs", ["id"], unique=True)
    op.create_index("ix_jobs_state", "jobs", ["state", "number"], unique=False)


def _limits() -> None:
    op.create_table(
        "limits",
        sa.Column("bucket", sa.String(), nullable=False),
        sa.Column("full_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("bucket", name=op.f("pk_limits")),
    )
    op.create_index(op.f("ix_limits_full_at"), "limits", ["full_at"], unique=False)


def _revisions() -> None:
    op.create_table(
        "revisions",
        sa.Column("revision", sa.String(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("stored", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("revision", name=op.f("pk_revisions")),
    )


def _tokens() -> None:
    op.create_table(
        "tokens",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("secret", sa.String(), nullable=False),
        sa.Column("owner", sa.String(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("scopes", sa.String(), nullable=False),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("expires", sa.BigInteger()),
        sa.Column("revoked", sa.BigInteger()),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tokens")),
    )
    op.create_index("ix_tokens_secret", "tokens", ["secret"], unique=True)


def _books() -> None:
    op.create_table(
        "books",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("sequence", sa.BigInteger(), nullable=False),
        sa.Column("revision", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["revision"], ["revisions.revision"], name=op.f("fk_books_revision")),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_books")),
    )


def _quotes() -> None:
    op.create_table(
        "quotes",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("owner", sa.String(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("book", sa.String(), nullable=False),
        sa.Column("revision", sa.String(), nullable=False),
        sa.Column("engine", sa.String(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("total", sa.String(), nullable=False),
        sa.Column("request", sa.LargeBinary(), nullable=False),
        sa.Column("result", sa.LargeBinary(), nullable=False),
        sa.Column("stored", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["revision"], ["revisions.revision"], name=op.f("fk_quotes_revision")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_quotes")),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_quotes_id", "quotes", ["id"], unique=True)
    op.create_index("ix_quotes_owner", "quotes", ["owner", "number"], unique=False)
    op.create_index(op.f("ix_quotes_revision"), "quotes", ["revision"], unique=False)


def _book_history() -> None:
    op.create_table(
        "book_history",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("sequence", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("revision", sa.String(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("stored", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["name"], ["books.name"], name=op.f("fk_book_history_name"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["revision"], ["revisions.revision"], name=op.f("fk_book_history_revision")),
        sa.PrimaryKeyConstraint("name", "sequence", name=op.f("pk_book_history")),
    )
    op.create_index(op.f("ix_book_history_revision"), "book_history", ["revision"], unique=False)


def _idempotency_keys() -> None:
    op.create_table(
        "idempotency_keys",
        sa.Column("owner", sa.String(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column("quote", sa.String(), nullable=False),
        sa.Column("stored", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["quote"],
            ["quotes.id"],
            name=op.f("fk_idempotency_keys_quote"),
            ondelete="CASCADE",
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("owner", "key", name=op.f("pk_idempotency_keys")),
    )
    op.create_index(op.f("ix_idempotency_keys_quote"), "idempotency_keys", ["quote"], unique=False)
    op.create_index(op.f("ix_idempotency_keys_stored"), "idempotency_keys", ["stored"], unique=False)


def _links() -> None:
    op.create_table(
        "links",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("secret", sa.String(), nullable=False),
        sa.Column("quote", sa.String(), nullable=False),
        sa.Column("table", sa.String()),
        sa.Column("made", sa.BigInteger(), nullable=False),
        sa.Column("expires", sa.BigInteger()),
        sa.Column("revoked", sa.BigInteger()),
        sa.ForeignKeyConstraint(["quote"], ["quotes.id"], name=op.f("fk_links_quote"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_links")),
    )
    op.create_index(op.f("ix_links_quote"), "links", ["quote"], unique=False)
    op.create_index("ix_links_secret", "links", ["secret"], unique=True)
