"""The lines of a request: what is to be made, and what of it the request gives itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Section


class Need(NamedTuple):
    """One kind of hardware: its item, size, and length [nm] where it has one."""

    item: str
    size: str
    length: int | None


@dataclass(frozen=True, slots=True)
class OwnPart:
    """A part that the request gives itself, by length [nm] and count; least: the shortest it may be cut [nm].

    species, grades: of the wood that will do, empty where the line's hold.
    """

    name: str
    section: Section
    length: int
    quantity: int
    least: int | None = None
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a request: so many of a frame, or of a list of own parts and hardware.

    species, grades: of the wood that will do, empty where the request's hold; options: of the design, as written.
    """

    label: str
    quantity: int
    design: str | None = None
    frame: Frame | None = None
    parts: tuple[OwnPart, ...] = ()
    hardware: tuple[tuple[Need, int], ...] = ()
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()
    options: Mapping[str, Any] = field(default_factory=dict, compare=False)
