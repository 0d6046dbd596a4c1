"""What a step is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sawbill.making.rates import Minutes, Phase
from sawbill.making.stages import Stage

NONE: Final = Minutes()


@dataclass(frozen=True, slots=True)
class Step:
    """One step; parts: ids of the cut list; hands_on: of all its people together, waiting: while nobody works [min].

    stages: of putting together, or of taking apart, in their order.
    """

    title: str
    text: str
    parts: tuple[str, ...]
    hands_on: Minutes
    waiting: Minutes = NONE
    people: int = 1
    cautions: tuple[str, ...] = ()
    stages: tuple[Stage, ...] = ()
    phase: Phase = "making"

    @property
    def apart(self) -> bool:
        """Whether it takes the furniture apart."""
        return self.phase == "taking-apart"
