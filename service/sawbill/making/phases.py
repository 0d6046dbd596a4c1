"""The parts of the work, whose times are told by themselves."""

from __future__ import annotations

from typing import Final, Literal

Phase = Literal["making", "finishing", "taking-apart"]
"""What a step is part of; finishing and taking apart are told by themselves."""
PHASES: Final[tuple[Phase, ...]] = ("making", "finishing", "taking-apart")
