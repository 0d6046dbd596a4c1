"""What a written value is read against, and what is read alike wherever it may be written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from sawbill.trade import lumber
from sawbill.trade.declaring.shown import show
from sawbill.trade.lengths import INCH, MM, STEP, BySystem, LengthError, System, parse_length

COARSEST: Final[BySystem] = {"inch": INCH // 8, "metric": 5 * MM}
"""The coarsest step to lay out in: with a coarser one bolts and screws would be too far from where they hold best."""

YES: Final = ("yes", "true", "on", "1")
NO: Final = ("no", "false", "off", "0")
"""The words for yes and for no, as a query, a form or a sheet may write them."""


class OptionError(ValueError):
    """A value an option cannot take; `code` is stable, the message says what would be right.

    within: the member of a structured value that is at fault, if it has members.
    """

    def __init__(self, code: str, message: str, within: str | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.within = within


@dataclass(frozen=True, slots=True)
class Reading:
    """What options are read against: the shop's system, and the sections of its price book.

    usual: the section a shop usually takes for a role, by name; section: finds a section by its name,
    ValueError when there is none; step: to which the shop measures and cuts, None for what is usual [nm].
    """

    system: System
    usual: Callable[[str], str]
    section: Callable[[str], lumber.Section] = lumber.section
    step: int | None = None

    @property
    def tape(self) -> int:
        """The step that furniture is laid out in: the shop's, or the usual one where the shop's is too coarse [nm]."""
        return STEP[self.system] if self.step is None or self.step > COARSEST[self.system] else self.step


def yes_or_no(name: str, raw: object) -> bool:
    """Read yes or no: a JSON boolean, or one of YES and NO. Raises OptionError: it is neither."""
    if isinstance(raw, bool):
        return raw
    word = raw.strip().lower() if isinstance(raw, str) else ""
    if word in YES or word in NO:
        return word in YES
    raise OptionError("not-a-flag", f"{name} is {show(raw)}; it may be yes or no")


def written_length(name: str, raw: object) -> int:
    """Read a length as text with its unit [nm]. Raises OptionError: it is none."""
    if not isinstance(raw, str):
        raise OptionError("not-a-length", f"{name} is {show(raw)}; a length is text with its unit, such as 8 in")
    try:
        return parse_length(raw)
    except LengthError as error:
        raise OptionError("not-a-length", f"{name} is {show(raw)}: {error}") from None
