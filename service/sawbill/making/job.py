"""A job: so many of one frame, with what its steps and tools are worked out from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from sawbill.making.assembly import Placed, assembly
from sawbill.making.drilling import Drilled, drilling
from sawbill.making.gluing import Glueing, gluing
from sawbill.making.marks import Mark, marks
from sawbill.making.operations import Operations, operations
from sawbill.making.rates import Minutes, Rates
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import System


@dataclass(frozen=True)
class Job:
    """So many of one frame to be made: ids: the cut list's id of every part; heavy: carried pieces for two to lift."""

    frame: Frame
    quantity: int
    ids: Mapping[str, str]
    rates: Rates
    units: System
    heavy: frozenset[str] = frozenset()

    @cached_property
    def operations(self) -> Operations:
        """What is done to the wood."""
        return operations(self.frame)

    @cached_property
    def marks(self) -> Mapping[str, Mark]:
        """What every part is marked with."""
        return marks(self.frame, self.operations.laid_out, self.ids)

    @cached_property
    def drilling(self) -> tuple[Drilled, ...]:
        """The holes of every mark."""
        return drilling(self.frame, self.operations.laid_out, self.ids, self.marks)

    @cached_property
    def gluing(self) -> tuple[Glueing, ...]:
        """Where the parts of every glue-up sit."""
        return gluing(self.frame, self.operations.glue_ups, self.ids)

    @cached_property
    def placed(self) -> tuple[Placed, ...]:
        """The order in which the pieces go up."""
        return assembly(self.frame)

    def time(self, **counts: Fraction | int) -> Minutes:
        """What so many of each rate take together [min]."""
        return sum((self.rates[name] * count for name, count in counts.items()), Minutes())

    def names(self, keys: Iterable[str]) -> tuple[str, ...]:
        """The ids of parts, each once."""
        return tuple(dict.fromkeys(self.ids[key] for key in keys))
