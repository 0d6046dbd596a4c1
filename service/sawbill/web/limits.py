"""Rate limits: what each request costs, spent from the caller's allowance, which all processes share through the store.

A request costs 1 unit, and every line of a quote that it has worked out 10 more: a comparison of 12 rows costs 121.
Health, metrics, pages and descriptions cost nothing, nor does an answer that nothing has changed (304), nor what is
refused for want of a token: that has a limit of its own. Without SAWBILL_RATE nothing is counted.
"""

from __future__ import annotations

import ipaddress
import threading
import time
from collections import OrderedDict
from dataclasses import dataclass
from typing import Final

from flask import Response, current_app, g, has_request_context, request

from sawbill.store import (
    Allowance,
    Spent,
    Store,
    StoreError,
    StoreFullError,
    StoreReadOnlyError,
)
from sawbill.web.problems import Problem

REQUEST: Final = 1
"""What any request costs that is not free [units]."""
LINE: Final = 10
"""What each line of a quote costs besides, when it is worked out [units]."""
FAILURES: Final = Allowance(20, 60)
"""How often tokens that open nothing may come from one address."""

_MOST_HELD: Final = 10_000


@dataclass(slots=True)
class Budget:
    """What the caller of the request at hand may spend, and what it has spent; bucket: what is spent from."""

    store: Store
    allowance: Allowance
    bucket: str
    cost: int = 0
    last: Spent | None = None

    def spend(self, cost: int) -> None:
        """Spend from it; less than 0 gives back. Raises Problem: it is spent; the request alone would be too much."""
        if self.cost + cost > self.allowance.units:
            most = f"{self.allowance.units} units, 1 a request and {LINE} a line"
            raise Problem("too-large", f"the request costs {self.cost + cost} units; one may cost {most}")
        try:
            self.last = self.store.limits.spend(self.bucket, cost, self.allowance)
        except (StoreFullError, StoreReadOnlyError) as error:  # what is there can still be read
            current_app.logger.error("rate limits are not kept: %s", error)
            return
        if not self.last.allowed:
            wait = max(1, self.last.retry_in)
            detail = f"the request costs {cost} units and {self.last.left} are left; ask again in {wait} s"
            raise Problem("too-many-requests", detail, headers={"Retry-After": str(wait)})
        self.cost += cost


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


def charge_lines(lines: int) -> None:
    """Spend what so many lines cost, before they are worked out; a job was paid when it was asked for.

    Less than 0 gives back what was not worked out after all.
    Raises Problem.
    """
    budget: Budget | None = g.get("budget") if has_request_context() else None
    if budget is not None:
        budget.spend(LINE * lines)


def settle(response: Response) -> Response:
    """Give back what an answer cost that nothing has changed, and tell in headers what is left.

    The headers are those of draft-ietf-httpapi-ratelimit-headers-09: q units within w seconds, r of them left, all of
    them again in t seconds.
    """
    budget: Budget | None = g.get("budget")
    if budget is None:
        return response
    if response.status_code == 304 and budget.cost:
        try:
            budget.spend(-budget.cost)
        except StoreError as error:
            current_app.logger.error("what an answer cost was not given back: %s", error)
    response.headers["RateLimit-Policy"] = f'"cost";q={budget.allowance.units};w={budget.allowance.seconds}'
    if budget.last is not None:
        response.headers["RateLimit"] = f'"cost";r={budget.last.left};t={budget.last.full_in}'
    return response
