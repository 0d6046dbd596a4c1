"""Where the furniture is to stand, the way there and who uses it, as far as the maker tells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, not_checked
from sawbill.trade.declaring.headings import ROOM, USERS, WAY_IN
from sawbill.trade.declaring.kinds import Length, Mass, YesNo
from sawbill.trade.declaring.members import asked
from sawbill.trade.lengths import MM

ONE_PERSON: Final = 23_000
"""The load constant for one person's lifting [g] (Revised NIOSH Lifting Equation, 1991: 23 kg, 51 lb)."""
HEAVIEST_USER: Final = 110_000
"""What one who uses the furniture weighs at most [g] (EN 1725:1998, scope: up to 110 kg)."""


_ROOM: Final = Length(1000 * MM, 30_000 * MM)
_DOOR: Final = Length(300 * MM, 5000 * MM)
"""Any dwelling (our own limits, no source)."""
_VEHICLE: Final = Length(300 * MM, 5000 * MM)
"""Any lorry, but for its length (our own limits, no source)."""


@dataclass(frozen=True, slots=True)
class Site:
    """The room, the door, the vehicle that brings it [all nm], what one person may lift, what one user weighs [g].

    None stands for what is not told.
    """

    room_length: int | None = asked(_ROOM, "The room's floor, along its longer wall.", "14 ft", None, heading=ROOM)
    room_width: int | None = asked(_ROOM, "The room's floor, along its shorter wall.", "11 ft", None, heading=ROOM)
    ceiling: int | None = asked(
        Length(1000 * MM, 10_000 * MM), "How high the ceiling is above the floor.", "8 ft", None, heading=ROOM,
        label="Ceiling height",
    )  # fmt: skip
    door_width: int | None = asked(
        _DOOR, "The clear width of the narrowest door on the way.", "30 in", None, heading=WAY_IN
    )
    door_height: int | None = asked(
        Length(500 * MM, 5000 * MM), "The clear height of the lowest door on the way.", "78 in", None, heading=WAY_IN
    )
    door_swing: int | None = asked(
        Length(0, 5000 * MM),
        "How far the room's door opens into it, its leaf's width; unset: it does not.", "32 in", None,
        heading=ROOM, label="Swing of the door", rare=True,
    )  # fmt: skip
    vehicle_length: int | None = asked(
        Length(300 * MM, 20_000 * MM), "The length of the vehicle's load space.", "72 in", None, heading=WAY_IN
    )
    vehicle_width: int | None = asked(_VEHICLE, "The width of the vehicle's load space.", "48 in", None, heading=WAY_IN)
    vehicle_height: int | None = asked(
        _VEHICLE, "The height of the vehicle's load space.", "32 in", None, heading=WAY_IN
    )
    one_person: int = asked(
        Mass(5_000, 100_000), "What one person may lift, with its unit; unset: 23 kg.", "20 kg", ONE_PERSON,
        heading=USERS, label="What one person may lift", rare=True,
    )  # fmt: skip
    heaviest_user: int = asked(
        Mass(30_000, 300_000), "What one who uses the furniture weighs at most, with its unit; unset: 110 kg.", "95 kg",
        HEAVIEST_USER, heading=USERS,
    )  # fmt: skip
    indoors: bool = asked(
        YesNo(), "Whether the furniture stands in a dwelling, where treated wood is not used; unset: yes.", True, True,
        heading=ROOM, rare=True,
    )  # fmt: skip


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
    wanted = [name.replace("_", " ") for names in missing.values() for name in names]
    return [not_checked("site", PRACTICE, f"Not compared with all of {words([*missing])}: give the {words(wanted)}.")]


def words(names: Sequence[str]) -> str:
    """Several names as one phrase."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)
