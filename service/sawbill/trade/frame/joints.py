"""How parts of a frame are joined: glued, resting, hung, bolted, screwed; and the straps on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sawbill.trade import fasteners
from sawbill.trade.boxes import Axis, Point


@dataclass(frozen=True, slots=True)
class Glued:
    """Two parts glued face to face, for good."""

    parts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Resting:
    """The first part lies on the second, unfastened."""

    parts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Hung:
    """Parts that lie as one, unfastened, in a joist hanger fixed to the last part named.

    hanger: a hanger of `fasteners`, by name; gap: how far their end may be from what carries them [nm].
    """

    parts: tuple[str, ...]
    hanger: str
    gap: int = 0


@dataclass(frozen=True, slots=True)
class Housed:
    """The end of the first part is glued into a housing of the second, which is cut out of its wood to take it.

    The boxes of both claim that space. The first bears on the housing's lower side; screws through the second only
    keep it there.
    """

    parts: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Bolted:
    """A bolt through parts, named from its head to its far end.

    head: where the bolt's axis enters the first part; toward: +1 or -1 along `axis`; size: a bolt size of
    `fasteners`; end: what its thread goes into; large_washers: whether its washers are large, for it is pulled;
    round_head: whether its head is smooth, on a square neck that keeps it from turning, and no hexagon.
    """

    parts: tuple[str, ...]
    size: str
    head: Point
    axis: Axis
    toward: Literal[1, -1]
    end: fasteners.BoltEnd = "tee nut"
    large_washers: bool = False
    round_head: bool = False

    def moved(self, parts: tuple[str, ...], head: Point, toward: Literal[1, -1]) -> Bolted:
        """The same bolt through other parts."""
        return Bolted(parts, self.size, head, self.axis, toward, self.end, self.large_washers, self.round_head)

    @property
    def item(self) -> str:
        """What kind of hardware it is, as a price book lists it."""
        return "round-head bolt" if self.round_head else "hex bolt"


@dataclass(frozen=True, slots=True)
class Screwed:
    """A wood screw through the first part into the second."""

    parts: tuple[str, str]
    size: str
    head: Point
    axis: Axis
    toward: Literal[1, -1]

    def moved(self, parts: tuple[str, ...], head: Point, toward: Literal[1, -1]) -> Screwed:
        """The same screw through another part into another."""
        first, second = parts
        return Screwed((first, second), self.size, head, self.axis, toward)


Fastener = Bolted | Screwed
Lying = Resting | Hung
Joint = Glued | Lying | Housed | Fastener


@dataclass(frozen=True, slots=True)
class Strap:
    """A strap from the top of a part to a wall, so that the furniture cannot tip over; toward: where the wall is."""

    part: str
    axis: Literal["x", "y"]
    toward: Literal[1, -1]


@dataclass(frozen=True, slots=True)
class SlatStrap:
    """Webbing across the undersides of parts that lie side by side, one screw into each, so that they keep their gaps.

    parts: in their order; at: where its middle is along them [nm]; screw: a size.
    """

    parts: tuple[str, ...]
    at: int
    screw: str
