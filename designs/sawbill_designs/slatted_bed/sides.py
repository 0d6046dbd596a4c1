"""The sides of a slatted bed: rails with their ledgers, posts, and what is glued on for the slats."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sawbill.trade.frame import Bolted, Glued, Part, Placement
from sawbill_designs.common.parts import Assembly, laminated, mirrored
from sawbill_designs.common.slats import spacer_block, spacer_blocks
from sawbill_designs.common.splices import Splice, splice
from sawbill_designs.slatted_bed.plan import Layout


def left_side(at: Layout) -> dict[str, Assembly]:
    """The left rail with its ledger, its posts, which stay bolted to it, and what is glued on: as it is carried."""
    if at.o.in_halves:
        head = _rail(at, "left head ", at.length // 2)
        pieces = {"left head rail": head, "left foot rail": mirrored(head, "x", at.length, "head", "foot")}
    else:
        head = _rail(at, "left ", at.length)
        pieces = {
            "left rail": head + mirrored(Assembly(head.parts[2:], head.joints[1:]), "x", at.length, "head", "foot")
        }
    if not (at.screwed or at.strapped):
        for block, onto in _blocks(at, pieces):
            pieces[onto] += block
    return pieces


def _rail(at: Layout, side: str, length: int) -> Assembly:
    """The left rail, or the length of it at the head, with its ledger and its head post."""
    o = at.o
    end = length - at.ledger_start if length == at.length else length
    rail = Part(f"{side}rail", "side rail", o.rail, length, Placement((0, 0, o.clear_height), "x", "z"))
    ledger = Part(
        f"{side}ledger", "ledger", o.ledger, end - at.ledger_start,
        Placement((at.ledger_start, o.rail.thickness, o.clear_height), "x", "z"), rounding="down",
    )  # fmt: skip
    return Assembly((rail, ledger), (Glued((ledger.key, rail.key)),)) + _post(at, rail.key)


def rail_joints(at: Layout, left: Mapping[str, Assembly]) -> tuple[Splice, ...]:
    """Where the lengths of the rails meet; none where they are whole."""
    if not at.o.in_halves:
        return ()
    joint = splice(at.o, "rail", "left ", left["left head rail"].parts[:2], at.length // 2)
    return joint, joint.mirrored("y", at.width, "left", "right")


def _post(at: Layout, rail: str) -> Assembly:
    """The head post of the left rail, and the two bolts that hold it to the rail."""
    o = at.o
    place = Placement((o.end_board.thickness, o.rail.thickness, 0), "z", "x")
    post = laminated("left head post", "post lamination", o.post, at.post_top, place, at.post_layers)
    through = (rail, *post.keys)
    bolts = tuple(Bolted(through, o.bolt_size, (x, 0, z), "y", 1) for z, x in at.rail_bolts)
    return post + Assembly((), bolts)


def _blocks(at: Layout, pieces: Mapping[str, Assembly]) -> Iterator[tuple[Assembly, str]]:
    """Spacer blocks glued on the left ledger in every gap, and stops on the rail behind the end slats.

    Each with the name of the piece that it is glued to.
    """
    o, starts = at.o, at.slats.starts
    holds = {key: name for name, piece in pieces.items() for key in piece.keys}
    ledgers = named("ledger", pieces)
    spacers = spacer_blocks(o, at.slats, ledgers, at.block, at.inside_width, "left spacer")
    for block, glue in zip(spacers.parts, spacers.joints, strict=True):
        yield Assembly((block,), (glue,)), holds[glue.parts[1]]
    ends = {"head": starts[0] - at.stop, "foot": starts[-1] + o.slat.width} if at.stop else {}
    for end, x in ends.items():
        stop = spacer_block(o, f"left {end} stop", ledgers[0], x, at.stop, at.inside_width)
        rail = f"left {end} rail" if o.in_halves else "left rail"
        yield Assembly((stop,), (Glued((stop.key, rail)),)), rail


def named(name: str, pieces: Mapping[str, Assembly]) -> tuple[Part, ...]:
    """The parts of a name, in their order."""
    return tuple(part for piece in pieces.values() for part in piece.parts if part.name == name)
