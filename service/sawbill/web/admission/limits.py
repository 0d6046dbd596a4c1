"""Rate limits: what each request costs, spent from the caller's allowance, which all processes share through the store.

A request costs 1 unit, and every hundredth of a second that an engine is at work for it 1 more. How long that is shows
only afterwards: so a deposit is held while it lasts, and what is paid in the end is at most all that is left.
Health, metrics, pages and descriptions cost nothing, nor does an answer that nothing has changed (304), nor what is
refused for want of a token: that has a limit of its own. Without SAWBILL_RATE nothing is counted.
"""

from __future__ import annotations

import ipaddress
import logging
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass
from typing import Final

from flask import Response, g, request

from sawbill.store import (
    Allowance,
    Spent,
    Store,
    StoreError,
    StoreFullError,
    StoreReadOnlyError,
)
from sawbill.web.http.problems import Problem

REQUEST: Final = 1
"""What any request costs that is not free [units]."""
SECOND: Final = 100
"""What each second of an engine costs besides [units]."""
DEPOSIT: Final = 50
"""What has to be left for work to be begun, unless it is more than half of the allowance [units]."""
FAILURES: Final = Allowance(20, 60)
"""How often tokens that open nothing may come from one address."""

_MOST_HELD: Final = 10_000
_LOG: Final = logging.getLogger("sawbill.web.admission.limits")


@dataclass(slots=True)
class Budget:
    """What the caller of the request at hand may spend, and what it has spent; bucket: what is spent from."""

    store: Store
    allowance: Allowance
    bucket: str
    cost: int = 0
    last: Spent | None = None
    held: int = 0
    worked: float = 0.0

    def spend(self, cost: int) -> None:
        """Spend from it; less than 0 gives back. Raises Problem: it is spent; the request alone would be too much."""
        if not self._spent(cost) and self.last is not None:
            wait = max(1, self.last.retry_in)
            detail = f"the request costs {cost} units and {self.last.left} are left; try again in {wait} s"
            raise Problem("too-many-requests", detail, headers={"Retry-After": str(wait)})

    def hold(self) -> None:
        """Hold a deposit, once, before work is begun. Raises Problem: too little is left."""
        if not self.held:
            deposit = min(DEPOSIT, self.allowance.units // 2)
            self.spend(deposit)
            self.held = deposit

    def settle(self) -> None:
        """Pay for the work that was done, and give back what was held beyond that."""
        owed, self.held, self.worked = int(self.worked * SECOND) - self.held, 0, 0.0
        if owed and not self._spent(owed) and self.last is not None:
            self._spent(self.last.left)

    def _spent(self, cost: int) -> bool:
        try:
            self.last = self.store.limits.spend(self.bucket, cost, self.allowance)
        except (StoreFullError, StoreReadOnlyError) as error:  # what is there can still be read
            _LOG.error("rate limits are not kept: %s", error)
            return True
        self.cost += cost if self.last.allowed else 0
        return self.last.allowed


class Failures:
    """Counts tokens that open nothing, by the address they come from; a good token is never refused for others."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._until: OrderedDict[str, float] = OrderedDict()

    def add(self, store: Store, address: str) -> int:
        """Count one, and tell how long the address has to wait, 0 if it need not [s]."""
        now = time.monotonic()
        with self._lock:
            until = self._until.get(address, 0.0)
        if until > now:  # it is known here: the store need not be asked, and cannot be worn out so
            return int(until - now) + 1
        try:
            spent = store.limits.spend(f"failed {address}", 1, FAILURES)
        except (StoreFullError, StoreReadOnlyError):
            return 0
        if spent.allowed:
            return 0
        with self._lock:
            self._until[address] = now + spent.retry_in
            self._until.move_to_end(address)
            while len(self._until) > _MOST_HELD:
                self._until.popitem(last=False)
        return max(1, spent.retry_in)


def client_address() -> str:
    """Name where the request at hand comes from; of IPv6 the network, of which a client has all addresses (/64)."""
    try:
        address = ipaddress.ip_address((request.remote_addr or "").partition("%")[0])
    except ValueError:
        return "unknown"
    if isinstance(address, ipaddress.IPv6Address):
        if address.ipv4_mapped is not None:
            return str(address.ipv4_mapped)
        return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)


def begin(budget: Budget) -> None:
    """Spend what any request costs. Raises Problem."""
    g.budget = budget
    budget.spend(REQUEST)


def settle(response: Response) -> Response:
    """Pay what an answer cost, nothing where nothing has changed, and tell in headers what is left.

    The headers are those of draft-ietf-httpapi-ratelimit-headers-09: q units within w seconds, r of them left, all of
    them again in t seconds.
    """
    budget: Budget | None = g.get("budget")
    if budget is None:
        return response
    try:
        budget.settle()
        if response.status_code == 304 and budget.cost:
            budget.spend(-budget.cost)
    except StoreError as error:
        _LOG.error("what an answer cost was not settled: %s", error)
    response.headers["RateLimit-Policy"] = f'"cost";q={budget.allowance.units};w={budget.allowance.seconds}'
    if budget.last is not None:
        response.headers["RateLimit"] = f'"cost";r={budget.last.left};t={budget.last.full_in}'
    return response
