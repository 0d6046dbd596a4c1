"""A table: two rails on two leg frames, and boards across them for a top that reaches beyond.

x runs along the table from the left, y from its front to its rear edge, z up from the floor. The bolts of the rails
come out: what is left is two rails, two leg frames with a cross board under the top and a stretcher near the floor, and
the boards of the top.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.trade import option
from sawbill.trade.design import Design, Options
from sawbill.trade.frame import Frame, Note, Part, Placement, Surface
from sawbill.trade.lengths import INCH, MM, BySystem
from sawbill_designs.common.four_legs import Boards, Stand, overhangs, stand_under
from sawbill_designs.common.leg_frames import told
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE
from sawbill_designs.common.parts import Assembly, carried_by_name, frame_of, screw_that_holds

KNEES: Final[BySystem] = {"inch": 24 * INCH, "metric": 610 * MM}
"""The least clear height under the rails of a table that is sat at (common practice, no source)."""
SAT_AT: Final[tuple[BySystem, BySystem]] = (
    {"inch": 24 * INCH, "metric": 610 * MM}, {"inch": 32 * INCH, "metric": 820 * MM},
)  # fmt: skip
"""From which height to which one sits at a table on a chair (common practice, no source)."""

OPTIONS: Final = (
    option.Length(
        "length", "Length of the top, at most: some 24 in (600 mm) for each who sits along it; it is of whole boards.",
        default=60 * INCH, metric_default=1500 * MM, least=24 * INCH, most=108 * INCH, rounding="down",
    ),
    option.Length(
        "depth", "Depth of the top, front to rear edge: 30 in (750 mm) to dine at, 24 in (600 mm) for a desk.",
        default=30 * INCH, metric_default=750 * MM, least=14 * INCH, most=48 * INCH, rounding="down",
    ),
    option.Length(
        "height", "Height of the top above the floor: 29 to 30 in (740 to 760 mm) to dine at or write at, 36 in "
        "(900 mm) to stand at.",
        default=30 * INCH, metric_default=750 * MM, least=16 * INCH, most=44 * INCH,
    ),
    *overhangs(4 * INCH, 100 * MM, 2 * INCH, 50 * MM),
    option.Section("rail", "Section of the two rails under the top, standing on edge.", role="apron"),
    option.Section(
        "leg", "Section that the legs are laminated from; its width lies along the table, and a wide one keeps that "
        "from swaying.", role="rail",
    ),
    option.Section("cross_board", "Section of the boards that join front to rear legs, high and low.", role="apron"),
    option.Section("top_board", "Section of the boards of the top, laid flat across the rails.", role="top"),
    option.Length(
        "top_gap", "Widest gap between the boards of the top.",
        default=INCH // 8, metric_default=3 * MM, least=0, most=1 * INCH, rounding="down",
    ),
    FINISH,
    BOLT_SIZE,
    SCREW_SIZE,
)  # fmt: skip


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: sections or overhangs too large for this top."""
    boards = Boards(int(o.top_board.width + o.top_gap), int(o.top_gap))
    length = boards.within(o.length)
    stand = stand_under(o, o.height - o.top_board.thickness, (length, o.depth), (boards, Boards()))
    size = screw_that_holds(o.screw_size, o.top_board.thickness, o.rail.width)
    top = Assembly()
    for i, x in enumerate(range(0, length, boards.pitch), 1):
        place = Placement((x, 0, stand.legs.top), "y", "x")
        board = Part(f"top board {i}", "top board", o.top_board, o.depth, place)
        top += Assembly((board,), stand.screwed_down(board, size, "top_board"))
    return frame_of(
        stand.rails, *stand.frames.values(), top,
        carried_pieces=(*stand.carried, *carried_by_name(top.parts)),
        notes=(*stand.notes, *_notes(o, stand)),
        surfaces=(Surface("top", "table", top.keys),),
        finish=o.finish,
    )  # fmt: skip


def _notes(o: Options, stand: Stand) -> Iterator[Note]:
    under, bolt = stand.legs.rail_bottom, stand.legs.bolt
    low, high = map(o.at_least, SAT_AT)
    if low <= o.height <= high and under < o.at_least(KNEES):
        yield Note(
            "little-knee-room",
            f"Under the rails are {told(under, bolt)}, less than the {told(o.at_least(KNEES), bolt)} that knees "
            "usually want: choose narrower rails or thinner top boards, or a higher top.",
            ("front rail", "rear rail"),
        )


DESIGN: Final = Design(
    name="table",
    title="Knock-down table",
    summary=(
        "Boards across two rails on two leg frames: a table to dine or write at, or to stand at. The wide legs keep it "
        "from swaying; bolts hold rails to legs and come out, and every board of the top is short."
    ),
    options=OPTIONS,
    build=build,
    references=(
        "American Softwood Lumber Standard PS 20 (dressed sizes)",
        "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
        "Heights, room for knees and joinery: common practice, no source",
    ),
)
