"""What the tables of all fasteners have in common: sizes of a system, lengths in runs, and that none may do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sawbill.trade.lengths import System, parse_length

SYSTEMS: Final[Mapping[str, System]] = {"inch": "inch", "metric": "metric"}


class FastenerError(ValueError):
    """No standard fastener does what is asked; the message gives the sizes in question."""


def lengths(text: str) -> tuple[int, ...]:
    """Read `1 in to 4 in by 1/4 in; 5 in` into every length it means [nm]."""
    found: list[int] = []
    for run in text.split(";"):
        first, _, rest = run.partition(" to ")
        last, _, step = rest.partition(" by ")
        start = parse_length(first)
        found += range(start, parse_length(last) + 1, parse_length(step)) if rest else [start]
    return tuple(found)
