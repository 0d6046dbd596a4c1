"""A sawhorse: a beam on edge in the tops of two posts, each between two boards for a foot. Two make a pair.

x runs along the beam from the left, y across it, z up from the floor. Each post is of three laminations; the middle
one is shorter by the beam, which drops into its place. Bolts hold it there; posts and feet stay whole.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final, Literal

from sawbill.trade import option
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.fasteners import screw_sizes
from sawbill.trade.frame import (
    Bolted,
    CarriedPiece,
    Frame,
    Glued,
    Joint,
    Note,
    Part,
    Placement,
    Resting,
    Screwed,
    Surface,
)
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.bolt_places import Bolt, Face, square_places
from sawbill_designs.common.leg_frames import BETWEEN_FRAMES, SCREW_EDGE, SCREWS_APART, told
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE
from sawbill_designs.common.parts import Assembly, frame_of, mirrored, screw_that_holds, stout

DROPS_IN: Final = (
    "Glue up the posts with an end of the beam between their tops, wrapped in paper, so that the beam drops in and "
    "comes out; where wood has swollen, plane the end of the beam."
)
"""What is noted of every sawhorse (common practice, no source)."""
ONE_BOLT: Final = Note(
    "one-beam-bolt",
    "Beam and post are too small for two bolts: one holds each end of the beam, which rests on the post's middle "
    "lamination and between its outer ones.",
    ("beam",),
)
OPTIONS: Final = (
    option.Length(
        "length", "Length of the beam.",
        default=42 * INCH, metric_default=1050 * MM, least=20 * INCH, most=96 * INCH,
    ),
    option.Length(
        "height", "Height of the beam's upper edge: 24 in (600 mm) to saw at, 30 to 34 in (760 to 860 mm) to work at.",
        default=30 * INCH, metric_default=750 * MM, least=16 * INCH, most=44 * INCH,
    ),
    option.Length(
        "foot_length", "How long the feet are, across the beam: the longer, the harder it tips.",
        default=24 * INCH, metric_default=600 * MM, least=12 * INCH, most=40 * INCH,
    ),
    option.Length(
        "end_overhang", "How far the beam reaches beyond the posts.",
        default=4 * INCH, metric_default=100 * MM, least=0, most=18 * INCH,
    ),
    option.Section("beam", "Section of the beam, standing on edge.", role="rail"),
    option.Section("post", "Section of the posts' three laminations, each as thick as the beam.", role="rail"),
    option.Section("foot", "Section of the feet, standing on edge on either side of a post.", role="ledger"),
    FINISH,
    BOLT_SIZE,
    SCREW_SIZE,
)  # fmt: skip


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: wood that does not go together, or has no room for the bolts."""
    bolt = Bolt.of(o)
    _refuse(o, bolt)
    front, bottom = _front(o), o.height - o.beam.width
    face = Face((bottom, o.height), (0, o.post.width), o.height)
    places = square_places(face, bolt, "beam", f"a beam of {o.beam.name} in posts of {o.post.name}")
    beam = Part("beam", "beam", o.beam, o.length, Placement((0, front + o.post.thickness, bottom), "x", "z"))
    post = _post(o)
    near, middle, far = post.keys
    bolts = tuple(Bolted((near, beam.key, far), bolt.name, (o.end_overhang + x, front, z), "y", 1) for z, x in places)
    left = post + _feet(o, post) + Assembly((), (Resting((beam.key, middle)), *bolts))
    right = mirrored(left, "x", o.length, "left", "right")
    return frame_of(
        Assembly((beam,)), left, right,
        carried_pieces=(
            CarriedPiece("beam", (beam.key,)),
            *(CarriedPiece(f"{side} post", whole.keys) for side, whole in (("left", left), ("right", right))),
        ),
        notes=(
            Note("beam-drops-in", DROPS_IN, (beam.key, *left.keys[:3], *right.keys[:3])),
            *([] if len(places) > 1 else [ONE_BOLT]),
        ),
        surfaces=(Surface("beam", "sawhorse", (beam.key,)),),
        finish=o.finish,
    )  # fmt: skip


def _front(o: Options) -> int:
    """Where the posts begin, across the beam: in the middle of the feet [nm]."""
    return int(o.near((o.foot_length - 3 * o.post.thickness) // 2))


def _post(o: Options) -> Assembly:
    """The left post: its middle lamination ends under the beam."""
    parts = tuple(
        Part(f"left post {i + 1}", "post lamination" if i != 1 else "short post lamination", o.post,
             o.height - (o.beam.width if i == 1 else 0),
             Placement((o.end_overhang, _front(o) + i * o.post.thickness, 0), "z", "x"))
        for i in range(3)
    )  # fmt: skip
    return Assembly(parts, tuple(Glued((a.key, b.key)) for a, b in pairwise(parts)))


def _feet(o: Options, post: Assembly) -> Assembly:
    """A board on either side of the left post: glued, and screwed into its outer laminations high and low."""
    outer, inner = o.end_overhang - o.foot.thickness, o.end_overhang + o.post.width
    size = screw_that_holds(stout(o.screw_size), o.foot.thickness, o.post.width)
    wide = screw_sizes()[size].diameter
    edge = o.near(SCREW_EDGE * wide)
    high_and_low = o.foot.width - 2 * edge >= SCREWS_APART * wide
    heights = (edge, o.foot.width - edge) if high_and_low else (o.near(o.foot.width // 2),)
    sides: tuple[tuple[int, str, int, Literal[1, -1]], ...] = ((1, "outer", outer, 1), (2, "inner", inner, -1))
    parts, joints = list[Part](), list[Joint]()
    for third, name, x, toward in sides:
        foot = Part(f"left {name} foot", "foot", o.foot, o.foot_length, Placement((x, 0, 0), "y", "z"))
        parts.append(foot)
        joints += [Glued((foot.key, key)) for key in post.keys]
        into = o.near(o.post.thickness * third // 3)  # the screws of both feet pass each other
        head = x if toward > 0 else x + o.foot.thickness
        joints += [
            Screwed((foot.key, each.key), size, (head, each.box.low[1] + into, z), "x", toward)
            for each in (post.parts[0], post.parts[-1])
            for z in heights
        ]
    return Assembly(tuple(parts), tuple(joints))


def _refuse(o: Options, bolt: Bolt) -> None:
    """Refuse wood that does not go together, or is too small for its bolts."""
    if o.post.thickness != o.beam.thickness:
        raise RefusalError(
            "post", f"post: a beam of {o.beam.name} drops between posts of wood as thick as itself; choose such a post"
        )
    least = o.beam.width + o.foot.width + bolt.wrench_room()
    if o.height < least:
        raise RefusalError(
            "height", f"height: {o.beam.name} over {o.foot.name} wants {told(least, bolt)} at least; make it higher"
        )
    least = 3 * o.post.thickness + 2 * bolt.half_diameters(8)
    if o.foot_length < least:
        raise RefusalError(
            "foot_length",
            f"foot_length: feet on posts of {o.post.name} want {told(least, bolt)} at least; make them longer",
        )
    least = 2 * (o.end_overhang + o.post.width + o.foot.thickness) + BETWEEN_FRAMES
    if o.length < least:
        raise RefusalError(
            "length",
            f"length: two posts of {o.post.name} have no room between these overhangs; make it {told(least, bolt)} at "
            "least, or choose a smaller end_overhang",
        )


DESIGN: Final = Design(
    name="sawhorse",
    title="Knock-down sawhorse",
    summary=(
        "A beam on edge that drops into the tops of two posts, each on two boards for a foot. Bolts hold it "
        "there, and come out. For a pair, ask for a quantity of two."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Heights, feet and joinery: common practice, no source",
    ),
)
