"""Access tokens: made and revoked by the operator, shown once, kept as hashes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from sqlalchemy import insert, select, update

from sawbill.store.clock import Clock
from sawbill.store.errors import UnknownTokenError
from sawbill.store.kept.rights import NAME, NAMED
from sawbill.store.kept.secret import find_secret, hashed, make_secret
from sawbill.store.sql.database import AnyRow, Database
from sawbill.store.sql.schema import TOKENS
from sawbill.store.values import SCOPES, Scope, Token, make_id

_LONGEST_LABEL: Final = 100


class Tokens:
    """The access tokens."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def make(
        self, owner: str, label: str, scopes: Iterable[Scope], expires: datetime | None = None
    ) -> tuple[Token, str]:
        """Make a token, and give it with its secret, which cannot be had again.

        owner: whose quotes it reaches (a member may have several tokens, and change them without losing a quote).
        Raises ValueError: what it is made of is not right.
        """
        now, secret = self._clock(), make_secret()
        token = Token(make_id(), owner, label, frozenset(scopes), now, expires, None)
        _check(token)
        row = {
            "id": token.id, "secret": hashed(secret), "owner": owner, "label": label,
            "scopes": " ".join(sorted(token.scopes)), "made": now, "expires": expires,
        }  # fmt: skip
        with self._database.write() as connection:
            connection.execute(insert(TOKENS).values(row))
        return token, secret

    def check(self, secret: str) -> Token:
        """Give the token that a secret is of. Raises TokenRefusedError: it opens nothing now; it does not say why."""
        with self._database.read() as connection:
            return token_of(find_secret(connection, TOKENS, secret, self._clock()))

    def exist(self) -> bool:
        """Tell whether any was ever made, be it revoked since."""
        with self._database.read() as connection:
            return connection.execute(select(TOKENS.c.id).limit(1)).first() is not None

    def list(self) -> tuple[Token, ...]:
        """List all tokens, the oldest first."""
        with self._database.read() as connection:
            return tuple(map(token_of, connection.execute(select(TOKENS).order_by(TOKENS.c.made, TOKENS.c.id))))

    def revoke(self, token_id: str) -> Token:
        """Let a token open nothing from now on; once revoked it stays so. Raises UnknownTokenError."""
        with self._database.write() as connection:
            query = update(TOKENS).where(TOKENS.c.id == token_id, TOKENS.c.revoked.is_(None))
            connection.execute(query.values(revoked=self._clock()))
            row = connection.execute(select(TOKENS).where(TOKENS.c.id == token_id)).one_or_none()
        if row is None:
            raise UnknownTokenError("there is no token with this id; `sawbill token list` shows those there are")
        return token_of(row)


def _check(token: Token) -> None:
    """Refuse what a token cannot be made of. Raises ValueError: with all that is wrong."""
    faults = []
    if not NAME.fullmatch(token.owner):
        faults.append(f"the owner is written in {NAMED}")
    if not 0 < len(token.label) <= _LONGEST_LABEL or not token.label.isprintable():
        faults.append(f"the label is plain text of 1 to {_LONGEST_LABEL} characters, such as: laptop")
    if not token.scopes or not token.scopes <= set(SCOPES):
        faults.append(f"a scope is one of {', '.join(SCOPES)}; a token needs at least one")
    if token.expires is not None and token.expires <= token.made:
        faults.append("a token must end in the future")
    if faults:
        raise ValueError("\n".join(faults))


def token_of(row: AnyRow) -> Token:
    """Give the token of a row."""
    scopes = frozenset(scope for scope in SCOPES if scope in row.scopes.split())
    return Token(row.id, row.owner, row.label, scopes, row.made, row.expires, row.revoked)
