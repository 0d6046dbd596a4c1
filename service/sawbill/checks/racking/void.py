"""Why nothing keeps an elevation upright, where that is known: what does not count, or one bolt alone at a corner."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Final, Literal, NamedTuple

from sawbill.checks.finding import PRACTICE, Finding, Status, compare
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.racking.distances import nearest
from sawbill.checks.racking.elevations import Corner, Elevation
from sawbill.checks.racking.holds import Hold, between
from sawbill.checks.resistance.distances import ASKED_IN, DISTANCE_TO, Distance, room_for
from sawbill.checks.resistance.screws import SHORT
from sawbill.checks.resistance.wood import SOURCES, Standard
from sawbill.trade.fasteners import screw_sizes
from sawbill.trade.frame import Bolted, Screwed

PENETRATION: Final[Mapping[Standard, str]] = {"NDS": "12.1.5.6", "EC5": "8.7.2, from memory"}
"""Where either standard asks how far a screw goes in."""
SHORTER_MENDS: Final = "Thinner screws need less of it, and a thicker second part takes longer ones."
LONGER_MENDS: Final = (
    "Screws that thick are sold no longer: a thinner {} leaves more of their length, and thicker ones are sold longer."
)
"""Of the longest there are."""


class Void(NamedTuple):
    """Bolts or screws that do not count where they are, by a standard: what they lack, and how much of it [nm].

    between: the parts they hold, as they are called; part: the one they are too near to an end or an edge of, or go too
    short a way into; lacks: that in words; to: what the distance is to; mends: what kind of change acts on it.
    """

    standard: Standard
    clause: str
    what: Literal["bolts", "screws"]
    between: tuple[str, str]
    part: str
    lacks: str
    to: str
    mends: str
    found: int
    least: int


class Hinge(NamedTuple):
    """A corner that a single bolt or screw holds, about which it turns; between which parts, as they are called."""

    by: str
    between: tuple[str, str]


TWO: Final = 2
"""So many bolts or screws keep a corner square, or one with an end that butts (statics)."""


def hinge_of(seen: Elevation, holds: Sequence[Hold]) -> Hinge | None:
    """Of an elevation that nothing keeps square, the first corner; None: something does, for all that counts."""
    corner = None if holds else next((each for each in seen.corners if len(each.fasteners) == 1), None)
    if corner is None:
        return None
    return Hinge("bolt" if isinstance(corner.fasteners[0], Bolted) else "screw", between(corner, corner.fasteners))


def turns(hinge: Hinge, when: str, keys: tuple[str, ...]) -> Finding:
    """Say of posts that nothing keeps from leaning over that one fastener a corner is not enough."""
    return compare(
        "sway", PRACTICE, 1, ">=", TWO,
        ("", f"Nothing that counts keeps it from leaning over when {when}: a single {hinge.by} holds the "
             f"{hinge.between[1]} to the {hinge.between[0]}, and they turn about it. Two, far apart, keep a corner "
             "square, and smaller ones need less room."),
        keys, Status.FAIL, unit="count",
    )  # fmt: skip


def last_of(paths: LoadPaths, seen: Elevation, void: Iterable[tuple[Hold, Standard]]) -> Void | None:
    """Of what does not count in an elevation, what lacks least to count; None: all there is counts."""
    least: Void | None = None
    for hold, standard in void:
        corner = seen.corners[hold.corner]
        if isinstance(hold.by[0], Bolted):
            each = _near(corner, hold, standard, nearest(paths, corner, hold, standard))
        else:
            each = _short(paths, corner, hold, standard)
        if least is None or each.found * least.least > least.found * each.least:
            least = each
    return least


def _near(corner: Corner, hold: Hold, standard: Standard, distance: Distance) -> Void:
    held, to = between(corner, hold.by), f"{DISTANCE_TO[distance.kind]} of the {distance.part}"
    stands, lies = held if corner.one.upright else held[::-1]
    mends = room_for(distance.kind, "bolts")
    if distance.kind == "end" and distance.part == lies:
        mends = f"Smaller bolts need less room, and a wider {stands} lets them be further in."
    return Void(
        standard, ASKED_IN[standard], "bolts", held, distance.part, f"are too near to the {to}", to, mends,
        distance.found, distance.least,
    )  # fmt: skip


def _short(paths: LoadPaths, corner: Corner, hold: Hold, standard: Standard) -> Void:
    """Of screws, that which goes least far into the second part for how thick it is."""
    frame, screws = paths.frame, [each for each in hold.by if isinstance(each, Screwed)]
    into = {screw: frame.screw_length(screw) - frame.through(screw)[0] for screw in screws}
    shortest = min(into, key=lambda screw: Fraction(into[screw], screw_sizes()[screw.size].diameter))
    first, part = (frame.by_key[key].name for key in shortest.parts)
    size = screw_sizes()[shortest.size]
    longest = frame.screw_length(shortest) == size.lengths[-1]
    return Void(
        standard, PENETRATION[standard], "screws", between(corner, hold.by), part,
        f"go too short a way into the {part} for how thick they are", f"tip in the {part}",
        LONGER_MENDS.format(first) if longest else SHORTER_MENDS, into[shortest], SHORT * size.diameter,
    )  # fmt: skip


def does_not_count(void: Void, when: str, keys: tuple[str, ...]) -> Finding:
    """Say of posts that nothing keeps from leaning over what would, if it counted where it is."""
    why = (
        f"Nothing that counts keeps it from leaning over when {when}: the {void.what} between the {void.between[0]} "
        f"and the {void.between[1]} {void.lacks}. {void.mends}"
    )
    return compare(
        "sway", SOURCES[void.standard], void.found, ">=", void.least, ("", why), keys, Status.FAIL, clause=void.clause
    )
