"""What racking comes to, in findings: how far a frame sways along and across, and how much of its corners that uses."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, Status, compare, unreckoned
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import MINUTES, G
from sawbill.checks.members import Member
from sawbill.checks.racking.bearing import Bearing, Use, What
from sawbill.checks.racking.crossings import Crossings
from sawbill.checks.racking.elevations import Elevation, elevations, standing
from sawbill.checks.racking.holds import Hold, between
from sawbill.checks.racking.sway import Racked, Swayed
from sawbill.checks.racking.void import Hinge, Void, does_not_count, hinge_of, last_of, turns
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import SOURCES, Standard
from sawbill.checks.site import HEAVIEST_USER
from sawbill.trade.boxes import Axis
from sawbill.trade.lengths import MM

SHAKE: Final = 120 / (HEAVIEST_USER * G)
"""One shakes furniture with one hand, in his weights: 120 N (common practice, no source)."""
SHOVE: Final = 300 / (HEAVIEST_USER * G)
"""One stumbles against a bed, a seat or a table, or drops into it aslant, in his weights: 300 N, as the legs of a
seat are pushed sideways (EN 12520, from memory; for beds, tables and workbenches borrowed)."""
SWAYS: Final = 40
"""Furniture may sway by this part of its height when it is shaken: as far as a storey of a house may (ASCE 7-16, Table
12.12-1, from memory; borrowed)."""
LOOSE: Final = 10.0
"""Or by so much where it is low: nobody feels it as loose [mm] (common practice, no source)."""
SHAKEN: Final = "one shakes it {}"
SHOVED: Final = "someone stumbles against it {}"
WAYS: Final[Mapping[Axis, str]] = {"x": "lengthwise", "y": "sideways"}
"""What each direction is called."""


@dataclass(frozen=True, slots=True)
class Direction:
    """A frame pushed along an axis: how many elevations share that, how it is shoved in users' weights, each of those
    that differ.

    worst: by standard, of which of them; why: nothing keeps it from falling over, where that is known.
    """

    along: Axis
    share: int
    shove: float
    racked: Sequence[Racked]
    swayed: Sequence[Swayed]
    worst: Mapping[Standard, tuple[int, Use]]
    loose: Sequence[Member] = ()
    why: Void | Hinge | None = None

    @property
    def when(self) -> str:
        """What is going on when it is pushed hardest."""
        return (SHOVED if self.shove > SHAKE else SHAKEN).format(WAYS[self.along])

    @property
    def furthest(self) -> tuple[int, int] | None:
        """Which elevation sways furthest for what it may, by which push; None: nothing keeps it from falling."""
        found = None
        most = -1.0
        for number, swayed in enumerate(self.swayed):
            if not swayed.stands.all():
                return None
            half = len(swayed.sway) // 2
            ratios = [sway / limit(top) for sway, top in zip(swayed.sway[:half], swayed.tops[:half], strict=True)]
            for column, ratio in enumerate(ratios):
                if ratio > most * (1 + 1e-9):
                    found, most = (number, column), ratio
        return found


def limit(top: float) -> float:
    """How far what is so high may sway [mm]."""
    return max(LOOSE, top / SWAYS)


class Leaning:
    """A frame pushed along and across, whatever its wood: its elevations, how far each sways, when that is asked.

    void: what of the holds of an elevation does not count where it is, as the frame was found in all of its wood.
    """

    def __init__(self, paths: LoadPaths, user: int) -> None:
        """For users of a mass [g]."""
        self.paths, self._user = paths, user
        used = paths.frame.sleeping_places or any(surface.use != "shelf" for surface in paths.frame.surfaces)
        self.shove = SHOVE if used else SHAKE
        crossings = Crossings(paths)
        self.seen: Mapping[Axis, Sequence[Elevation]] = {along: elevations(crossings, along) for along in WAYS}
        self.void: dict[tuple[Axis, int], Sequence[tuple[Hold, Standard]]] = {}
        self._pushed: dict[object, tuple[Racked, Swayed]] = {}

    def loose(self, along: Axis) -> Sequence[Member]:
        """What stands on others and, seen from that side, in no elevation: nothing was found that keeps it upright."""
        held = {member for each in self.seen[along] for member in each.members}
        on = {link.member for link in self.paths.links if link.kind == "rests" and link.carrier.upright}
        return [each for each in self.paths.members
                if each in on and each.upright and each not in held and not self.paths.climbed(each)]  # fmt: skip

    def why(self, along: Axis, number: int) -> Void | Hinge | None:
        """What is known of an elevation that falls; None: nothing, or none does."""
        if number < 0:
            return None
        racked, seen = self.pushed(along, number)[0], self.seen[along][number]
        return last_of(self.paths, seen, self.void.get((along, number), ())) or hinge_of(seen, racked.holds)

    def pushed(self, along: Axis, number: int, left: Sequence[Hold] = ()) -> tuple[Racked, Swayed]:
        """An elevation as it is pushed, by its share of what one does who shakes and shoves the frame.

        left: what of its holds is taken as not there.
        """
        key = along, number, *((hold.corner, hold.kind, hold.sense, hold.butt) for hold in left)
        if key not in self._pushed:
            seen = self.seen[along]
            pushes = [self._user * G * push / len(seen) for push in (SHAKE, self.shove)]
            racked = self.pushed(along, number)[0].without(left) if left else Racked(self.paths, seen[number])
            self._pushed[key] = racked, racked.pushed(pushes)
        return self._pushed[key]


def rack(leaning: Leaning, timber: Timber, screwed: ScrewedJoints) -> Iterator[Direction]:
    """Push a frame along and across; of elevations alike, in like wood, one stands for all."""
    paths, bearing = leaning.paths, Bearing(leaning.paths, timber, screwed, MINUTES)
    for along, seen in leaning.seen.items():
        unlike = {
            (
                each.key(paths.frame.boxes),
                *(timber.cut_for(part) for member in each.members for part in member.parts),
            ): n
            for n, each in reversed([*enumerate(seen)])
        }
        numbers = [*reversed(unlike.values())]
        told = [_pushed(leaning, bearing, along, number) for number in numbers]
        worst: dict[Standard, tuple[int, Use]] = {}
        for number, (_, _, uses) in enumerate(told):
            for use in uses:
                if use.standard not in worst or use.used > worst[use.standard][1].used * (1 + 1e-9):
                    worst[use.standard] = number, use
        racked, swayed = [each for each, _, _ in told], [each for _, each, _ in told]
        falls = (number for number, each in zip(numbers, swayed, strict=True) if not each.stands.all())
        why = leaning.why(along, next(falls, -1))
        yield Direction(along, len(seen), leaning.shove, racked, swayed, worst, leaning.loose(along), why)


def _pushed(
    leaning: Leaning, bearing: Bearing, along: Axis, number: int
) -> tuple[Racked, Swayed, Sequence[Use]]:  # fmt: skip
    """An elevation under pushes, and what they use; bolts that do not count where they are, as if they were not
    there: of some parts alone, as it was found of all."""
    timber, place = bearing.timber, (along, number)
    left = list(leaning.void.get(place, ())) if timber.some else []
    while True:
        racked, swayed = leaning.pushed(along, number, [hold for hold, _ in left])
        asked = not timber.leaves_out(part.key for member in racked.seen.members for part in member.parts)
        uses = [*bearing.uses(racked, swayed)] if asked and swayed.stands.all() else []
        void = [(racked.holds[use.hold], use.standard) for use in uses if use.hold >= 0 and not use.bears]
        if not void:
            if not timber.some:
                leaning.void[place] = left
            return racked, swayed, uses
        left += void


def findings(paths: LoadPaths, directions: Sequence[Direction]) -> Iterator[Finding]:
    """Sway and strength along, then across; none of what no posts carry, for that does not lean."""
    stands = [member for member in standing(paths) if member.upright and not paths.climbed(member)]
    keys = tuple(part.key for member in stands or _posts(paths) for part in member.parts)
    for each in directions if keys else ():
        furthest, name = each.furthest, WAYS[each.along]
        if each.loose:
            yield _not_held(each.loose, name)
        if furthest is None and stands and each.why is not None:
            when = SHAKEN.format(name)
            yield turns(each.why, when, keys) if isinstance(each.why, Hinge) else does_not_count(each.why, when, keys)
            continue
        if furthest is None:
            yield unreckoned("sway", PRACTICE, (_LEANS if stands else _UNSEEN).format(name), keys)
            continue
        number, column = furthest
        yield _sway(each, number, column)
        for standard, (which, use) in each.worst.items():
            yield _used(each, standard, which, use)


_LEANS: Final = (
    "Nothing that was checked keeps it from leaning over {}. Two bolts or screws at a corner, far apart, far from "
    "edges and deep in the wood, keep that square; a wall it is fixed to holds it."
)
_UNSEEN: Final = (
    "Nobody knows whether it leans over {}: none of its posts stands on the floor or on a part that lies there, and "
    "only such posts were checked."
)


def _posts(paths: LoadPaths) -> Sequence[Member]:
    """The posts that carry those who use a frame, wherever they stand."""
    places, surfaces = paths.frame.sleeping_places, paths.frame.surfaces
    used = [*(each.slats for each in places), *(each.parts for each in surfaces)]
    carriers = dict.fromkeys(link.carrier for link in paths.under(paths.of[key] for keys in used for key in keys))
    return [each for each in carriers if each.upright]


def _not_held(loose: Sequence[Member], name: str) -> Finding:
    return unreckoned(
        "sway", PRACTICE,
        f"Nothing that was checked keeps the {loose[0].parts[0].name} from leaning {name} where it stands on another.",
        tuple(part.key for member in loose for part in member.parts),
    )  # fmt: skip


def _sway(direction: Direction, number: int, column: int) -> Finding:
    swayed, racked, name = direction.swayed[number], direction.racked[number], WAYS[direction.along]
    post = racked.pushed_at[column // 2 % len(racked.pushed_at)]
    most = int(limit(float(swayed.tops[column])) * MM)
    found = ceil(round(float(swayed.sway[column]) * 1000, 6)) * MM // 1000
    return compare(
        "sway", PRACTICE, found, "<=", most,
        (f"The most sway is at the {post.parts[0].name}, when {SHAKEN.format(name)}.",
         f"It leans too far when {SHAKEN.format(name)}, once its bolts are loose. Bolts and screws further apart at "
         "its corners give way less; a wall it is fixed to holds it."),
        tuple(part.key for part in post.parts),
    )  # fmt: skip


_WHAT: Final = {
    "bolts": "bolts between the {} and the {}", "screws": "screws between the {} and the {}",
    "pressed face": "wood where the {} presses on the {}", "washers": "washers that hold the {} against the {}",
    "bent wood": "{} where it is bent beside the {}",
}  # fmt: skip


_LESS: Final = (
    "Wider boards there take load off them as a rule, if bolts or screws come further apart or the boards meet over "
    "more of their height."
)
_BETTER: Final[Mapping[What, str]] = {
    "bolts": _LESS, "screws": _LESS, "washers": _LESS,
    "pressed face": "Wider boards there, where they meet, take load off it.",
    "bent wood": "Deeper or thicker sections and better grades bear more.",
}  # fmt: skip
_CLAUSES: Final[Mapping[What, Mapping[Standard, str]]] = {
    "bolts": {"NDS": "12.3.1, 12.5.1", "EC5": "8.2.2, 8.5.1.1"},
    "screws": {"NDS": "12.3.1, 12.1.5", "EC5": "8.2.2, 8.7.1"},
    "pressed face": {"NDS": "3.10.2", "EC5": "6.1.5"},
    "washers": {"NDS": "3.10.2", "EC5": "8.5.2"},
    "bent wood": {"NDS": "3.3", "EC5": "6.1.6"},
}


def named(use: Use, racked: Racked) -> str:
    """What is used, in words."""
    corner, words = racked.seen.corners[use.corner], _WHAT[use.what]
    if use.bent is not None:
        member, layer = use.bent
        one, other = between(corner, corner.fasteners)
        return words.format(layer.parts[0].name, other if corner.one is member else one)
    hold = racked.holds[use.hold]
    one, other = between(corner, hold.by)
    if use.what in ("pressed face", "washers"):
        butt = corner.butts[hold.butt]
        post = one if corner.one.upright else other
        return words.format(*((butt.part.name, butt.against.name) if use.what == "pressed face"
                              else (butt.against.name, post)))  # fmt: skip
    return words.format(other, one)


def _used(direction: Direction, standard: Standard, number: int, use: Use) -> Finding:
    racked, when = direction.racked[number], direction.when
    corner, what = racked.seen.corners[use.corner], named(use, racked)
    keys = tuple(part.key for member in (corner.one, corner.other) for part in member.parts)
    return compare(
        "racking", SOURCES[standard], ceil(round(use.used * 1000, 6)), "<=", 1000,
        (f"The highest use is in the {what}, when {when}.",
         f"The {what} may give when {when}. {_BETTER[use.what]}"),
        keys, Status.FAIL, clause=_CLAUSES[use.what][standard], unit="share",
    )  # fmt: skip
