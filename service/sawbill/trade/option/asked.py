"""What every kind of option declares."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal, TypeVar

from sawbill.trade.declaring.headings import Headed
from sawbill.trade.lengths import System

Value = TypeVar("Value")
Concern = Literal["carrying"]
"""What an option may ease: how pieces are carried home, and into the room."""
MAX_TEXT: Final = 100
"""The longest text that an option may be given as [characters]."""


@dataclass(frozen=True, slots=True)
class Asked(Headed):
    """What every kind of option declares beside how it is written.

    stays: whether it says what the furniture is for, or how it is to look, so that neither ways out of a check nor
    proposals change it unless they are told to: to ask for less would mend nothing.
    eases: what another value of it is good for, if that is known: pieces that are shorter or lighter to carry. Where
    a check of that is not met, it is tried before the other options.
    """

    stays: bool = field(default=False, kw_only=True)
    eases: Concern | None = field(default=None, kw_only=True)


def by_system(system: System, inch: Value, metric: Value | None) -> Value:
    """What is usual in a system: the metric value, where it is not the same."""
    return inch if system == "inch" or metric is None else metric
