"""A frame seen from one side: what stands, what lies in that plane, and the corners where they are fixed together.

Seen from the front or from an end, a piece of furniture is several such elevations one behind the other: two sides, or
two ends. Of what runs toward the eye only its faces count, against which others butt. A ladder may be taken away, so it
holds nothing. Lengths [mm], the eye's own across from left to right, and up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.racking.crossings import TOWARD, Crossings
from sawbill.trade.boxes import AXES, Axis, Box
from sawbill.trade.frame import Bolted, Fastener, Part
from sawbill.trade.lengths import MM

Spot = tuple[float, float]
"""A place in an elevation: across, and up."""


@dataclass(slots=True)
class Butt:
    """Where the end of what lies butts against a face of what is held to a post.

    sense: 1 where that is its right end; low, high: from where to where the face is; part, against: what butts, and on
    what; holding: the bolts that keep that on the post; prying: how many times the press they are pulled with, for they
    are beside the place where it is pressed; 0 where it is pressed onto the post.
    """

    sense: int
    low: float
    high: float
    part: Part
    against: Part
    holding: Sequence[Bolted]
    prying: float

    @property
    def pressed(self) -> float:
        """How much of its height the edge presses on: a quarter (common practice, no source)."""
        return (self.high - self.low) / 4


@dataclass(slots=True)
class Corner:
    """Where two members of an elevation are fixed to each other, by what passes through both toward the eye.

    glue: the face they share, where it is glued: from where to where, across and up.
    """

    one: Member
    other: Member
    fasteners: list[Fastener] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)
    glue: list[tuple[float, float, float, float]] = field(default_factory=list)
    butts: list[Butt] = field(default_factory=list)

    @property
    def at(self) -> Spot:
        """The middle of what holds it."""
        spots = self.spots or [((a + b) / 2, (c + d) / 2) for a, b, c, d in self.glue]
        return sum(x for x, _ in spots) / len(spots), sum(z for _, z in spots) / len(spots)


@dataclass(slots=True)
class Elevation:
    """Members that hold each other in one plane, two of them at least on the floor, and their corners; along: the axis
    that the eye sees across; grounded: what stands on the floor; flat: what lies on it, as a foot of a post does."""

    along: Axis
    members: list[Member]
    corners: list[Corner]
    grounded: list[Member]
    flat: list[Member] = field(default_factory=list)

    @property
    def pushed(self) -> list[Member]:
        """What it is pushed at the top of: what stands on the floor, and what stands highest on that, as on posts."""
        beside: defaultdict[Member, list[Member]] = defaultdict(list)
        for corner in self.corners:
            if corner.one.upright and corner.other.upright:
                beside[corner.one].append(corner.other)
                beside[corner.other].append(corner.one)
        tops = [max(_reached(foot, beside), key=lambda member: member.high) for foot in self.grounded]
        return [*dict.fromkeys([*self.grounded, *tops])]

    def key(self, boxes: Mapping[str, Box]) -> object:
        """What is the same for elevations that are the same, one behind the other."""
        i = AXES.index(self.along)
        return tuple(
            (each.axis, each.low, each.high, *(boxes[part.key].low[i] for part in each.parts[:1]),
             *(part.section.name for part in each.parts))
            for each in self.members
        ), tuple(tuple(each.spots) for each in self.corners)  # fmt: skip


def standing(paths: LoadPaths) -> tuple[Member, ...]:
    """What stands or lies on the floor, and what stands on a part that lies on it, as on a pad."""
    boxes, floor = paths.frame.boxes, paths.grounded
    padded = [
        link.member for link in paths.links
        if link.member.upright and link.carrier in floor and not link.carrier.upright
        and any(boxes[one].low[2] == boxes[other].high[2] for one, other in link.pairs)
    ]  # fmt: skip
    return tuple(dict.fromkeys((*floor, *padded)))


def elevations(crossings: Crossings, along: Axis) -> list[Elevation]:
    """Those of a frame that can keep it from leaning along an axis.

    An upright that stands neither on the floor, nor on a part that lies there, nor on another, such as that of a guard,
    is left out: what it does is not needed, and its screws would be taken to bear what they may let go. So is what
    hangs between others, as a beam on legs of its own does between two ends: it leans no further than they let it, and
    is not trusted to hold them.
    """
    corners, grounded = _corners(crossings, along), set(standing(crossings.paths))
    stacked = {each for c in corners if c.one.upright and c.other.upright for each in (c.one, c.other)}
    idle = {each for c in corners for each in (c.one, c.other) if each.upright} - grounded - stacked
    corners = [each for each in corners if not (each.one in idle or each.other in idle)]
    found, hung = [], {link.member for link in crossings.paths.links if link.kind == "hung"}
    for together in _together(corners):
        if not hung.isdisjoint(together):
            continue
        feet = [each for each in together if each.upright and each in grounded]
        flat = [each for each in together if not each.upright and each in grounded]
        if len(feet) > 1 or (feet and flat):
            inside = [each for each in corners if each.one in together]
            _butt(crossings, along, inside)
            found.append(Elevation(along, list(together), inside, feet, flat))
    return found


def _together(corners: Sequence[Corner]) -> Iterator[dict[Member, None]]:
    """The members that corners hold together, in their order."""
    linked: defaultdict[Member, list[Member]] = defaultdict(list)
    for corner in corners:
        linked[corner.one].append(corner.other)
        linked[corner.other].append(corner.one)
    seen = set[Member]()
    for first in linked:
        if first not in seen:
            together = _reached(first, linked)
            seen |= together.keys()
            yield dict.fromkeys(sorted(together, key=lambda member: member.number))


def _reached(first: Member, linked: Mapping[Member, Sequence[Member]]) -> dict[Member, None]:
    """A member and all that one comes to from it."""
    found, waiting = {first: None}, [first]
    while waiting:
        new = [each for each in linked.get(waiting.pop(), ()) if each not in found]
        found |= dict.fromkeys(new)
        waiting += new
    return found


def _corners(crossings: Crossings, along: Axis) -> list[Corner]:
    """Every corner of a direction."""
    toward, i = TOWARD[along], AXES.index(along)
    found: dict[tuple[int, int], Corner] = {}
    for joint, members in crossings.fastened:
        if joint.axis == toward:
            inside = [each for each in members if each.axis != toward]
            for one, other in pairwise(inside):
                corner = _corner(found, one, other)
                corner.fasteners.append(joint)
                corner.spots.append((joint.head[i] / MM, joint.head[2] / MM))
    boxes = crossings.paths.frame.boxes
    for glued, one, other in crossings.glued:
        a, b = (boxes[key] for key in glued.parts)
        if toward not in (one.axis, other.axis) and a.shared(b)[AXES.index(toward)] == 0:
            face = a.common(b)
            _corner(found, one, other).glue.append(
                (face.low[i] / MM, face.high[i] / MM, face.low[2] / MM, face.high[2] / MM)
            )
    return list(found.values())


def _corner(found: dict[tuple[int, int], Corner], one: Member, other: Member) -> Corner:
    if other.number < one.number:
        one, other = other, one
    key = one.number, other.number
    if key not in found:
        found[key] = Corner(one, other)
    return found[key]


def _butt(crossings: Crossings, along: Axis, corners: Sequence[Corner]) -> None:
    """Find what butts at corners: the end of what lies against what bolts along the eye's own across hold to a post."""
    i, boxes = AXES.index(along), crossings.paths.frame.boxes
    posts = {each for c in corners if c.one.upright != c.other.upright for each in (c.one, c.other) if each.upright}
    faces = {post: _faces(crossings, along, post) for post in posts}
    for corner in corners:
        post, lying = (corner.one, corner.other) if corner.one.upright else (corner.other, corner.one)
        if not lying.upright and (held := faces.get(post)):
            for part in lying.parts:
                box = boxes[part.key]
                for sense, place in ((1, box.high[i]), (-1, box.low[i])):
                    for key, bolts in held.get((sense, place), ()):
                        if (butt := _met(crossings, along, sense, (part, key), post, bolts)) is not None:
                            corner.butts.append(butt)


_Held = Mapping[tuple[int, int], Sequence[tuple[str, Sequence[Bolted]]]]
"""What bolts hold to a post, by the sense in which its face looks against what comes, and where that is."""


def _faces(crossings: Crossings, along: Axis, post: Member) -> _Held:
    of, boxes = crossings.paths.of, crossings.paths.frame.boxes
    held: dict[str, list[Bolted]] = {}
    for joint in crossings.ends(along).get(post, ()):
        for key in joint.parts:
            if of[key] is not post:
                held.setdefault(key, []).append(joint)
    found: dict[tuple[int, int], list[tuple[str, list[Bolted]]]] = {}
    for key, bolts in held.items():
        low, high = boxes[key].span(along)
        found.setdefault((1, low), []).append((key, bolts))
        found.setdefault((-1, high), []).append((key, bolts))
    return found


def _met(
    crossings: Crossings, along: Axis, sense: int, keys: tuple[Part, str], post: Member, bolts: Sequence[Bolted]
) -> Butt | None:
    """Whether an end meets a face, and how the bolts behind that are pulled: about the far edge of what lies on the
    post."""
    frame = crossings.paths.frame
    i, j, part, against = AXES.index(along), AXES.index(TOWARD[along]), keys[0], frame.boxes[keys[1]]
    box, stands = frame.boxes[part.key], crossings.around(post)
    if any(box.low[k] >= against.high[k] or against.low[k] >= box.high[k] for k in (j, 2)):
        return None
    start, end = max(box.low[j], against.low[j]), min(box.high[j], against.high[j])
    low, high = max(box.low[2], against.low[2]), min(box.high[2], against.high[2])
    prying = 0.0
    if against.low[i] >= stands.high[i] if sense > 0 else against.high[i] <= stands.low[i]:
        middle, held = (start + end) / 2, sum(each.head[j] for each in bolts) / len(bolts)
        far = min(stands.high[j], against.high[j]) if middle < held else max(stands.low[j], against.low[j])
        prying = max(1.0, abs(far - middle) / max(abs(far - held), 1.0))
    return Butt(sense, low / MM, high / MM, part, frame.by_key[keys[1]], bolts, prying)
