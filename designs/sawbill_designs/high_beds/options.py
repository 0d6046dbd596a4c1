"""What may be asked of every bed above the floor, after its mattresses and its height; and what they all follow."""

from __future__ import annotations

from typing import Final

from sawbill.trade import option
from sawbill.trade.declaring.headings import CONSTRUCTION, GUARD_AND_LADDER, SLATS
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.common.options import BOLT_SIZE, FINISH, SCREW_SIZE, mattress_allowance, slat_clearance

OPENINGS: Final = (
    option.Choice(
        "market", "Whose published rules for beds above the floor the bed is checked against.",
        choices=("US", "UK", "EU", "AU"), default="US", metric_default="EU", heading=GUARD_AND_LADDER,
        label="Country whose rules are followed", stays=True,
    ),
    option.Choice("ladder_side", "The side where the way up is, seen from the head.",
                  choices=("left", "right"), default="left", heading=GUARD_AND_LADDER),
    option.Choice("ladder_end", "The end near which the way up is.", choices=("head", "foot"), default="foot",
                  heading=GUARD_AND_LADDER),
    option.Choice(
        "way_up", "A ladder of treads one above the other, or steps, each standing further out than the one above.",
        choices=("ladder", "steps"), default="ladder", heading=GUARD_AND_LADDER,
    ),
    option.Choice(
        "treads",
        "How the treads of a ladder are held: on bearers glued and screwed to the stiles, for which a saw and a drill "
        "will do; or housed, their ends let into the stiles, which are then of the treads' section: fewer parts, and "
        "no screw carries, but it takes a router, or a fine saw and a chisel.",
        choices=("on bearers", "housed"), default="on bearers", heading=GUARD_AND_LADDER,
    ),
    option.Length(
        "access", "Width of the way in through the guard, and of the treads.",
        default=13 * INCH, metric_default=330 * MM, least=300 * MM, most=15 * INCH,
        heading=GUARD_AND_LADDER, label="Width of the way in", rare=True,
    ),
    option.Length(
        "opening", "The gap between guard boards: 60 to 75 mm suits every market.",
        default=INCH * 11 // 4, metric_default=70 * MM, least=60 * MM, most=75 * MM, rounding="down",
        heading=GUARD_AND_LADDER, label="Gap between guard boards", rare=True,
    ),
)  # fmt: skip
WOOD: Final = (
    option.Section("rail", "Section of the side rails, standing on edge.", role="rail"),
    option.Section("ledger", "Section of the ledgers that carry the slats, and of a centre beam.", role="ledger"),
    option.Section("end_board", "Section of the end boards at the height of the rails.", role="rail"),
    option.Section("post", "Section that posts, uprights and the ladder's stiles are made from.", role="post"),
    option.Section("guard", "Section of the guard boards.", role="guard"),
    option.Section(
        "tread",
        "Section of the treads, laid flat on bearers and screwed down, as many side by side as their depth wants; of "
        "housed treads and their stiles.",
        role="tread",
    ),
    option.Section("slat", "Section of the slats, laid flat and screwed down.", role="slat"),
    option.Length(
        "slat_gap", "Widest gap between slats: no more than 75 mm, so that nothing slips through.",
        default=INCH * 5 // 2, metric_default=70 * MM, least=INCH // 2, most=75 * MM, rounding="down",
        heading=SLATS,
    ),
    option.Flag(
        "braced", "What keeps it from swaying: for the bed one may fall from, two-board rails, bolts far apart; "
        "screws beside the bolts of the end boards.", default=True, label="Braced against swaying",
    ),
    BOLT_SIZE,
    SCREW_SIZE,
    FINISH,
    option.Flag(
        "in_halves", "Whether rails, guards, beams and posts come in two lengths: two halves, each with posts of its "
        "own in the middle, bolted together there, so that no piece is much longer than the bed is wide, or than the "
        "way up: for a small car, or narrow stairs. The joints of its posts have screws too, which are drawn and "
        "driven anew at every move.",
        default=False, heading=CONSTRUCTION, label="In two lengths", eases="carrying",
    ),
    mattress_allowance(),
    slat_clearance("their place the loose pieces are: slats and beam"),
)  # fmt: skip
"""The options of every bed above the floor, after those of its mattresses and its height."""

REFERENCES: Final = (
    "16 CFR 1213 and 1513 (guards, openings and ends of bunk beds, United States)",
    "SI 1987/1337 (openings of bunk beds, United Kingdom)",
    "EN 747-1 (guards, way in, ladder; from memory)",
    "AS/NZS 4220, by the notice on it (guards and gaps, Australia)",
    "American Softwood Lumber Standard PS 20 (dressed sizes)",
    "ASME B18.2.1 and ISO 4014 (bolt and thread lengths)",
    "Joinery and slat gaps: common practice, no source",
)
