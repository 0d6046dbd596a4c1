"""Wood screws: how long each may be, so that it bites and stays in."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from sawbill.trade import tables
from sawbill.trade.fasteners.listed import SYSTEMS, FastenerError, lengths
from sawbill.trade.lengths import INCH, System, format_length, parse_length

SCREW_COVER: Final = INCH // 8
"""The least wood left beyond a screw's point [nm]. Source: common practice, no source."""
SCREW_BITE: Final = 3 * INCH // 4
"""The least a screw goes into the second part [nm], half of it where that is less.

Source: common practice, no source.
"""


@dataclass(frozen=True, slots=True)
class ScrewSize:
    """A wood screw of one diameter, that at the root of its thread and of its head; lengths shortest first [nm]."""

    name: str
    system: System
    diameter: int
    root: int
    head: int
    lengths: tuple[int, ...]
    source: str


@cache
def screw_sizes() -> Mapping[str, ScrewSize]:
    """List the wood screws by size."""
    return tables.by_name(
        ScrewSize(
            row["name"],
            SYSTEMS[row["system"]],
            parse_length(row["diameter"]),
            parse_length(row["root_diameter"]),
            parse_length(row["head_diameter"]),
            lengths(row["lengths"]),
            row["source"],
        )
        for row in tables.rows("screws", "name", "system", "diameter", "root_diameter", "head_diameter", "lengths")
    )


def find_screw(name: str) -> ScrewSize:
    """Find a screw size: `#8`, `No. 8` and `4.5mm` are understood. Raises UnknownNameError."""
    return tables.find("screw size", name, screw_sizes())


def screw_length(size: ScrewSize, through: int, into: int) -> int:
    """Choose the longest standard screw that goes through one part into another [nm] and does not come out.

    Raises FastenerError: none is long enough to hold and short enough to stay in.
    Source: SCREW_COVER and SCREW_BITE.
    """
    most = through + into - SCREW_COVER
    least = through + min(SCREW_BITE, into // 2)
    longest = bisect_right(size.lengths, most) - 1
    if longest < 0 or size.lengths[longest] < least:
        first, second = (format_length(nm, size.system) for nm in (through, into))
        raise FastenerError(f"no {size.name} screw holds through {first} into {second} without coming out")
    return size.lengths[longest]


def short_screw(size: ScrewSize, into: int) -> int:
    """Choose the shortest screw that holds webbing to a part so thick [nm]. Raises FastenerError: it would come out."""
    found = next((length for length in size.lengths if length >= SCREW_BITE), size.lengths[-1])
    if found > into - SCREW_COVER:
        thick = format_length(into, size.system)
        raise FastenerError(f"the shortest {size.name} screw that holds a strap comes out of {thick} of wood")
    return found
