"""What the store gives out: plain values, their times in UTC."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal, get_args

Scope = Literal["read", "quote", "price-book", "metrics", "admin"]
SCOPES: Final[tuple[Scope, ...]] = get_args(Scope)
"""What a token may allow: reading what its owner keeps or may read and changing nothing; storing quotes, and reading
them; keeping price books; reading how the service does; and everything."""

LOCAL_OWNER: Final = "local"
"""Whose everything is that is kept before there is a token."""

Right = Literal["read", "write"]
RIGHTS: Final[tuple[Right, ...]] = get_args(Right)
"""What the owner of a price book may let others do with it; who may write may read."""

JobState = Literal["waiting", "running", "done", "failed"]


def make_id() -> str:
    """Make an id that names something and opens nothing (80 random bits)."""
    return secrets.token_hex(10)


@dataclass(frozen=True, slots=True)
class Who:
    """Who asks for price books. owner: of his token, empty for a stranger; everything: he reaches all there are."""

    owner: str
    everything: bool = False


@dataclass(frozen=True, slots=True)
class BookEntry:
    """A revision that a stored price book has, or had.

    sequence: counts the revisions of its name from 1; by: the owner of the token that wrote it; owner: whose the book
    is; may: what who asks may do with it; deleted: when its owner deleted it, None: it is there.
    """

    name: str
    sequence: int
    revision: str
    by: str
    stored: datetime
    owner: str
    may: Literal["read", "write", "own"]
    deleted: datetime | None = None


@dataclass(frozen=True, slots=True)
class Grant:
    """What the owner of a price book lets others do with it. to: everyone, owner:NAME or group:NAME."""

    to: str
    may: Right


@dataclass(frozen=True, slots=True)
class BookRights:
    """Whose a price book is, and what its owner lets others do with it, by whom."""

    owner: str
    grants: tuple[Grant, ...]


@dataclass(frozen=True, slots=True)
class NewQuote:
    """A quote to be kept.

    owner: whose it is; book: the name its price book was asked for by; engine: the version that made it;
    currency, total: what a list tells of it, the total as printed; request, result: the bytes of both;
    designs: the names of those in its lines, each once; id: what is to name it, if its bytes hold that.
    """

    owner: str
    label: str
    book: str
    engine: str
    currency: str
    total: str
    request: bytes
    result: bytes
    designs: tuple[str, ...] = ()
    id: str = ""


@dataclass(frozen=True, slots=True)
class QuoteSummary:
    """What a list tells of a stored quote; revision: of its price book, for ever; number: its place in lists."""

    id: str
    number: int
    owner: str
    label: str
    book: str
    revision: str
    engine: str
    currency: str
    total: str
    designs: tuple[str, ...]
    stored: datetime


@dataclass(frozen=True, slots=True)
class StoredQuote:
    """A stored quote: what a list tells of it, and the bytes of its request and of its result."""

    summary: QuoteSummary
    request: bytes
    result: bytes


@dataclass(frozen=True, slots=True)
class QuoteFilter:
    """Which quotes a list is of; None: any.

    label: text that stands in the label, small and capital letters of ASCII alike; design: of one of its lines;
    book: the name it was asked for by; since, until: stored at this time or later, and before this one.
    """

    label: str | None = None
    design: str | None = None
    book: str | None = None
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class QuotePage:
    """Some quotes, the newest first; next: where the next page begins, None at the end."""

    quotes: tuple[QuoteSummary, ...]
    next: int | None


@dataclass(frozen=True, slots=True)
class IdempotencyKey:
    """A client's key for one request of its own; body: the bytes of that request (only their hash is kept)."""

    key: str
    body: bytes


@dataclass(frozen=True, slots=True)
class Kept:
    """A quote in the store, and whether this call put it there (or an earlier one with the same key)."""

    quote: StoredQuote
    new: bool


@dataclass(frozen=True, slots=True)
class Token:
    """An access token, less its secret; owner: whose quotes it reaches; label: tells its owner's tokens apart."""

    id: str
    owner: str
    label: str
    scopes: frozenset[Scope]
    made: datetime
    expires: datetime | None
    revoked: datetime | None


@dataclass(frozen=True, slots=True)
class Session:
    """A browser that is signed in, less its secret. over_tls: whether it came so when it signed in."""

    token: Token
    over_tls: bool
    ends: datetime


@dataclass(frozen=True, slots=True)
class Link:
    """A link token, less its secret: reads one quote, and of it one table where `table` names one."""

    id: str
    quote: str
    table: str | None
    made: datetime
    expires: datetime | None
    revoked: datetime | None


@dataclass(frozen=True, slots=True)
class Allowance:
    """How much may be spent: `units` of cost within any `seconds`, all at once or bit by bit."""

    units: int
    seconds: int


@dataclass(frozen=True, slots=True)
class Spent:
    """What became of a wish to spend.

    allowed: whether it was spent; left: units that can be spent now; full_in: until all can be again [s];
    retry_in: until this wish would be granted [s], 0 if it was.
    """

    allowed: bool
    left: int
    full_in: int
    retry_in: int


@dataclass(frozen=True, slots=True)
class Job:
    """Work to be done beside the requests; attempts: how often it was begun; result: None until it is done.

    detail: how far it is while it runs, why it failed once it has; rows: how many it is to have, 0 for what is not
    made row by row.
    """

    id: str
    kind: str
    owner: str
    state: JobState
    attempts: int
    request: bytes
    result: bytes | None
    detail: str
    made: datetime
    rows: int = 0


@dataclass(frozen=True, slots=True)
class Part:
    """Some rows of what a job comes to, from the number `first` on; data: as whoever keeps them wrote them."""

    first: int
    rows: int
    data: bytes
