"""The members of a frame: its parts, those together that are glued along each other, and what carries each.

Forces [N], lengths [mm].
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.frame import Bolted, Frame, Glued, Joint, Part
from sawbill.trade.lengths import MM

Kind = Literal["rests", "hung", "bolted", "screwed", "glued"]
"""How members meet: what rests, under screws and bolts that stand upright too, or hangs in a hanger, can only press."""
SPREADS: Final = 2
"""A layer that is no longer than so many of its depths takes no part in bending: what it bears has to come in from both
ends, each within about a depth (Saint-Venant's principle; common practice, no source)."""
SLIGHT: Final = 0.005
"""Nor does one that would take less than this share of a load from the stiffest."""


@dataclass(eq=False, slots=True)
class Member:
    """Parts that act as one; axis: along which; low, high: where it begins and ends along it [mm].

    supports: what carries it, in their order along it; places: where they are, each place once [mm]; number: its place
    among the members of its frame; fillers: parts glued to it that are too short or thin to bear with it; upright:
    whether it stands.
    """

    parts: tuple[Part, ...]
    axis: Axis
    low: float
    high: float
    number: int = 0
    fillers: tuple[Part, ...] = ()
    supports: list[Support] = field(default_factory=list)
    places: tuple[float, ...] = ()
    upright: bool = field(init=False)

    def __post_init__(self) -> None:
        """Tell whether it stands, which is asked thousands of times."""
        self.upright = self.axis == "z"


@dataclass(eq=False, slots=True)
class Support:
    """Where a member meets another, as a rule the one that carries it: at what place along the member [mm].

    on: from where to where along the other [mm]; kind: how; joints: by which; pairs: the keys of the parts that meet,
    of the member and of the other; bolts: those among the joints; carries: whether the other is what carries the
    member there; if not, neither does, or it is a ladder.
    """

    member: Member
    at: float
    carrier: Member
    on: tuple[float, float]
    kind: Kind
    joints: list[Joint]
    pairs: list[tuple[str, str]]
    wide: float
    carries: bool
    bolts: list[Bolted] = field(default_factory=list)

    @property
    def presses(self) -> bool:
        """Whether it can only press, and parts when pulled."""
        return self.kind in ("rests", "hung")


def members_of(frame: Frame) -> Mapping[str, Member]:
    """The members of a frame, by the key of each part, numbered in the order of parts."""
    found: dict[str, Member] = {}
    for number, keys in enumerate(_glued_along(frame)):
        parts = tuple(frame.by_key[key] for key in keys)
        axis = parts[0].placement.along
        i = AXES.index(axis)
        layers = parts if axis == "z" or len(parts) == 1 else _layers(parts)
        boxes = [frame.boxes[part.key] for part in layers]
        low, high = min(box.low[i] for box in boxes) / MM, max(box.high[i] for box in boxes) / MM
        fillers = tuple(part for part in parts if part not in layers) if len(layers) < len(parts) else ()
        found |= dict.fromkeys(keys, Member(layers, axis, low, high, number, fillers))
    return found


def _glued_along(frame: Frame) -> Iterable[list[str]]:
    """The parts, those together that are glued along each other."""
    together = {key: [key] for key in frame.by_key}
    for joint in frame.joints:
        if isinstance(joint, Glued):
            one, other = (frame.by_key[key] for key in joint.parts)
            a, b = together[one.key], together[other.key]
            if a is not b and one.placement.along == other.placement.along:
                a += b
                together |= dict.fromkeys(b, a)
    order = {key: number for number, key in enumerate(frame.by_key)}
    every = {id(keys): keys for keys in together.values()}.values()
    return [sorted(keys, key=order.__getitem__) if len(keys) > 1 else keys for keys in every]


def spread(length: float, depth: float) -> float:
    """How much of a layer takes part in bending: nothing up to SPREADS depths, all of it from twice as many on."""
    return min(1.0, max(0.0, length / depth / SPREADS - 1))


def _layers(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """Those of the parts of a member that lies which bend with it."""
    stiff = layer_stiffnesses(parts)
    least = SLIGHT * max(stiff)
    return tuple(part for part, each in zip(parts, stiff, strict=True) if each >= least) or parts


def layer_stiffnesses(parts: Sequence[Part]) -> list[float]:
    """How much each of parts that lie beside each other resists bending as it stands, about its own middle: I [mm4].

    A part alone bends in full, however short it is; so does of several the longest, for its depth, and each other by as
    much less as it is spread over less; or all of them, where none is long enough to be spread over.
    """
    whole = [_inertia(part) for part in parts]
    shares = [spread(part.length / MM, _depth(part)) for part in parts] if len(parts) > 1 else []
    most = max(shares, default=0.0)
    return [each * share / most for each, share in zip(whole, shares, strict=True)] if most else whole


def _depth(part: Part) -> float:
    return (part.width if part.placement.across == "z" else part.section.thickness) / MM


def _inertia(part: Part) -> float:
    depth = _depth(part)
    return part.section.thickness / MM * part.width / MM * depth**2 / 12
