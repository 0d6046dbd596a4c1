"""The tables, as this version reads and writes them; how they came to be is told by the migrations.

Money is text as printed, a time is whole microseconds since 1970 UTC, a secret is only there as its hash.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any, Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    TypeDecorator,
)

_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND: Final = timedelta(microseconds=1)


class Instant(TypeDecorator[datetime]):
    """A time, kept as whole microseconds since 1970 UTC: the same on every database, and exact."""

    impl = BigInteger
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> int | None:
        """Count the microseconds of a time that knows its zone."""
        return None if value is None else microseconds(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Give the time back, in UTC."""
        return None if value is None else _EPOCH + value * _MICROSECOND


class Words(TypeDecorator[str]):
    """Text that every database can hold: any Unicode, less the NUL character and halves of a character."""

    impl = String
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:
        """Refuse what one of the databases could not hold. Raises ValueError."""
        if value is not None and ("\0" in value or any("\ud800" <= sign <= "\udfff" for sign in value)):
            raise ValueError("text to be stored has a NUL or half a character in it; remove that")
        return value


class Names(TypeDecorator[tuple[str, ...]]):
    """Names without spaces in them, kept as one text with a space before, between and after them."""

    impl = String
    cache_ok = True

    def process_bind_param(self, value: tuple[str, ...] | None, dialect: Dialect) -> str | None:
        """Write the names."""
        return f" {' '.join(value)} " if value else ""

    def process_result_value(self, value: str | None, dialect: Dialect) -> tuple[str, ...]:
        """Read them."""
        return tuple((value or "").split())


def microseconds(time: datetime) -> int:
    """Count the microseconds from 1970 UTC to a time that knows its zone."""
    return (time - _EPOCH) // _MICROSECOND


NAMING: Final = {"pk": "pk_%(table_name)s", "fk": "fk_%(table_name)s_%(column_0_name)s", "ix": "ix_%(column_0_label)s"}
METADATA: Final = MetaData(naming_convention=NAMING)

_Number: Final = BigInteger().with_variant(Integer(), "sqlite")

REVISIONS: Final = Table(
    "revisions", METADATA,
    Column("revision", String, primary_key=True),
    Column("content", LargeBinary, nullable=False),
    Column("stored", Instant, nullable=False),
    # What it was called while revisions were half as long; of those stored since there is none.
    Column("short", String),
    Index("ix_revisions_short", "short", unique=True),
)  # fmt: skip

BOOKS: Final = Table(
    "books", METADATA,
    Column("name", Words, primary_key=True),
    Column("sequence", BigInteger, nullable=False),
    Column("revision", ForeignKey(REVISIONS.c.revision), nullable=False),
    Column("owner", Words, nullable=False, server_default=""),
    # When its owner deleted it, who may undo that for a while; none: it is there.
    Column("deleted", Instant),
)  # fmt: skip

GRANTS: Final = Table(
    "book_grants", METADATA,
    Column("book", ForeignKey(BOOKS.c.name, ondelete="CASCADE"), primary_key=True),
    # everyone, owner:NAME or group:NAME
    Column("to", Words, primary_key=True),
    Column("may", String, nullable=False),
)  # fmt: skip

MEMBERS: Final = Table(
    "group_members", METADATA,
    Column("group", Words, primary_key=True),
    Column("owner", Words, primary_key=True),
)  # fmt: skip

HISTORY: Final = Table(
    "book_history", METADATA,
    Column("name", ForeignKey(BOOKS.c.name, ondelete="CASCADE"), primary_key=True),
    Column("sequence", BigInteger, primary_key=True, autoincrement=False),
    Column("revision", ForeignKey(REVISIONS.c.revision), nullable=False, index=True),
    Column("by", Words, nullable=False),
    Column("stored", Instant, nullable=False),
)  # fmt: skip

QUOTES: Final = Table(
    "quotes", METADATA,
    Column("number", _Number, primary_key=True),
    Column("id", String, nullable=False),
    Column("owner", Words, nullable=False),
    Column("label", Words, nullable=False),
    Column("book", Words, nullable=False),
    Column("revision", ForeignKey(REVISIONS.c.revision), nullable=False, index=True),
    Column("engine", Words, nullable=False),
    Column("currency", Words, nullable=False),
    Column("total", Words, nullable=False),
    Column("designs", Names, nullable=False, server_default=""),
    Column("request", LargeBinary, nullable=False),
    Column("result", LargeBinary, nullable=False),
    Column("stored", Instant, nullable=False),
    Index("ix_quotes_id", "id", unique=True),
    Index("ix_quotes_owner", "owner", "number"),
    sqlite_autoincrement=True,
)  # fmt: skip

KEYS: Final = Table(
    "idempotency_keys", METADATA,
    Column("owner", Words, primary_key=True),
    Column("key", String, primary_key=True),
    Column("body", String, nullable=False),
    # Checked at the end of the transaction: the key is claimed before its quote is written.
    Column(
        "quote", ForeignKey(QUOTES.c.id, ondelete="CASCADE", deferrable=True, initially="DEFERRED"),
        nullable=False, index=True,
    ),
    Column("stored", Instant, nullable=False, index=True),
)  # fmt: skip

TOKENS: Final = Table(
    "tokens", METADATA,
    Column("id", String, primary_key=True),
    Column("secret", String, nullable=False),
    Column("owner", Words, nullable=False),
    Column("label", Words, nullable=False),
    Column("scopes", String, nullable=False),
    Column("made", Instant, nullable=False),
    Column("expires", Instant),
    Column("revoked", Instant),
    Index("ix_tokens_secret", "secret", unique=True),
)  # fmt: skip

SESSIONS: Final = Table(
    "sessions", METADATA,
    Column("secret", String, primary_key=True),
    Column("token", ForeignKey(TOKENS.c.id, ondelete="CASCADE"), nullable=False, index=True),
    # Whether its browser came over TLS, as it will from then on.
    Column("over_tls", Boolean, nullable=False),
    Column("began", Instant, nullable=False),
    Column("ends", Instant, nullable=False, index=True),
)  # fmt: skip

LINKS: Final = Table(
    "links", METADATA,
    Column("id", String, primary_key=True),
    Column("secret", String, nullable=False),
    Column("quote", ForeignKey(QUOTES.c.id, ondelete="CASCADE"), nullable=False, index=True),
    Column("table", Words),
    Column("made", Instant, nullable=False),
    Column("expires", Instant),
    Column("revoked", Instant),
    Index("ix_links_secret", "secret", unique=True),
)  # fmt: skip

LIMITS: Final = Table(
    "limits", METADATA,
    Column("bucket", String, primary_key=True),
    Column("full_at", BigInteger, nullable=False, index=True),
)  # fmt: skip

JOBS: Final = Table(
    "jobs", METADATA,
    Column("number", _Number, primary_key=True),
    Column("id", String, nullable=False),
    Column("kind", Words, nullable=False),
    Column("owner", Words, nullable=False),
    Column("state", String, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("lease", Instant),
    Column("request", LargeBinary, nullable=False),
    Column("result", LargeBinary),
    Column("detail", Words, nullable=False),
    Column("made", Instant, nullable=False),
    # How many rows it is to have, where it is made row by row; how often it was begun since the last of them was kept.
    Column("rows", Integer, nullable=False, server_default="0"),
    Column("tries", Integer, nullable=False, server_default="0"),
    # What the rows that are kept were made by: what is made by something else is made anew.
    Column("maker", Words, nullable=False, server_default=""),
    Index("ix_jobs_id", "id", unique=True),
    Index("ix_jobs_state", "state", "number"),
    sqlite_autoincrement=True,
)  # fmt: skip

PARTS: Final = Table(
    "job_parts", METADATA,
    Column("job", ForeignKey(JOBS.c.id, ondelete="CASCADE"), primary_key=True),
    # made: what rows came to, as they came; told: the rows in the order they are told in.
    Column("stage", String, primary_key=True),
    Column("first", Integer, primary_key=True, autoincrement=False),
    Column("rows", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
)  # fmt: skip

JOB_TURNS: Final = Table(
    "job_turns", METADATA,
    Column("owner", Words, primary_key=True),
    # When a job of theirs was last taken: who had a turn longest ago comes next.
    Column("taken", Instant, nullable=False),
)  # fmt: skip
