"""A low platform: a flat deck of slats as large as the mattress, on a base of legs or a plinth set back under it.

x runs from head to foot, y from left to right, z up from the floor. The base is a box of rails bolted to posts in
its corners: one course of rails for legs, as many as reach the floor for a plinth. The slats are screwed on its
upper edge, and low stops on the slats keep the mattress from sliding.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise
from typing import Final

from sawbill.trade import fasteners, option
from sawbill.trade.boxes import Box
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import (
    SEEN_FROM_THE_FOOT,
    Bolted,
    CarriedPiece,
    Frame,
    Note,
    Part,
    Placement,
    Screwed,
    SleepingPlace,
)
from sawbill.trade.lengths import INCH, MM, STEP, BySystem, format_length, round_down, round_up
from sawbill_designs.common.bolt_places import (
    FAR,
    LEAST,
    NDS,
    Bolt,
    Face,
    Point2,
    bolt_places,
    clamped,
    ends_apart,
    in_lamination,
)
from sawbill_designs.common.options import (
    BOLT_SIZE,
    CORNER_BOLTS,
    FINISH,
    SCREW_SIZE,
    SLAT_GAP,
    centre_support,
    mattress,
    mattress_allowance,
    slat_clearance,
)
from sawbill_designs.common.parts import (
    BEAM_THICKNESS,
    POST_THICKNESS,
    UNDER_SLATS,
    WIDE,
    Assembly,
    centre_beam,
    frame_of,
    laminated,
    laminations,
    mirrored,
    screw_that_holds,
)
from sawbill_designs.common.places import clear_place, quarters, shared
from sawbill_designs.common.slats import SlatRun, slat_deck, slat_run, slat_screws
from sawbill_designs.common.splices import IN_HALVES, Centre, Splice, carried, evenly, refuse_crowded, splice

STOP_WIDTH: Final[BySystem] = {"inch": INCH * 3 // 2, "metric": 40 * MM}
"""How wide a stop is, no higher than a slat is thick (practice)."""
BOLT_TIPS: Final = 1 * INCH
"""Room between the posts for the tips of two bolts, each half an inch past its tee nut at most (practice)."""

OPTIONS: Final = (
    mattress("queen", "eu-140"),
    option.Length(
        "height", "Height of the deck above the floor, on which the mattress lies.",
        default=10 * INCH, metric_default=250 * MM, least=4 * INCH, most=24 * INCH,
    ),
    option.Choice(
        "base", "What the deck stands on: a box of rails on legs, or a plinth of rails down to the floor.",
        choices=("legs", "plinth"), default="legs",
    ),
    option.Length(
        "overhang", "How far the deck reaches beyond the base at either side.",
        default=2 * INCH, metric_default=50 * MM, least=0, most=6 * INCH,
    ),
    option.Flag("stops", "Low stops around the deck that keep the mattress from sliding.", default=True),
    option.Section("rail", "Section of the rails of the base, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the centre beam.", role="ledger"),
    option.Section("post", "Section that the posts and the centre leg are laminated from.", role="post"),
    option.Section("slat", "Section of the slats, laid flat, and of the stops.", role="slat"),
    SLAT_GAP,
    centre_support("a beam and leg from 53 in (1.35 m) up, two legs from 70 in (1.78 m)"),
    BOLT_SIZE,
    CORNER_BOLTS,
    SCREW_SIZE,
    FINISH,
    IN_HALVES,
    mattress_allowance("the deck is, between the stops if any"),
    slat_clearance("its place the beam is, which lifts out"),
)  # fmt: skip


@dataclass(frozen=True)
class Layout:
    """Every dimension that follows from the options [nm]; heights are above the floor."""

    o: Options
    bolt: Bolt
    post_layers: int

    @property
    def stop(self) -> int:
        """How wide the stops are; 0 without them."""
        return min(self.o.at_least(STOP_WIDTH), int(self.o.slat.width)) if self.o.stops else 0

    @property
    def length(self) -> int:
        """Of the deck, and so of the base."""
        return evenly(self.o, self.o.at_least(self.o.mattress.length) + int(self.o.mattress_allowance) + 2 * self.stop)

    @property
    def width(self) -> int:
        """Of the deck, and so of its slats."""
        return self.o.at_least(self.o.mattress.width) + int(self.o.mattress_allowance) + 2 * self.stop

    @property
    def deck(self) -> int:
        """The height of the rails' upper edge, on which the slats lie."""
        return int(self.o.height - self.o.slat.thickness)

    @cached_property
    def courses(self) -> tuple[Point2, ...]:
        """The lower and the upper edge of each course of rails, from the top down."""
        if self.o.base == "legs":
            return ((self.deck - int(self.o.rail.width), self.deck),)
        count = -(-self.deck // int(self.o.rail.width))
        step = self.o.step if self.o.rail.width % self.o.step == 0 else 1  # never wider than the rail is
        edges = list(accumulate((-high for high in shared(self.deck, count, step)), initial=self.deck))
        return tuple((low, high) for high, low in pairwise(edges))

    @cached_property
    def slats(self) -> SlatRun:
        """Where the slats lie along the deck."""
        return slat_run(0, self.length, self.o.slat.width, self.o.slat_gap, doubled=False, step=self.o.step)

    @property
    def support(self) -> str:
        """What carries the slats at mid width."""
        if self.o.centre_support != "auto":
            return str(self.o.centre_support)
        return "beam and leg" if self.o.mattress.width >= WIDE else "none"

    @property
    def stop_ripped(self) -> int | None:
        """The width the stops are ripped to, None for the section's own."""
        return self.stop if self.stop < self.o.slat.width else None

    @property
    def end_stops(self) -> bool:
        """Whether the end slats lie flush with the deck's ends, so that stops can be screwed on them."""
        return bool(self.stop) and self.slats.starts[0] == 0

    @property
    def screw_room(self) -> int:
        """How far the screws of the stops keep from those of the slats, middle to middle."""
        size = screw_that_holds(self.o.screw_size, self.o.slat.thickness, self.o.rail.width)
        return 2 * fasteners.screw_sizes()[size].diameter

    @property
    def post_top(self) -> int:
        """The top of the posts, off the slats."""
        return self.deck - self.o.at_least(UNDER_SLATS)


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: no height for the rails, the beam or a course of a plinth."""
    at = Layout(o, Bolt.of(o), laminations(o.post, POST_THICKNESS))
    _check_heights(at)
    _check_width(at)
    left = _left(at)
    right = {
        name.replace("left", "right"): mirrored(each, "y", at.width, "left", "right") for name, each in left.items()
    }
    head = _end(at)
    ends = {"head": head, "foot": mirrored(head, "x", at.length, "head", "foot")}
    centre = _centre(at, (ends["head"].parts[0], ends["foot"].parts[0]))
    joints = (*_rail_joints(at, left), *centre.joints)
    refuse_crowded(joints, [part for each in (*left.values(), *right.values()) for part in each.parts])
    rails = tuple(tuple(piece.parts[0] for piece in side.values()) for side in (left, right))
    beams = (part for piece in centre.pieces.values() for part in piece.parts if part.name == "centre beam")
    slats = slat_deck(o, at.slats, (0, at.width), at.deck, (*rails[0], *rails[1], *beams))
    edge = o.overhang + o.near(o.rail.thickness // 2)
    near = [x for _, x in _bolts(at, at.courses[0])[0]]
    tied = (bolt.head[0] for joint in joints[:1] for bolt in joint.bolts) if o.in_halves else ()
    screws = slat_screws(
        o, slats.parts, tuple(zip(rails, (edge, at.width - edge), strict=True)),
        (*near, *(at.length - x for x in near), *tied), at.bolt.size.tee_nut.barrel_diameter,
    )  # fmt: skip
    stops = _stops(at, slats.parts, screws)
    low = (at.stop, at.stop, int(o.height))
    high = (at.length - at.stop, at.width - at.stop, int(o.height + o.mattress.thickness))
    return frame_of(
        *left.values(), *right.values(), *ends.values(), *centre.pieces.values(), *(each.whole for each in joints),
        slats, screws, stops,
        carried_pieces=(
            *(CarriedPiece(name, piece.keys) for name, piece in (left | right).items()),
            *(CarriedPiece(f"{end} end", piece.keys) for end, piece in ends.items() if len(piece.keys) == 1),
            *(CarriedPiece(key, (key,)) for piece in ends.values() if len(piece.keys) > 1 for key in piece.keys),
            *(CarriedPiece(name, piece.keys) for name, piece in centre.pieces.items()),
            *carried(joints),
            CarriedPiece("slat", slats.keys, len(slats.keys)),
            *(CarriedPiece(key, (key,)) for key in stops.keys),
        ),
        sleeping_places=(SleepingPlace("mattress", o.mattress, Box(low, high), slats.keys, o.slat_gap),),
        notes=_notes(at),
        finish=o.finish,
        sides=SEEN_FROM_THE_FOOT,
    )  # fmt: skip


def _check_heights(at: Layout) -> None:
    """Refuse a deck too low for the rails or the beam under it, and a plinth whose courses would be too low."""
    o, system = at.o, at.bolt.size.system

    def text(length: int) -> str:
        return format_length(round_up(length, STEP[system]), system)

    under = {f"slats of {o.slat.name} on a beam of {o.ledger.name}": o.ledger.width} if at.support != "none" else {}
    if o.base == "legs":
        under[f"slats of {o.slat.name} on rails of {o.rail.name}"] = o.rail.width
    for what, width in under.items():
        if at.deck < width:
            least = text(width + o.slat.thickness)
            raise RefusalError("height", f"height: {what} stand higher; {least} or more would do")


def _check_width(at: Layout) -> None:
    """Refuse an overhang or posts that leave no room between the posts for the beam and the tips of bolts."""
    o = at.o
    beam = 0 if at.support == "none" else laminations(o.ledger, BEAM_THICKNESS) * o.ledger.thickness + o.post.thickness
    spare = at.width - 2 * (o.rail.thickness + at.post_layers * o.post.thickness + BOLT_TIPS + beam)
    if spare < 0:
        raise RefusalError("post", "post: the posts leave no room between them; thinner posts or rails would do")
    if spare < 2 * o.overhang:
        system = at.bolt.size.system
        most = format_length(round_down(spare // 2, STEP[system]), system)
        raise RefusalError("overhang", f"overhang: the posts would leave no room between them; {most} or less would do")


def _bolts(at: Layout, course: Point2) -> tuple[tuple[Point2, ...], int]:
    """Where a course's bolts cross a post: those of the side rail, as z and x, and the end rail's one, as z.

    Stacked with the end rail's between them where the course is high enough, else below it. Raises RefusalError: the
    course has no room for them.
    """
    o, x = at.o, (int(at.o.rail.thickness), int(at.o.rail.thickness + at.o.post.width))
    face = Face(course, x, at.post_top, (0, FAR), apart=2 * at.bolt.lane)
    (low, high), _ = face.room(at.bolt, LEAST)
    places = bolt_places(face, at.bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")
    levels = sorted({z for z, _ in places})
    if len(levels) == 2:
        return places, clamped(at.bolt.between(*course), (levels[0] + at.bolt.lane, levels[1] - at.bolt.lane))
    below = replace(face, lying=(course[0], course[1] - at.bolt.lane))
    if high - at.bolt.lane < low:
        raise RefusalError("rail", _too_low(at))
    places = bolt_places(below, at.bolt, "rail", f"a rail of {o.rail.name} on posts of {o.post.name}")
    level = clamped(places[0][0], (low, high - at.bolt.lane))
    return tuple((level, x) for _, x in places), high


def _end_bolts(at: Layout, course: Point2) -> tuple[int, ...]:
    """How high the end rail's one bolt or two are. Raises RefusalError: two have no room."""
    places, alone = _bolts(at, course)
    if at.o.corner_bolts == 1:
        return (alone,)
    span = Face(course, (0, FAR), at.post_top).room(at.bolt, NDS)[0]
    found = ends_apart(span, (z for z, _ in places), at.bolt)
    if not found:
        raise RefusalError(
            "corner_bolts",
            f"corner_bolts: two {at.bolt.name} bolts of an end rail have no room beside those of the side rail; choose "
            "one, or a smaller bolt_size",
        )
    return found


def _too_low(at: Layout) -> str:
    size, o = at.bolt.size, at.o
    least = format_length(round_up(6 * size.diameter + at.bolt.lane, STEP[size.system]), size.system)
    return (
        f"rail: {o.bolt_size} bolts in both faces of a corner take courses of {o.rail.name} rails {least} high; a "
        "wider rail, or thinner bolts, would do"
    )


def _left(at: Layout) -> dict[str, Assembly]:
    """The left side, as it is carried: its courses of rails and its posts, which stay bolted to it.

    Raises RefusalError: several courses in two lengths, which no leg joins.
    """
    if not at.o.in_halves:
        rails, head = _side(at, "left ", at.length)
        return {"left side": rails + head + mirrored(head, "x", at.length, "head", "foot")}
    if len(at.courses) > 1:
        raise RefusalError(
            "in_halves",
            f"in_halves: rails in {len(at.courses)} courses do not come in two lengths; choose legs as the base, a "
            "lower height, or a wider rail",
        )
    rails, post = _side(at, "left head ", at.length // 2)
    head = rails + post
    return {"left head side": head, "left foot side": mirrored(head, "x", at.length, "head", "foot")}


def _side(at: Layout, side: str, length: int) -> tuple[Assembly, Assembly]:
    """The left rails from the head on, and the head post with its bolts."""
    o = at.o
    rails = tuple(
        _rail(at, f"{side}rail{_number(at, i)}", "side rail", course, length, (0, o.overhang), "x")
        for i, course in enumerate(at.courses, 1)
    )
    place = Placement((o.rail.thickness, o.overhang + o.rail.thickness, 0), "z", "x")
    post = laminated("left head post", "post lamination", o.post, at.post_top, place, at.post_layers)
    bolts = tuple(
        Bolted((rail.key, *post.keys), o.bolt_size, (x, o.overhang, z), "y", 1)
        for rail, course in zip(rails, at.courses, strict=True)
        for z, x in _bolts(at, course)[0]
    )
    return Assembly(rails), post + Assembly((), bolts)


def _rail_joints(at: Layout, left: Mapping[str, Assembly]) -> tuple[Splice, ...]:
    """Where the lengths of the side rails meet; none where they are whole."""
    if not at.o.in_halves:
        return ()
    joint = splice(at.o, "rail", "left ", left["left head side"].parts[:1], at.length // 2)
    return joint, joint.mirrored("y", at.width, "left", "right")


def _end(at: Layout) -> Assembly:
    """The courses of the head end between the sides, each bolted to one lamination of both posts."""
    o = at.o
    inner = o.overhang + o.rail.thickness
    rails = tuple(
        _rail(at, f"head rail{_number(at, i)}", "end rail", course, at.width - 2 * inner, (0, inner), "y")
        for i, course in enumerate(at.courses, 1)
    )
    number, deep = in_lamination(at.post_layers, int(o.post.thickness), at.bolt)
    layer, y = f" {number}" if at.post_layers > 1 else "", inner + deep
    bolts = tuple(
        Bolted((rail.key, f"left head post{layer}"), o.bolt_size, (0, y, z), "x", 1)
        for rail, course in zip(rails, at.courses, strict=True)
        for z in _end_bolts(at, course)
    )
    left = Assembly((), bolts)
    return Assembly(rails) + left + mirrored(left, "y", at.width, "left", "right")


def _rail(at: Layout, key: str, name: str, course: Point2, length: int, corner: Point2, along: str) -> Part:
    (low, high), width = course, at.o.rail.width
    place = Placement((*corner, low), "x" if along == "x" else "y", "z")
    return Part(key, name, at.o.rail, length, place, ripped=high - low if high - low < width else None)


def _number(at: Layout, course: int) -> str:
    return f" {course}" if len(at.courses) > 1 else ""


def _centre(at: Layout, ends: tuple[Part, Part]) -> Centre:
    """The beam in its hangers on the end rails, and its leg, unless it stands on the floor itself."""
    o = at.o
    if at.support == "none":
        return Centre({})
    bottom = at.deck - o.ledger.width
    beam = centre_beam(o, ends, at.width, bottom)
    return Centre.of(o, beam, at.length, leg=at.support == "beam and leg" and bottom > 0)


def _stops(at: Layout, slats: tuple[Part, ...], under: Assembly) -> Assembly:
    """Strips around the deck: those of the sides screwed to every slat, those of the ends to the end slats."""
    o = at.o
    if not at.stop:
        return Assembly()
    size = screw_that_holds(o.screw_size, o.slat.thickness, o.slat.thickness)
    left = Assembly(parts := tuple(_side_stops(at)), tuple(_stop_screws(at, parts, slats, size, under)))
    sides = left + mirrored(left, "y", at.width, "left", "right")
    return sides + _end_stops(at, slats, size) if at.end_stops else sides


def _side_stops(at: Layout) -> Iterator[Part]:
    """The left stop, or its two lengths, which meet in the gap between slats that is nearest to the middle."""
    o, ends, words = at.o, [0, at.length], [""]
    if o.in_halves:
        gaps = ((low + o.slat.width, high) for low, high in pairwise(at.slats.starts))
        ends.insert(1, min((o.near(sum(gap) // 2) for gap in gaps), key=lambda x: abs(2 * x - at.length)))
        words = ["head ", "foot "]
    for word, (low, high) in zip(words, pairwise(ends), strict=True):
        place = Placement((low, 0, int(o.height)), "x", "y")
        yield Part(f"left {word}stop", "side stop", o.slat, high - low, place, ripped=at.stop_ripped)


def _stop_screws(
    at: Layout, stops: Iterable[Part], slats: Sequence[Part], size: str, under: Assembly
) -> Iterator[Screwed]:
    """A screw from each stop into every slat under it."""
    for stop in stops:
        low, high = stop.box.span("x")
        for slat in slats:
            x = _beside(at, slat, under)
            if x is not None and low < x < high:
                yield Screwed((stop.key, slat.key), size, (x, at.o.near(at.stop // 2), stop.box.high[2]), "z", -1)


def _end_stops(at: Layout, slats: tuple[Part, ...], size: str) -> Assembly:
    o, room, length = at.o, at.screw_room, at.width - 2 * at.stop
    place = Placement((0, at.stop, int(o.height)), "y", "x")
    end = Part("head stop", "end stop", o.slat, length, place, ripped=at.stop_ripped, rounding="down")
    edge = int(o.overhang) + o.near(o.rail.thickness // 2)
    span, taken = (at.stop + room, at.width - at.stop - room), (edge, at.width - edge)
    wanted = quarters(at.stop, length, o.step)
    places = [y for each in wanted if (y := clear_place(each, span, taken, room, o.step)) is not None]

    def screws(key: str, slat: Part, x: int) -> tuple[Screwed, ...]:
        return tuple(Screwed((key, slat.key), size, (x, y, end.box.high[2]), "z", -1) for y in places)

    foot = mirrored(Assembly((end,)), "x", at.length, "head", "foot")
    middle = o.near(at.stop // 2)
    return Assembly((end,), screws(end.key, slats[0], middle)) + Assembly(
        foot.parts, screws(foot.keys[0], slats[-1], at.length - middle)
    )


def _beside(at: Layout, slat: Part, screws: Assembly) -> int | None:
    """The x nearest to a slat's middle that keeps off the screws already in it."""
    (start, stop), room = slat.box.span("x"), at.screw_room
    taken = [joint.head[0] for joint in screws.joints if isinstance(joint, Screwed) and slat.key in joint.parts]
    return clear_place((start + stop) // 2, (start + room // 2, stop - room // 2), taken, room * 2 // 3, at.o.step)


def _notes(at: Layout) -> tuple[Note, ...]:
    notes = []
    if not at.stop:
        notes.append(
            Note("held-by-friction", "Nothing but friction keeps the mattress in place: lay a rug pad under it, or ask "
                 "for stops.")
        )  # fmt: skip
    if at.stop and not at.end_stops:
        notes.append(
            Note(
                "no-end-stops",
                "Slats this wide stand back from the deck's ends, where no stop can lie: choose a wider slat_gap or "
                "narrower slats for stops there too.",
            )
        )
    if any(len(_bolts(at, course)[0]) == 1 for course in at.courses):
        notes.append(
            Note("one-rail-bolt", "Rail and post are too small for two bolts: one holds each post to its rail.")
        )
    return tuple(notes)


DESIGN: Final = Design(
    name="low-platform",
    title="Low platform bed",
    summary=(
        "A flat deck of slats as large as the mattress, on a bolted base of legs or a plinth that is set back under "
        "it, with low stops against sliding if wanted. Comes apart into rails, slats and stops."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Joinery, slat gaps, stops and centre support: common practice, no source",
    ),
)
