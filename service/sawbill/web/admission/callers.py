"""Who asks: what is known of the caller of the request at hand, for whatever depends on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from flask import current_app, g, has_request_context

from sawbill.store import LOCAL_OWNER, SCOPES, Link, Scope, Who

Access = Literal["open", "read", "kept", "stored-quote", "quote", "price-book", "metrics"]
"""What an address takes: nothing; to read and estimate, which may be open to all or not; to read what the caller keeps;
the same, or a link to the stored quote that it names; or a token's scope."""

ENOUGH: Final[Mapping[Access, tuple[Scope, ...]]] = {
    "kept": ("read", "quote"),
    "stored-quote": ("read", "quote"),
    "quote": ("quote",),
    "price-book": ("price-book",),
    "metrics": ("metrics",),
}
"""The scopes of which each will do, the least first; `admin` always does."""
_WITHOUT_TOKEN: Final = "sawbill-without-token"


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks. owner: whose quotes he reaches, empty for a stranger; scopes: what he may; link: what he came by."""

    owner: str
    scopes: frozenset[Scope]
    link: Link | None = None

    def may(self, access: Access) -> bool:
        """Tell whether he may do what takes a token; who may everything may also this."""
        return not self.scopes.isdisjoint((*ENOUGH.get(access, ()), "admin"))


STRANGER: Final = Caller("", frozenset())
"""Who showed no token."""
LOCAL: Final = Caller(LOCAL_OWNER, frozenset(SCOPES))
"""Who runs the service for himself alone, or one that keeps nothing."""


def is_known() -> bool:
    """Tell whether who asks has an owner's name, by a token or as who runs the service for himself."""
    return current_caller().owner != ""


def current_caller() -> Caller:
    """Tell who asks."""
    if "caller" not in g:
        g.caller = current_app.extensions[_WITHOUT_TOKEN]()
    caller = g.caller
    assert isinstance(caller, Caller)
    return caller


def identify(extensions: dict[str, object], without_token: Callable[[], Caller]) -> None:
    """Say how an application tells who asks without a token; it is asked only where that makes a difference."""
    extensions[_WITHOUT_TOKEN] = without_token


def reach() -> str | None:
    """Tell whose quotes the caller reaches: his own; None: anybody's, as for who does everything or came by a link."""
    caller = current_caller()
    return None if "admin" in caller.scopes or caller.link is not None else caller.owner


def who() -> Who:
    """Tell the store who asks for price books.

    Outside of a request something is worked out that was asked for within one, by who might read what it names.
    """
    if not has_request_context():
        return Who("", everything=True)
    caller = current_caller()
    return Who(caller.owner, everything="admin" in caller.scopes)
