"""Joist hangers: which one takes a beam."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from sawbill.trade import tables
from sawbill.trade.fasteners.listed import SYSTEMS, FastenerError
from sawbill.trade.lengths import System, format_length, parse_length


@dataclass(frozen=True, slots=True)
class Hanger:
    """A face-mount joist hanger named by its printed seat; least_height is that of the beam it takes [nm].

    face_nails: how many hold it to what carries it; nail_length [nm].
    """

    name: str
    system: System
    seat: int
    least_height: int
    face_nails: int
    nail_length: int
    source: str


@cache
def hangers() -> Mapping[str, Hanger]:
    """List the joist hangers by their printed seat, narrowest first in each system."""
    return tables.by_name(
        Hanger(
            name=row["name"],
            system=SYSTEMS[row["system"]],
            seat=parse_length(row["seat"]),
            least_height=parse_length(row["least_height"]),
            face_nails=int(row["face_nails"]),
            nail_length=parse_length(row["nail_length"]),
            source=row["source"],
        )
        for row in tables.rows("hangers", "name", "system", "seat", "least_height", "face_nails", "nail_length")
    )


def find_hanger(name: str) -> Hanger:
    """Find a joist hanger by its printed seat. Raises UnknownNameError."""
    return tables.find("joist hanger", name, hangers())


def hanger_for(thickness: int, system: System) -> Hanger:
    """Choose the hanger with the least seat that takes a beam of a thickness [nm].

    Raises FastenerError: the beam is thicker than any seat.
    """
    seats = sorted((h for h in hangers().values() if h.system == system), key=lambda hanger: hanger.seat)
    for hanger in seats:
        if hanger.seat >= thickness:
            return hanger
    beam = format_length(thickness, system)
    raise FastenerError(f"no joist hanger takes a beam {beam} thick: the widest seat is {seats[-1].name}")
