"""A low stand for plants: boards side by side, screwed down on two feet that stand on edge."""

from sawbill.trade import fasteners, option
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import CarriedPiece, Frame, Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM


def build(o: Options) -> Frame:
    """Two feet across the ends, the boards along x on top of them, two screws wherever they cross."""
    through, into = o.board.thickness, o.foot.width
    try:
        fasteners.screw_length(fasteners.screw_sizes()[o.screw], through, into)
    except fasteners.FastenerError as error:
        raise RefusalError("screw", f"screw: {error}; choose another screw, or other sections") from None
    depth = o.boards * o.board.width + (o.boards - 1) * o.gap
    feet = tuple(
        Part(f"{side} foot", "foot", o.foot, depth, Placement((x, 0, 0), "y", "z"))
        for side, x in (("left", 0), ("right", o.length - o.foot.thickness))
    )
    boards = tuple(
        Part(f"board {i + 1}", "board", o.board, o.length, Placement((0, i * (o.board.width + o.gap), into), "x", "y"))
        for i in range(o.boards)
    )
    screws = tuple(
        Screwed((board.key, foot.key), o.screw, (sum(foot.box.span("x")) // 2, y, into + through), "z", -1)
        for board in boards
        for foot in feet
        for y in (board.placement.origin[1] + o.board.width * i // 4 for i in (1, 3))
    )
    parts = (*feet, *boards)
    return Frame(parts, screws, (CarriedPiece("stand", tuple(part.key for part in parts)),))


DESIGN = Design(
    name="plant-stand",
    title="Plant stand",
    summary="A low stand that keeps pots off the ground: boards on two feet.",
    options=(
        option.Length(
            "length", "How long it is.",
            default=36 * INCH, metric_default=900 * MM, least=12 * INCH, most=96 * INCH,
        ),
        option.Count("boards", "How many boards side by side.", default=3, least=2, most=8),
        option.Length(
            "gap", "Gap between the boards, for water to run off.",
            default=INCH // 2, metric_default=12 * MM, least=0, most=2 * INCH,
        ),
        option.Section("board", "Section of the boards, laid flat.", role="slat"),
        option.Section("foot", "Section of the feet, on edge.", role="other"),
        option.Choice(
            "screw", "Size of the screws.",
            choices=("#8", "#10", "#12", "4.5 mm", "5 mm", "6 mm"), default="#8", metric_default="4.5 mm",
            fastener="screw",
        ),
    ),
    build=build,
    references=("common practice, no source",),
)  # fmt: skip
