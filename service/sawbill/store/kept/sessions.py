"""Sessions: a browser that showed a token once, and carries a secret of its own from then on.

A session opens what its token opens, no longer than that does. Its secret is kept as a hash, as every secret is: who
reads the store can take nobody's place.
"""

from __future__ import annotations

import hmac
from datetime import timedelta
from typing import Final

from sqlalchemy import delete, insert, select

from sawbill.store.clock import Clock
from sawbill.store.kept.secret import find_secret, hashed, make_secret, opens, refused, shaped
from sawbill.store.kept.tokens import token_of
from sawbill.store.sql.database import Database, sweep
from sawbill.store.sql.schema import SESSIONS, TOKENS
from sawbill.store.values import Session

LASTS: Final = timedelta(hours=12)
"""How long a session lasts, if it is not ended before."""
MOST_OPEN: Final = 20
"""How many sessions of one token may be open; another one ends the oldest."""


class Sessions:
    """The sessions."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def begin(self, secret: str, *, over_tls: bool, instead_of: str = "") -> tuple[Session, str]:
        """Open a session with the secret of a token, and give it with its own.

        over_tls: whether the browser came so; instead_of: the secret of a session that ends with it.
        Raises TokenRefusedError: the token opens nothing.
        """
        now, own = self._clock(), make_secret()
        with self._database.write() as connection:
            token = find_secret(connection, TOKENS, secret, now)
            sweep(connection, SESSIONS, SESSIONS.c.ends <= now)
            connection.execute(delete(SESSIONS).where(SESSIONS.c.secret == hashed(instead_of)))
            mine = SESSIONS.c.token == token.id
            newest = select(SESSIONS.c.secret).where(mine).order_by(SESSIONS.c.began.desc(), SESSIONS.c.secret)
            kept = connection.execute(newest.limit(MOST_OPEN - 1)).scalars().all()
            connection.execute(delete(SESSIONS).where(mine, SESSIONS.c.secret.not_in(kept)))
            row = {"secret": hashed(own), "token": token.id, "over_tls": over_tls, "began": now, "ends": now + LASTS}
            connection.execute(insert(SESSIONS).values(row))
        return Session(token_of(token), over_tls, now + LASTS), own

    def check(self, secret: str) -> Session:
        """Give the session that a secret opens. Raises TokenRefusedError: it is over, or its token is."""
        if not shaped(secret):
            raise refused()
        now, sought = self._clock(), hashed(secret)
        columns = (SESSIONS.c.secret.label("own"), SESSIONS.c.over_tls, SESSIONS.c.ends)
        query = select(TOKENS, *columns).join(SESSIONS, SESSIONS.c.token == TOKENS.c.id)
        with self._database.read() as connection:
            row = connection.execute(query.where(SESSIONS.c.secret == sought, SESSIONS.c.ends > now)).one_or_none()
        if row is None or not hmac.compare_digest(row.own, sought) or not opens(row, now):
            raise refused()
        return Session(token_of(row), row.over_tls, row.ends)

    def end(self, secret: str) -> None:
        """End a session; one that is over already stays so."""
        with self._database.write() as connection:
            connection.execute(delete(SESSIONS).where(SESSIONS.c.secret == hashed(secret)))
