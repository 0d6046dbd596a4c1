"""The low stops around the deck of a low platform."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from sawbill.trade.frame import Part, Placement, Screwed
from sawbill_designs.common.parts import Assembly, mirrored, screw_that_holds
from sawbill_designs.common.places import clear_place, quarters
from sawbill_designs.low_platform.plan import Layout


def stops_around(at: Layout, slats: tuple[Part, ...], under: Assembly) -> Assembly:
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
