"""Where the furniture is to stand, the way there and who uses it, as far as the maker tells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, not_checked

ONE_PERSON: Final = 23_000
"""The load constant for one person's lifting [g] (Revised NIOSH Lifting Equation, 1991: 23 kg, 51 lb)."""
HEAVIEST_USER: Final = 110_000
"""What one who uses the furniture weighs at most [g] (EN 1725:1998, scope: up to 110 kg)."""


@dataclass(frozen=True, slots=True)
class Site:
    """The room, the door, the vehicle that brings it [all nm], what one person may lift, what one user weighs [g].

    ceiling: its height above the floor; door_swing: how far the door opens into the room; vehicle_*: the load
    space; indoors: whether the furniture stands in a dwelling. None stands for what is not told.
    """

    room_length: int | None = None
    room_width: int | None = None
    ceiling: int | None = None
    door_width: int | None = None
    door_height: int | None = None
    door_swing: int | None = None
    vehicle_length: int | None = None
    vehicle_width: int | None = None
    vehicle_height: int | None = None
    one_person: int = ONE_PERSON
    heaviest_user: int = HEAVIEST_USER
    indoors: bool = True


ASKED: Final[Mapping[str, tuple[str, ...]]] = {
    "the room": ("room_length", "room_width"),
    "the ceiling": ("ceiling",),
    "the door": ("door_width", "door_height"),
    "the vehicle": ("vehicle_length", "vehicle_width", "vehicle_height"),
}
"""What a frame is held against, and what must be told for it."""


def check_told(site: Site) -> list[Finding]:
    """One finding that names what was not told, and so not wholly checked; none where all was."""
    missing = {what: [name for name in names if getattr(site, name) is None] for what, names in ASKED.items()}
    missing = {what: names for what, names in missing.items() if names}
    if not missing:
        return []
    wanted = [name for names in missing.values() for name in names]
    return [
        not_checked(
            "site", PRACTICE, f"Not held against all of {words([*missing])}: for that, give {words(wanted)} in site."
        )
    ]


def words(names: Sequence[str]) -> str:
    """Several names as one phrase."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)
