"""A knock-down loft bed: one bed on four tall posts, guarded all round, with room beneath it.

See `high_beds.whole` for how it is built, `high_beds.ladders` for the way up. Two ends, two rails, two side guards,
the ladder and the slats come apart at their bolts and screws; each end, posts and guard boards together, is carried
as one. `high_beds.halves` has what stands in the middle where it comes in two lengths; then its posts do too.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from sawbill.trade import option
from sawbill.trade.design import Design, Options
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import mattress
from sawbill_designs.high_beds.halves import scabs
from sawbill_designs.high_beds.levels import Level, Post
from sawbill_designs.high_beds.options import OPENINGS, REFERENCES, WOOD
from sawbill_designs.high_beds.plan import Plan, back_of, inside_length
from sawbill_designs.high_beds.whole import HighFrame

CUT_AT: Final = 5
"""A post in two lengths is cut at one in so many parts of its height: low, where it bends little (practice)."""

OPTIONS: Final = (
    mattress("twin", "eu-90"),
    option.Length(
        "head_room", "Clear height underneath the rails.",
        default=60 * INCH, metric_default=1500 * MM, least=30 * INCH, most=84 * INCH,
    ),
    *OPENINGS,
    *WOOD,
)  # fmt: skip


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: wood or a mattress that leaves no room for bolts or beside the ladder."""
    bed = Level(o, "", o.mattress, o.head_room, back_of(o, o.mattress, guarded=True), guarded=True)
    at = Plan(o, inside_length(o, o.mattress), (bed,))
    left, right = (f"{side} {at.ends[0]} post" for side in at.sides)
    posts = (Post(left, 0, bed.top), Post(right, 0, bed.top, bed.back))
    if not o.in_halves:
        return HighFrame(at, {"": posts}, {bed: (left, right)}).frame()
    joint = o.near(bed.top // CUT_AT)
    lower = tuple(replace(each, key=f"lower {each.key}", top=joint) for each in posts)
    upper = tuple(replace(each, key=f"upper {each.key}", bottom=joint) for each in posts)
    corners = {bed: (upper[0].key, upper[1].key)}
    return HighFrame(
        at, {"lower": lower, "upper": upper}, corners, scabs(at, zip(lower, upper, strict=True), joint)
    ).frame()


DESIGN: Final = Design(
    name="loft-bed",
    title="Knock-down loft bed",
    summary=(
        "One bed on four tall posts with room beneath: guard boards on all sides, a ladder or steps bolted to the "
        "rail, slats screwed down. Comes apart at its bolts into ends, rails, guards and ladder; in halves the joints "
        "of its posts have screws too."
    ),
    options=OPTIONS,
    build=build,
    references=REFERENCES,
)
