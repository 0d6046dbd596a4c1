"""Who may what: every address declares what it takes, and one that declares nothing is closed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal, TypeVar

View = TypeVar("View", bound=Callable[..., Any])

Access = Literal["open", "read", "quote", "price-book", "admin"]
"""What an address takes: nothing; to read and estimate, which may be open to all or not; or a token's scope."""


def takes(access: Access) -> Callable[[View], View]:
    """Declare what an address takes."""

    def decorate(view: View) -> View:
        view.access = access  # type: ignore[attr-defined]
        return view

    return decorate
