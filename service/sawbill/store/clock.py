"""The clock of the store, which a test may set."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Final

Clock = Callable[[], datetime]
"""Tells the time now, in UTC."""

SKEW: Final = timedelta(minutes=1)
"""How far the clocks of machines that share a store may differ: a time further ahead was told by a clock that ran ahead
and was set right since, and is not believed."""


def system_clock() -> datetime:
    """Tell the system's time."""
    return datetime.now(UTC)
