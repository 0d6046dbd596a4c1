"""Members in their wood: bolts of frames small enough to reckon by hand."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.timber import Timber
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


@pytest.mark.parametrize(
    ("heads", "nds", "ec5"),
    [
        (((MIDDLE, LOW),), 1, 1),
        (((MIDDLE, LOW), (MIDDLE, LOW + 3 * D - 1)), 1, 1),
        (((MIDDLE, LOW), (MIDDLE, LOW + 3 * D)), 1.5, 2**0.9 * (3 / 13) ** 0.25),
        (((MIDDLE, LOW), (MIDDLE, LOW + 5 * D)), 2, 2**0.9 * (5 / 13) ** 0.25),
        (((MIDDLE, LOW), (MIDDLE, LOW + 8 * D)), 2, 2**0.9 * (8 / 13) ** 0.25),
        (((MIDDLE - 2 * D, LOW), (MIDDLE + 2 * D, LOW)), 2, 2),
    ],
)
def test_bolts_in_a_row_along_the_load_are_fewer_than_they_are(
    heads: tuple[tuple[int, int], ...], nds: float, ec5: float
) -> None:
    """NDS 2018, Table 12.5.1B; EN 1995-1-1, 8.34: n to the power of 0.9 times the fourth root of a1 / 13 d."""
    paths = LoadPaths(held_by(*heads))
    held = Timber(paths, {}).held(paths.of["board"].supports[0])
    assert held is not None
    assert held.count == {"NDS": pytest.approx(nds), "EC5": pytest.approx(ec5)}
