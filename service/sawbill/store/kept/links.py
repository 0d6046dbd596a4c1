"""Link tokens: they stand in an address, as sheets need it, and read one quote, or one table of it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from sawbill.store.clock import Clock
from sawbill.store.errors import TokenRefusedError, UnknownQuoteError, UnknownTokenError
from sawbill.store.kept.secret import find_secret, hashed, make_secret
from sawbill.store.sql.database import AnyRow, Database
from sawbill.store.sql.schema import LINKS, QUOTES
from sawbill.store.values import Link, make_id


class Links:
    """The link tokens. An `owner` of None reaches everybody's quotes: for `admin`."""

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def make(
        self, quote_id: str, owner: str | None, table: str | None = None, expires: datetime | None = None
    ) -> tuple[Link, str]:
        """Make a link token to a quote, or to one table of it, and give it with its secret.

        Raises UnknownQuoteError: there is no such quote of this owner. ValueError: it would have ended already.
        """
        now, secret = self._clock(), make_secret()
        if expires is not None and expires <= now:
            raise ValueError("a link must end in the future")
        link = Link(make_id(), quote_id, table, now, expires, None)
        row = {"id": link.id, "quote": quote_id, "table": table, "made": now, "expires": expires}
        with self._database.write() as connection:
            _check_owner(connection, quote_id, owner, hold=True)
            connection.execute(insert(LINKS).values(row | {"secret": hashed(secret)}))
        return link, secret

    def check(self, secret: str, quote_id: str, table: str | None) -> Link:
        """Give the link that a secret is of, if it reads this table of this quote (None: the quote as a whole).

        Raises TokenRefusedError.
        """
        with self._database.read() as connection:
            link = _link(find_secret(connection, LINKS, secret, self._clock()))
        if link.quote != quote_id or link.table not in (None, table):
            raise TokenRefusedError("this link is for something else; ask whoever made it for a new one")
        return link

    def list(self, quote_id: str, owner: str | None) -> tuple[Link, ...]:
        """List the links to a quote, the oldest first. Raises UnknownQuoteError."""
        query = select(LINKS).where(LINKS.c.quote == quote_id).order_by(LINKS.c.made, LINKS.c.id)
        with self._database.read() as connection:
            _check_owner(connection, quote_id, owner)
            return tuple(map(_link, connection.execute(query)))

    def revoke(self, link_id: str, owner: str | None) -> Link:
        """Let a link open nothing from now on. Raises UnknownTokenError: there is none to a quote of this owner."""
        mine = select(QUOTES.c.id).where(*(() if owner is None else (QUOTES.c.owner == owner,)))
        reached = (LINKS.c.id == link_id, LINKS.c.quote.in_(mine))
        with self._database.write() as connection:
            query = update(LINKS).where(*reached, LINKS.c.revoked.is_(None))
            connection.execute(query.values(revoked=self._clock()))
            row = connection.execute(select(LINKS).where(*reached)).one_or_none()
        if row is None:
            raise UnknownTokenError("there is no link with this id")
        return _link(row)


def _check_owner(connection: Connection, quote_id: str, owner: str | None, *, hold: bool = False) -> None:
    """See that a quote is there for an owner; hold: and stays while the transaction lasts."""
    query = select(QUOTES.c.owner).where(QUOTES.c.id == quote_id)
    found = connection.execute(query.with_for_update(read=True, key_share=True) if hold else query).scalar_one_or_none()
    if found is None or owner not in (None, found):
        raise UnknownQuoteError("there is no quote with this id")


def _link(row: AnyRow) -> Link:
    return Link(row.id, row.quote, row.table, row.made, row.expires, row.revoked)
