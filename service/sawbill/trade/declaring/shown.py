"""How values are told: lengths and ranges as they may be asked for, and what a caller wrote as a message repeats it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sawbill.trade.lengths import MM, STEP, System, format_length, millimetres, round_down, round_up

Json = dict[str, Any]


def printable(least: int, most: int, system: System) -> tuple[int, int]:
    """The bounds [nm] of the lengths in a range that print exactly, so that what is printed may be asked for.

    In millimetres they are round ones.
    """
    for low_step, high_step in ((_round(least, system), _round(most, system)), (STEP[system],) * 2):
        low, high = round_up(least, low_step), round_down(most, high_step)
        if low <= high:
            return low, high
    return least, most


def _round(nm: int, system: System) -> int:
    """To what a length about so long is told where it need not be exact: 610 mm, 75 mm, and not 609.6 or 76 [nm]."""
    if system == "inch" or nm < 20 * MM:
        return STEP[system]
    return 10 * MM if nm >= 100 * MM else 5 * MM


def range_text(least: int, most: int, system: System) -> str:
    """A range of lengths [nm] in words."""
    low, high = printable(least, most, system)
    return f"{format_length(low, system)} to {format_length(high, system)}"


def lengths_out(system: System) -> Callable[[int], Json]:
    """How a length leaves the service: millimetres for a machine, text for a person."""
    return lambda nm: {"mm": millimetres(nm), "text": format_length(nm, system)}


def show(raw: object) -> str:
    """A value as an error message may repeat it: short, and nothing but printable characters."""
    if isinstance(raw, str):
        text = "".join(c if c.isprintable() else "\ufffd" for c in raw[:40])
        return f'"{text}…"' if len(raw) > 40 else f'"{text}"'
    if isinstance(raw, bool) or raw is None:
        return {True: "true", False: "false", None: "null"}[raw]
    if isinstance(raw, Mapping):
        return "an object"
    return "a list" if isinstance(raw, list) else str(raw)[:40]


def listed(words: tuple[str, ...]) -> str:
    """Words one of which it may be."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
