"""The base of a low platform: its sides with the posts, and its ends."""

from __future__ import annotations

from collections.abc import Mapping

from sawbill.trade.design import RefusalError
from sawbill.trade.frame import Bolted, Part, Placement
from sawbill_designs.common.bolt_places import Point2, in_lamination
from sawbill_designs.common.parts import Assembly, laminated, mirrored
from sawbill_designs.common.splices import Splice, splice
from sawbill_designs.low_platform.plan import Layout, end_bolts, side_bolts


def left_side(at: Layout) -> dict[str, Assembly]:
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
        for z, x in side_bolts(at, course)[0]
    )
    return Assembly(rails), post + Assembly((), bolts)


def rail_joints(at: Layout, left: Mapping[str, Assembly]) -> tuple[Splice, ...]:
    """Where the lengths of the side rails meet; none where they are whole."""
    if not at.o.in_halves:
        return ()
    joint = splice(at.o, "rail", "left ", left["left head side"].parts[:1], at.length // 2)
    return joint, joint.mirrored("y", at.width, "left", "right")


def head_end(at: Layout) -> Assembly:
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
        for z in end_bolts(at, course)
    )
    left = Assembly((), bolts)
    return Assembly(rails) + left + mirrored(left, "y", at.width, "left", "right")


def _rail(at: Layout, key: str, name: str, course: Point2, length: int, corner: Point2, along: str) -> Part:
    (low, high), width = course, at.o.rail.width
    place = Placement((*corner, low), "x" if along == "x" else "y", "z")
    return Part(key, name, at.o.rail, length, place, ripped=high - low if high - low < width else None)


def _number(at: Layout, course: int) -> str:
    return f" {course}" if len(at.courses) > 1 else ""
