"""Secrets: made by the system's generator, shown once, kept only as their hash."""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, Table, select

from sawbill.store.errors import TokenRefusedError

PREFIX: Final = "sawbill_"
"""How every secret begins, so that one that got where it should not be is found."""
BYTES: Final = 32
"""How much of it is random: 256 bits."""

_SHAPE: Final = re.compile(rf"{PREFIX}[A-Za-z0-9_-]{{43}}", re.ASCII)


def make_secret() -> str:
    """Make a new secret."""
    return PREFIX + secrets.token_urlsafe(BYTES)


def hashed(secret: str) -> str:
    """Give what is kept of a secret. A plain hash does: nobody guesses 256 random bits, however fast."""
    return hashlib.sha256(secret.encode()).hexdigest()


def find_secret(connection: Connection, table: Table, secret: str, now: datetime) -> Any:
    """Give the row that a secret opens, if it does so now.

    Raises TokenRefusedError: it does not; why is not told, for a stranger would learn from it.
    """
    if not shaped(secret):
        raise refused()
    sought = hashed(secret)
    row = connection.execute(select(table).where(table.c.secret == sought)).one_or_none()
    if row is None or not hmac.compare_digest(row.secret, sought) or not opens(row, now):
        raise refused()
    return row


def shaped(secret: str) -> bool:
    """Tell whether text could be a secret at all."""
    return _SHAPE.fullmatch(secret) is not None


def opens(row: Any, now: datetime) -> bool:
    """Tell whether the token or link of a row opens anything now."""
    return row.revoked is None and (row.expires is None or row.expires > now)


def refused() -> TokenRefusedError:
    """The answer to every secret that opens nothing."""
    return TokenRefusedError("this token is not valid; ask whoever runs the service for a new one")
