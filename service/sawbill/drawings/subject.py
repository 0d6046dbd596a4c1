"""What to draw: a frame with its name, the letters of its parts, and the pieces it is carried as, one by one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Literal

from sawbill.drawings.lines.view import View
from sawbill.drawings.paper.sheet import NOT_TO_SCALE, PAPERS, Heading, Paper, Sheet, sheet
from sawbill.making.assembly import Placed, assembly
from sawbill.making.stages import Stage, stages
from sawbill.trade.boxes import AXES, Box
from sawbill.trade.frame import Frame, Joint
from sawbill.trade.lengths import System


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece as it is carried; kind: the name it shares with pieces alike; stays: the joints made in the shop."""

    name: str
    kind: str
    parts: tuple[str, ...]
    stays: tuple[Joint, ...]


@dataclass(frozen=True)
class Subject:
    """A frame to draw. title: of the furniture; labels: what the cut list calls each part; system: of its lengths.

    chosen: the paper, None for the usual one.
    """

    title: str
    frame: Frame
    labels: Mapping[str, str]
    system: System
    chosen: Paper | None = None

    @property
    def paper(self) -> Paper:
        """What it is drawn on: as its lengths are written, unless another is chosen."""
        return self.chosen or PAPERS[self.system]

    def sheet(
        self, name: str, drawing: str, words: str, scale: str = NOT_TO_SCALE, *, projected: bool = False, note: str = ""
    ) -> Sheet:  # fmt: skip
        """A sheet to draw on, as of a `Heading`."""
        return sheet(Heading(name, self.title, drawing, scale, self.system, words, self.paper, projected, note))

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """The carried pieces in the order they go up, like ones together."""
        return assembly(self.frame)

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        """How each of them goes up."""
        return stages(self.frame, self.placed, self.system)

    @cached_property
    def turns(self) -> tuple[tuple[int, ...], ...]:
        """By stage: which of the pieces go up in it."""
        counts = [len(_single(placed)) for placed in self.placed]
        starts = accumulate(counts, initial=0)
        return tuple(tuple(range(start, start + count)) for start, count in zip(starts, counts, strict=False))

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Every carried piece by itself, in the order they go up."""
        return tuple(piece for placed in self.placed for piece in _single(placed))

    @cached_property
    def piece_of(self) -> Mapping[str, int]:
        """By part: which of the pieces it belongs to."""
        return {key: i for i, piece in enumerate(self.pieces) for key in piece.parts}

    def seen_from(self, view: View) -> str:
        """From where a view that looks along an axis is seen, by the names that the frame's sides have."""
        axis = next(k for k in range(3) if abs(view.toward[k]) > 0.99)
        toward: Literal[1, -1] = 1 if view.toward[axis] > 0 else -1
        if axis == 2:
            return "from above" if toward > 0 else "from below"
        return f"from the {self.frame.sides.name(AXES[axis], toward)}"

    def boxes(self, keys: tuple[str, ...]) -> tuple[Box, ...]:
        """The space of parts."""
        return tuple(self.frame.boxes[key] for key in keys)

    def grain(self, keys: tuple[str, ...]) -> tuple[int, ...]:
        """Along which axis each part is long."""
        return tuple(AXES.index(self.frame.by_key[key].placement.along) for key in keys)


def _single(placed: Placed) -> list[Piece]:
    """Pieces alike, one by one: each has as many of the parts, in their order."""
    each, rest = divmod(len(placed.parts), placed.count)
    if placed.count == 1 or rest or not each:
        return [Piece(placed.name, placed.name, placed.parts, placed.stays)]
    found = []
    for i in range(placed.count):
        parts = placed.parts[i * each : (i + 1) * each]
        stays = tuple(joint for joint in placed.stays if set(joint.parts) <= set(parts))
        found.append(Piece(f"{placed.name} {i + 1}", placed.name, parts, stays))
    return found
