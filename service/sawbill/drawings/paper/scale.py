"""Scales to draw at, and lengths as they are printed in a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sawbill.trade.lengths import STEP, System, format_length

DENOMINATORS: Final[dict[System, Sequence[int]]] = {
    "metric": (1, 2, 5, 10, 15, 20, 25, 30, 40, 50, 100),
    "inch": (1, 2, 4, 6, 8, 12, 16, 24, 32, 48, 96),
}
"""1:n. ISO 5455 and the scales of inch rules, with steps between: from 1:20 straight to 1:50 a bunk bed is tiny."""
NO_BREAK: Final = "\u00a0"
BIT: Final[dict[System, int]] = {"inch": STEP["inch"] // 4, "metric": STEP["metric"] // 2}
"""The step in which the sizes of drills are told [nm]."""


def printed(nm: int, system: System) -> str:
    """A length without its unit, which the title block names once; a fraction stays in one line with its whole [nm]."""
    return format_length(nm, system).rsplit(" ", 1)[0].replace(" ", NO_BREAK)


def printed_span(span: tuple[int, int], system: System) -> str:
    """From where to where, in one line [nm]."""
    return f"{printed(span[0], system)}{NO_BREAK}to{NO_BREAK}{printed(span[1], system)}"


def drill(nm: int, system: System) -> str:
    """The size of a drill without its unit [nm]."""
    return format_length(nm, system, BIT[system]).rsplit(" ", 1)[0].replace(" ", NO_BREAK)


def counted(name: str, count: int) -> str:
    """A name with how many there are, in one line."""
    return f"{name}{NO_BREAK}x{NO_BREAK}{count}" if count > 1 else name
