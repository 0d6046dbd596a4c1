"""What can go wrong with the store, in its own words; each message says what would be right."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar


class StoreError(Exception):
    """Something the store cannot do; nothing was changed. retryable: whether the same may go through later."""

    retryable: ClassVar[bool] = False


class StoreFullError(StoreError):
    """There is no room left to write; what was stored is intact."""

    retryable = True


class StoreReadOnlyError(StoreError):
    """The store can be read but not written."""


class StoreBusyError(StoreError):
    """Others hold the store for longer than one waits."""

    retryable = True


class StoreUnavailableError(StoreError):
    """The store cannot be reached, or was lost on the way; a write then may have gone through or not."""

    retryable = True


class StoreNotAtHeadError(StoreError):
    """The store's tables are not those of this version."""


class StoreDamagedError(StoreError):
    """What was read is not what was written."""


class RevisionConflictError(StoreError):
    """A price book is not at the revision its writer saw.

    name: the book; current: the revision it is at, None where there is no such book.
    """

    def __init__(self, name: str, current: str | None) -> None:
        self.name, self.current = name, current
        now = "does not exist" if current is None else f"is at revision {current}"
        super().__init__(f"the price book {name} {now}; read it again, then make your change to that")


class UnknownStoredBookError(StoreError):
    """No stored price book has this name, or no book this revision."""


class DeletedBookError(UnknownStoredBookError):
    """The price book was deleted by who asks for it, who can bring it back. until: as long as this."""

    def __init__(self, name: str, until: datetime) -> None:
        self.name, self.until = name, until
        super().__init__(f"the price book {name} was deleted; until {until:%Y-%m-%d} its owner can restore it")


class NotYoursError(StoreError):
    """A price book that may be read and not changed, or changed and not be deleted or shared."""


class NameTakenError(StoreError):
    """A new price book cannot have this name; whose it is, or was, is not told."""


class UnknownQuoteError(StoreError):
    """No quote has this id, or it is somebody else's."""


class UnknownTokenError(StoreError):
    """No token or link has this id."""


class TokenRefusedError(StoreError):
    """A secret that opens nothing: it is unknown, expired, revoked, or for something else."""


class KeyReusedError(StoreError):
    """An idempotency key that came before with another request."""


class UnknownJobError(StoreError):
    """No job has this id, or it is not this worker's to finish."""


class TooManyJobsError(StoreError):
    """As many jobs of an owner wait or run as there may be."""

    retryable = True
