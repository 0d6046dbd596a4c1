"""The low bed under a daybed that is pulled out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.trade.boxes import Box
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Bolted, Part, Placement, Screwed, SleepingPlace
from sawbill.trade.lengths import INCH
from sawbill_designs.common.bolt_places import FAR, LEAST, Face, beside_end, clamped
from sawbill_designs.common.parts import Assembly, mirrored, play_at, screw_that_holds
from sawbill_designs.common.places import quarters
from sawbill_designs.common.slats import slat_deck, slat_run, slat_screws
from sawbill_designs.daybed.options import HIGHEST_SEAT
from sawbill_designs.daybed.plan import Layout, down, up

TRUNDLE_PLAY: Final = INCH // 4
"""How far the trundle stays from the posts at either side (practice)."""
ABOVE_TRUNDLE: Final = INCH // 2
"""How far the rails clear the trundle and its mattress (practice)."""


def trundle(at: Layout) -> tuple[Assembly, tuple[SleepingPlace, ...]]:
    """The trundle, pushed in: its front closes against the front posts, where a bolt at either side locks it.

    Its ledgers lie flat on the runners, so that it stays low, they keep the section that was graded, and who sits on
    the edge twists neither front nor back, to which nothing but the runners joins them.
    """
    o, foot, base = at.o, at.o.slat.thickness, _base(at.o)
    length, depth = (
        o.at_least(side) + o.mattress_allowance for side in (o.trundle_mattress.length, o.trundle_mattress.width)
    )
    _refuse_large(at, length, depth, _height(o))
    start, near = o.near((at.length - length) // 2), o.rail.thickness
    far, wood = near + depth, o.trundle_side.thickness
    front = Part("trundle front", "trundle front", o.trundle_side, at.length,
                 Placement((0, near - wood, foot), "x", "z"))  # fmt: skip
    back = Part("trundle back", "trundle back", o.trundle_side, length, Placement((start, far, foot), "x", "z"))
    ledgers = tuple(
        Part(f"trundle {side} ledger", "trundle ledger", o.ledger, length, Placement((start, y, foot), "x", "y"))
        for side, y in (("front", near), ("back", far - o.ledger.width))
    )
    run = slat_run(start, start + length, o.slat.width, o.slat_gap, doubled=False, step=o.step)
    across = near + play_at(o, 0), far - play_at(o, 1)
    slats = slat_deck(o, run, across, foot + o.ledger.thickness, ledgers, "trundle slat")
    inset = o.near(o.ledger.width // 2)
    edges = near + inset, far - inset
    whole = Assembly((front, back, *ledgers)) + slats
    whole += slat_screws(o, slats.parts, tuple(((ledger,), y) for ledger, y in zip(ledgers, edges, strict=True)))
    whole += _runners(at, (front, back, *ledgers), (start, start + length)) + _locks(at, front)
    opening = Box((start, near, base), (start + length, far, base + o.trundle_mattress.thickness))
    return whole, (SleepingPlace("trundle mattress", o.trundle_mattress, opening, slats.keys, o.slat_gap),)


def over_trundle(at: Layout) -> Options:
    """The options, with a seat as high as a trundle wants where none was asked for and the usual one is too low."""
    o, lacking = at.o, _height(at.o) + ABOVE_TRUNDLE - at.rail_bottom
    if not o.trundle or "seat_height" in o.asked or not 0 < lacking <= HIGHEST_SEAT - o.seat_height:
        return o
    return o.having(seat_height=o.at_least(o.seat_height + lacking))


def _base(o: Options) -> int:
    """The height of the trundle's slats' upper face."""
    return int(2 * o.slat.thickness + o.ledger.thickness)


def _height(o: Options) -> int:
    """Of the trundle with its mattress."""
    return int(max(o.slat.thickness + o.trundle_side.width, _base(o) + o.trundle_mattress.thickness))


def _refuse_large(at: Layout, length: int, depth: int, height: int) -> None:
    """Refuse a trundle that has no room between the posts, or under the rails."""
    o, name = at.o, "trundle_mattress"
    between, inside = ("legs", o.post.thickness) if at.end_legs else ("posts", 0)
    most = at.length - 2 * (o.post.width + inside + TRUNDLE_PLAY)
    if length > most:
        longest = down(at, most - o.mattress_allowance)
        raise RefusalError(name, f"{name}: it is too long for the room between the {between}; up to {longest} would do")
    if depth + o.trundle_side.thickness > at.width - o.rail.thickness:
        widest = at.width - o.rail.thickness - o.trundle_side.thickness - o.mattress_allowance
        raise RefusalError(name, f"{name}: it is too wide for the bed; up to {down(at, widest)} would do")
    if depth < 2 * o.ledger.width:
        wide = f"two ledgers of {o.ledger.name} laid flat want a mattress {up(at, 2 * o.ledger.width)} wide"
        raise RefusalError(name, f"{name}: {wide} or more; a narrower section for ledger would do too")
    if at.rail_bottom < height + ABOVE_TRUNDLE:
        seat = o.seat_height + height + ABOVE_TRUNDLE - at.rail_bottom
        if seat > HIGHEST_SEAT:
            over = f"is too thick to go under any seat up to {down(at, HIGHEST_SEAT)}"
            raise RefusalError(name, f"{name}: the trundle with it {over}; a thinner one, or narrower boards, would do")
        needs = f"the trundle with its mattress is {up(at, height)} high, which does not fit under the rails"
        raise RefusalError("seat_height", f"seat_height: {needs}; {up(at, seat)} or more would do")


def _runners(at: Layout, lying: tuple[Part, ...], span: tuple[int, int]) -> Assembly:
    """Three runners on the floor from front to back, screwed from below into all that lies on them."""
    o, (low, high) = at.o, span
    y, end = min(part.box.low[1] for part in lying), max(part.box.high[1] for part in lying)
    starts = (low, o.near((low + high - o.slat.width) // 2), high - o.slat.width)
    runners = tuple(
        Part(f"trundle runner {i}", "trundle runner", o.slat, end - y, Placement((x, y, 0), "y", "x"))
        for i, x in enumerate(starts, 1)
    )
    return Assembly(
        runners, tuple(screw for runner in runners for part in lying for screw in _from_below(o, runner, part))
    )


def _from_below(o: Options, runner: Part, part: Part) -> Iterator[Screwed]:
    """Two screws where a part lies on a runner: on edge, in its middle; flat, off the slats' screws there."""
    low, wide, high = part.box.low[1], part.box.size[1], part.box.size[2]
    size = screw_that_holds(o.screw_size, runner.section.thickness, high)
    across = quarters(low, wide, o.step) if part.placement.across == "y" else [low + o.near(wide // 2)] * 2
    for x, y in zip(quarters(runner.placement.origin[0], runner.width, o.step), across, strict=True):
        yield Screwed((runner.key, part.key), size, (x, y, 0), "z", 1)


def _locks(at: Layout, front: Part) -> Assembly:
    """A bolt at either side through the trundle's front into the front post: it keeps the trundle in until pulled.

    As far from the lower end of the post, and from that of the front, as either is asked to be. Its nut is beside the
    trundle's mattress, so it has a cap.
    """
    x, y = beside_end(int(at.o.post.width), at.bolt), front.box.low[1]
    (low, high), _ = Face(front.box.span("z"), (0, FAR)).room(at.bolt, LEAST)
    middle = front.box.low[2] + at.o.near(front.width // 2)
    z = clamped(max(middle, at.bolt.loaded_end), (low, high)) if low <= high else middle
    layers = [f" {i}" for i in range(1, at.post_layers + 1)] if at.post_layers > 1 else [""]
    through = (front.key, *(f"left front post{layer}" for layer in layers))
    bolt = Bolted(through, at.o.bolt_size, (x, y, z), "y", 1, "capped nut", round_head=True)
    left = Assembly((), (bolt,))
    return left + mirrored(left, "x", at.length, "left", "right")
