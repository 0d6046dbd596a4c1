"""The headings under which a form, or the help of a command, lists what may be asked, each declared once.

Whatever may be asked is `Headed`: an option of a design (`trade.option`), a member of a request (`members`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final, NamedTuple, Protocol, TypeVar


class Heading(NamedTuple):
    """A heading, and what holds for all that stands under it; a design may have headings of its own."""

    title: str
    note: str = ""

    @property
    def told(self) -> str:
        """Both in one line."""
        return f"{self.title}; {self.note}" if self.note else self.title


WHAT: Final = Heading("What is made")
SLEEPING_PLACE: Final = Heading("Sleeping place")
SIZE: Final = Heading("Size")
CONSTRUCTION: Final = Heading("How it is built")
GUARD_AND_LADDER: Final = Heading("Guard and ladder")
SLATS: Final = Heading("Slats, and what carries them")
BOARDS: Final = Heading("Boards", "unset: those that the price book usually takes")
JOINTS: Final = Heading("Bolts and screws")
PRICES: Final = Heading("Prices and lumber")
SHOP: Final = Heading("How your shop cuts", "unset: as the price book says")
HAVE: Final = Heading("What you have", "used before any is bought")
ROOM: Final = Heading("The room", "what is not told is not checked")
WAY_IN: Final = Heading("The way there", "what is not told is not checked")
USERS: Final = Heading("Who lifts it, and who uses it")
WORK: Final = Heading("Work, and what it may be sold for")
TOLD: Final = Heading("What is told of it")
FORM: Final = Heading("Form of the answer")


@dataclass(frozen=True, slots=True)
class Headed:
    """What may be asked, as a form shows it, beside how it is written.

    heading: what it stands under; label: what a form calls it, in words, by its name where nothing is said; rare: few
    ever set it, so that a form may fold it away.
    """

    name: str
    heading: Heading = field(default=WHAT, kw_only=True)
    label: str = field(default="", kw_only=True)
    rare: bool = field(default=False, kw_only=True)

    def __post_init__(self) -> None:
        """Take its name as its label where it has none."""
        if not self.label:
            object.__setattr__(self, "label", self.name.replace("_", " ").capitalize())


class Under(Protocol):
    """What stands under a heading."""

    @property
    def heading(self) -> Heading:
        """The heading."""


Of = TypeVar("Of", bound=Under)


def by_heading(listed: Iterable[Of]) -> dict[Heading, list[Of]]:
    """Put things under their headings, each heading where the first of its things stands."""
    found: dict[Heading, list[Of]] = {}
    for each in listed:
        found.setdefault(each.heading, []).append(each)
    return found
