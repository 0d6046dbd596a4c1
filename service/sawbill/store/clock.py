"""The clock of the store, which a test may set."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]
"""Tells the time now, in UTC."""


def system_clock() -> datetime:
    """Tell the system's time."""
    return datetime.now(UTC)
