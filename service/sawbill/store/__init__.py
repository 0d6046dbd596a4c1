"""What is kept: price books with every revision, quotes, tokens, idempotency keys, rate limits, jobs.

    with Store.open("/data") as store:      a data folder (SQLite), or "postgresql+psycopg://…"
        store.prepare()                     at start: a new data folder gets its tables, others must be at head
        entry = store.books.put(book, expected=None, by=Who("anna"))
        kept = store.quotes.add(NewQuote(...), book, IdempotencyKey(key, body))
        store.quotes.get(kept.quote.summary.id, owner="anna").result      the same bytes for ever

One store serves all threads of a process. Each process opens its own, or closes before it forks (`close`; the next
use connects again): a connection that was forked is refused. Every call is one transaction: it is done when it
returns, and nothing of it is there when it raises. Values that go in and come out are plain (`sawbill.store.values`);
times are UTC, from the clock that `open` is given.

| part | what it is for |
|---|---|
| `books` | `put` (if the book is at the revision expected), `get`, `list`, `history`, `content` (JSON that `files.asjson.read_json` reads), `revision` (of any book or quote), `delete`, `undelete`; each takes `Who` asks, and the database decides (`reach`) |
| `rights` | what a book's owner lets others do: `of`, `let`, `keep_from`, `give` |
| `groups` | owners by groups, which the operator keeps: `list`, `add`, `remove` |
| `quotes` | `find` (before making one: is there one by this key?), `add`, `get`, `list` by pages, `set_label`, `delete` |
| `tokens` | `make` (gives the secret, once), `check`, `exist`, `list`, `revoke`; a token has an owner, and scopes |
| `sessions` | browsers that showed a token once: `begin`, `check`, `end` |
| `owners` | `kept_by` (how much an owner keeps), `hand_over` (all of it to another) |
| `links` | the same for tokens that read one quote, or one table of it |
| `limits` | `spend` a cost from a bucket shared by all processes |
| `jobs` | `add` (so many for one owner), `take` in turns with a lease, `renew`, `keep` some rows, `finish`, `fail`, `get`, `list`, `delete` (which cancels), `clear` old ones |
| `parts` | what a job comes to, some rows at a time: how many `rows` there are, the part that has one `at` its place |

Whoever may not see something gets the same Unknown…Error as for what is not there.

How errors are meant to be told over HTTP: RevisionConflictError 412; KeyReusedError 422; TokenRefusedError 401;
TooManyJobsError 429 with Retry-After; NotYoursError 403; NameTakenError 409; Unknown…Error 404; StoreFullError 507 or 503; StoreBusyError and StoreUnavailableError 503 with Retry-After;
StoreReadOnlyError, StoreNotAtHeadError and StoreDamagedError 503; another StoreError 500. ValueError: text that no
database can hold, or a token that cannot be made so.

What survives: a process that is killed, at any moment, and a power failure (SQLite: synchronous=FULL; PostgreSQL: as
its server is set) lose nothing that was acknowledged and leave nothing half; the loss of a disk only backups outlive.
"""  # noqa: E501 (a table)

from typing import TYPE_CHECKING, Any

from sawbill.store.errors import (
    DeletedBookError,
    KeyReusedError,
    NameTakenError,
    NotYoursError,
    RevisionConflictError,
    StoreBusyError,
    StoreDamagedError,
    StoreError,
    StoreFullError,
    StoreNotAtHeadError,
    StoreReadOnlyError,
    StoreUnavailableError,
    TokenRefusedError,
    TooManyJobsError,
    UnknownJobError,
    UnknownQuoteError,
    UnknownStoredBookError,
    UnknownTokenError,
)
from sawbill.store.values import (
    LOCAL_OWNER,
    RIGHTS,
    SCOPES,
    Allowance,
    BookEntry,
    BookRights,
    Grant,
    IdempotencyKey,
    Job,
    Kept,
    Link,
    NewQuote,
    Part,
    QuoteFilter,
    QuotePage,
    QuoteSummary,
    Right,
    Scope,
    Session,
    Spent,
    StoredQuote,
    Token,
    Who,
    make_id,
)

if TYPE_CHECKING:
    from sawbill.store.kept.quotes import KEY_WINDOW
    from sawbill.store.store import Store, restore

__all__ = [
    "KEY_WINDOW",
    "LOCAL_OWNER",
    "RIGHTS",
    "SCOPES",
    "Allowance",
    "BookEntry",
    "BookRights",
    "DeletedBookError",
    "Grant",
    "IdempotencyKey",
    "Job",
    "Kept",
    "KeyReusedError",
    "Link",
    "NameTakenError",
    "NewQuote",
    "NotYoursError",
    "Part",
    "QuoteFilter",
    "QuotePage",
    "QuoteSummary",
    "RevisionConflictError",
    "Right",
    "Scope",
    "Session",
    "Spent",
    "Store",
    "StoreBusyError",
    "StoreDamagedError",
    "StoreError",
    "StoreFullError",
    "StoreNotAtHeadError",
    "StoreReadOnlyError",
    "StoreUnavailableError",
    "StoredQuote",
    "Token",
    "TokenRefusedError",
    "TooManyJobsError",
    "UnknownJobError",
    "UnknownQuoteError",
    "UnknownStoredBookError",
    "UnknownTokenError",
    "Who",
    "make_id",
    "restore",
]


def __getattr__(name: str) -> Any:
    """What talks to a database, loaded when it is first used: that takes a second, and who asks for help needs none."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from sawbill.store import store
    from sawbill.store.kept import quotes

    return getattr(quotes if name == "KEY_WINDOW" else store, name)
