"""The low bed under a daybed that is pulled out."""

from __future__ import annotations

from typing import Final

from sawbill.trade.boxes import Box
from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Glued, Part, Placement, Screwed, SleepingPlace
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.parts import Assembly, mirrored, play_at, screw_that_holds
from sawbill_designs.common.places import quarters
from sawbill_designs.common.slats import slat_deck, slat_run, slat_screws
from sawbill_designs.daybed.options import HIGHEST_SEAT
from sawbill_designs.daybed.plan import Layout, down, up

STRIP: Final[BySystem] = {"inch": INCH * 3 // 2, "metric": 40 * MM}
"""How high the ledgers of the trundle are, so that it stays low (practice)."""
TRUNDLE_PLAY: Final = INCH // 4
"""How far the trundle stays from the posts at either side (practice)."""
ABOVE_TRUNDLE: Final = INCH // 2
"""How far the rails clear the trundle and its mattress (practice)."""


def trundle(at: Layout) -> tuple[Assembly, tuple[SleepingPlace, ...]]:
    """The trundle, pushed in: its front closes against the front posts, where a bolt at either side locks it."""
    o = at.o
    strip = min(o.at_least(STRIP), o.ledger.width)
    foot, base = o.slat.thickness, o.slat.thickness + strip + o.slat.thickness
    length, depth = (
        o.at_least(side) + o.mattress_allowance for side in (o.trundle_mattress.length, o.trundle_mattress.width)
    )
    _refuse_large(at, length, depth, max(foot + o.trundle_side.width, base + o.trundle_mattress.thickness))
    start, near = o.near((at.length - length) // 2), o.rail.thickness
    far, wood = near + depth, o.trundle_side.thickness
    front = Part("trundle front", "trundle front", o.trundle_side, at.length,
                 Placement((0, near - wood, foot), "x", "z"))  # fmt: skip
    back = Part("trundle back", "trundle back", o.trundle_side, length, Placement((start, far, foot), "x", "z"))
    ledgers = tuple(
        Part(f"trundle {side} ledger", "trundle ledger", o.ledger, length, Placement((start, y, foot), "x", "z"),
             ripped=strip if strip < o.ledger.width else None)
        for side, y in (("front", near), ("back", far - o.ledger.thickness))
    )  # fmt: skip
    glued = (Glued((ledgers[0].key, front.key)), Glued((ledgers[1].key, back.key)))
    run = slat_run(start, start + length, o.slat.width, o.slat_gap, doubled=False, step=o.step)
    across = near + play_at(o, 0), far - play_at(o, 1)
    slats = slat_deck(o, run, across, foot + strip, ledgers, "trundle slat")
    inset = o.near(o.ledger.thickness // 2)
    edges = near + inset, far - inset
    whole = Assembly((front, back, *ledgers), glued) + slats
    whole += slat_screws(o, slats.parts, tuple(((ledger,), y) for ledger, y in zip(ledgers, edges, strict=True)))
    whole += _runners(at, front, back, (start, start + length)) + _locks(at, front)
    opening = Box((start, near, base), (start + length, far, base + o.trundle_mattress.thickness))
    return whole, (SleepingPlace("trundle mattress", o.trundle_mattress, opening, slats.keys, o.slat_gap),)


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
    if at.rail_bottom < height + ABOVE_TRUNDLE:
        seat = o.seat_height + height + ABOVE_TRUNDLE - at.rail_bottom
        if seat > HIGHEST_SEAT:
            over = f"is too thick to go under any seat up to {down(at, HIGHEST_SEAT)}"
            raise RefusalError(name, f"{name}: the trundle with it {over}; a thinner one, or narrower boards, would do")
        needs = f"the trundle with its mattress is {up(at, height)} high, which does not fit under the rails"
        raise RefusalError("seat_height", f"seat_height: {needs}; {up(at, seat)} or more would do")


def _runners(at: Layout, front: Part, back: Part, span: tuple[int, int]) -> Assembly:
    """Three runners on the floor from front to back, screwed from below into both."""
    o, (low, high) = at.o, span
    y, length = front.box.low[1], back.box.high[1] - front.box.low[1]
    starts = (low, o.near((low + high - o.slat.width) // 2), high - o.slat.width)
    runners = tuple(
        Part(f"trundle runner {i}", "trundle runner", o.slat, length, Placement((x, y, 0), "y", "x"))
        for i, x in enumerate(starts, 1)
    )
    size = screw_that_holds(o.screw_size, o.slat.thickness, o.trundle_side.width)
    middle = o.near(o.trundle_side.thickness // 2)
    screws = tuple(
        Screwed((runner.key, side.key), size, (x, side.placement.origin[1] + middle, 0), "z", 1)
        for runner in runners
        for side in (front, back)
        for x in quarters(runner.placement.origin[0], o.slat.width, o.step)
    )
    return Assembly(runners, screws)


def _locks(at: Layout, front: Part) -> Assembly:
    """A bolt at either side through the trundle's front into the front post: it keeps the trundle in until pulled.

    Its nut is beside the trundle's mattress, so it has a cap.
    """
    y, z = front.placement.origin[1], front.placement.origin[2] + at.o.near(front.width // 2)
    layers = [f" {i}" for i in range(1, at.post_layers + 1)] if at.post_layers > 1 else [""]
    through = (front.key, *(f"left front post{layer}" for layer in layers))
    head = at.o.near(at.o.post.width // 2), y, z
    left = Assembly((), (Bolted(through, at.o.bolt_size, head, "y", 1, "capped nut", round_head=True),))
    return left + mirrored(left, "x", at.length, "left", "right")
