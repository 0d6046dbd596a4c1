"""Rate limits by cost, shared by everybody who uses the store."""

from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import Any, Final

from sqlalchemy import Connection, and_, case, select

from sawbill.store.clock import SKEW, Clock
from sawbill.store.sql.database import Database, insert, sweep
from sawbill.store.sql.schema import LIMITS, microseconds
from sawbill.store.values import Allowance, Spent

_SECOND: Final = 1_000_000
_MICROSECOND: Final = timedelta(microseconds=1)


class Limits:
    """Buckets that fill by themselves and are spent from.

    Of a bucket one number is kept: when it will be full again [us]. Spending moves that on, by the time the cost takes
    to come back; what would move it further than the allowance's whole time from now is refused and costs nothing.
    Nothing moves it further, so one that lies further ahead is of a clock that was wrong, and counts for nothing.
    """

    def __init__(self, database: Database, clock: Clock) -> None:
        self._database, self._clock = database, clock

    def spend(self, bucket: str, cost: int, allowance: Allowance) -> Spent:
        """Spend from a bucket if it has as much, in one step, whoever else spends from it.

        bucket: its name, such as the owner or the address of a client (only a hash is kept); cost: in units, 0 to look
        only, less to give back. A cost above the whole allowance is never granted: Spent then says so for ever.
        """
        name, now = hashlib.sha256(bucket.encode()).hexdigest(), microseconds(self._clock())
        price = cost * allowance.seconds * _SECOND // allowance.units
        most = allowance.seconds * _SECOND
        with self._database.write() as connection:
            full = _take(connection, name, now, price, most)
            granted = full is not None
            if full is None:
                query = select(LIMITS.c.full_at).where(LIMITS.c.bucket == name, LIMITS.c.full_at <= _latest(now, most))
                full = max(connection.execute(query).scalar_one_or_none() or now, now)
            elif full == now + price:  # it was full: now and then, clear away others that are
                sweep(connection, LIMITS, LIMITS.c.full_at < now)
        return _spent(max(full - now, 0), 0 if granted else price, allowance, granted=granted)


def _take(connection: Connection, name: str, now: int, price: int, most: int) -> int | None:
    """Move on when a bucket is full, and give when it is then [us]; None: it would be too far from now."""
    if price > most:
        return None
    believed = and_(LIMITS.c.full_at > now, LIMITS.c.full_at <= _latest(now, most))
    held = case((believed, LIMITS.c.full_at), else_=now)
    new: Any = insert(connection, LIMITS).values(bucket=name, full_at=now + price)
    moved = new.on_conflict_do_update(
        index_elements=[LIMITS.c.bucket], set_={"full_at": held + price}, where=held + price <= now + most
    )
    full: int | None = connection.execute(moved.returning(LIMITS.c.full_at)).scalar_one_or_none()
    return full


def _latest(now: int, most: int) -> int:
    """Tell how far ahead a bucket may be said to be full, all of it spent by a clock that is ahead [us]."""
    return now + most + SKEW // _MICROSECOND


def _spent(owed: int, price: int, allowance: Allowance, *, granted: bool) -> Spent:
    """Tell what became of a wish; owed: until the bucket is full again [us]; price: of a wish refused [us]."""
    most = allowance.seconds * _SECOND
    left = (most - owed) * allowance.units // most
    return Spent(granted, max(left, 0), -(-owed // _SECOND), max(-(-(owed + price - most) // _SECOND), 0))
