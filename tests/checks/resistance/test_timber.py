"""Members in their wood: bolts of frames small enough to reckon by hand."""

from __future__ import annotations

from collections.abc import Iterable

from sawbill.trade.frame import Bolted, Frame, Part, Placement
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import Material, Materials, find_grade, find_species, section

THIN = section("2x6").thickness


def of(frame: Frame, grades: Iterable[str] = ("No.2",), species: str = "SPF") -> Materials:
    return {
        part.key: tuple(Material(part.section, find_species(species), find_grade(grade)) for grade in grades)
        for part in frame.parts
    }


def held_by(*heads: tuple[int, int], size: str = "3/8 in") -> Frame:
    """A 2x6, 48 in, its underside 10 in up, in two posts by bolts so far along each post's face and so high above."""
    board = Part("board", "board", section("2x6"), 48 * INCH, Placement((0, 0, 10 * INCH), "x", "z"))
    posts = [
        Part(key, "post", section("2x4"), 20 * INCH, Placement((x, THIN, 0), "z", "x"))
        for key, x in (("left", 0), ("right", 44 * INCH + INCH // 2))
    ]
    bolts = tuple(
        Bolted(("board", each.key), size, (each.placement.origin[0] + along, 0, 10 * INCH + up), "y", 1)
        for each in posts for along, up in heads
    )  # fmt: skip
    return Frame((board, *posts), bolts)


D = INCH * 3 // 8
LOW, MIDDLE = INCH, INCH * 7 // 4
