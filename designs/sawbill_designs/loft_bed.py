"""A knock-down loft bed: one bed on four tall posts, guarded all round, with room beneath it.

See `high_beds.whole` for how it is built, `high_beds.ladders` for the way up. Two ends, two rails, two side guards,
the ladder and the slats come apart at their bolts and screws; each end, posts and guard boards together, is carried
as one.
"""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.design import Design, Options
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import mattress
from sawbill_designs.high_beds.levels import Level, Post
from sawbill_designs.high_beds.options import OPENINGS, REFERENCES, WOOD
from sawbill_designs.high_beds.plan import Plan, back_of, inside_length
from sawbill_designs.high_beds.whole import HighFrame

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
    return HighFrame(at, {"": posts}, {bed: (left, right)}).frame()


DESIGN: Final = Design(
    name="loft-bed",
    title="Knock-down loft bed",
    summary=(
        "One bed on four tall posts with room beneath: guard boards on all sides, a ladder or steps bolted to the "
        "rail, slats screwed down. Comes apart at its bolts into ends, rails, guards and ladder."
    ),
    options=OPTIONS,
    build=build,
    references=REFERENCES,
)
