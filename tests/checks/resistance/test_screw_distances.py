"""Distances of screws that carry, in bored holes: the tables of both standards on plain boards, at their limits."""

from __future__ import annotations

import pytest

from sawbill.checks.resistance.screw_distances import distances
from sawbill.checks.resistance.wood import Standard
from sawbill.trade.boxes import Axis
from sawbill.trade.fasteners import screw_sizes
from sawbill.trade.frame import Part, Placement, Screwed
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

TABLES: list[tuple[Standard, str, Axis, dict[str, float]]] = [
    # Eurocode 5, Table 8.2, bored (a design handbook, read): a1 (4 + cos a) d, a2 (3 + sin a) d, a3,t (7 + 5 cos a) d,
    # a4,t (3 + 2 sin a) d below 5 mm and (3 + 4 sin a) d from there on, a4,c 3 d; what lies is loaded across its grain.
    ("EC5", "4.5 mm", "x", {"end": 7, "loaded edge": 5, "edge": 3, "along": 4, "across": 4}),
    ("EC5", "5 mm", "x", {"end": 7, "loaded edge": 7, "edge": 3, "along": 4, "across": 4}),
    ("EC5", "4.5 mm", "z", {"end": 12, "edge": 3, "along": 5, "across": 3}),
    # The commentary of the NDS, 12.1.5.7, from memory.
    ("NDS", "#8", "x", {"end": 5, "loaded edge": 2.5, "edge": 2.5, "along": 5, "across": 2.5}),
    ("NDS", "#8", "z", {"end": 10, "edge": 2.5, "along": 10, "across": 2.5}),
]


@pytest.mark.parametrize(("standard", "size", "along", "table"), TABLES)
def test_each_distance_is_asked_as_its_table_has_it(
    standard: Standard, size: str, along: Axis, table: dict[str, float]
) -> None:
    d, wood = screw_sizes()[size].diameter, section("2x6")
    board = Part("board", "board", wood, 40 * INCH, Placement((0, 0, 0), along, "z" if along == "x" else "x"))

    def at(place: int, across: int, apart: int = 0, beside: int = 0) -> dict[str, tuple[int, int]]:
        heads = [(place, across), (place + apart, across + beside)]
        screws = [
            Screwed(("board", "other"), size, (a, 0, b) if along == "x" else (b, 0, a), "y", 1) for a, b in heads
        ]  # fmt: skip
        told = distances(standard, screws, board, board.box, up=True)
        return {each.kind: (each.found, each.least) for each in told}

    middle = wood.width // 2
    far = at(20 * INCH, middle, apart=5 * INCH)
    assert far["end"][1] == round(table["end"] * d) and far["edge"] == (middle, round(table["edge"] * d))
    assert far.get("loaded edge", (0, 0))[1] == round(table.get("loaded edge", 0) * d)
    assert far["spacing"] == (5 * INCH, round(table["along"] * d))
    assert at(20 * INCH, middle, beside=INCH)["spacing"] == (INCH, round(table["across"] * d))


def test_two_on_a_slant_are_far_enough_by_either_distance() -> None:
    board = Part("board", "board", section("45x145"), 1000 * MM, Placement((0, 0, 0), "x", "z"))
    screws = [
        Screwed(("board", "post"), "5 mm", (500 * MM + x, 0, 60 * MM + z), "y", 1)
        for x, z in ((0, 0), (9 * MM, 25 * MM))
    ]
    [spacing] = [each for each in distances("EC5", screws, board, board.box, up=True) if each.kind == "spacing"]
    assert (spacing.found, spacing.least) == (25 * MM, 20 * MM)


@pytest.mark.parametrize(("standard", "size", "pressed", "other"), [("EC5", "5 mm", 12, 7), ("NDS", "#8", 10, 5)])
def test_the_end_that_a_screw_presses_on_is_further_away(
    standard: Standard, size: str, pressed: int, other: int
) -> None:
    """Eurocode 5, Table 8.2: a3,t (7 + 5 cos a) d and a3,c 7 d, bored; the NDS's commentary likewise, from memory."""
    d, post = (
        screw_sizes()[size].diameter,
        Part("post", "post", section("2x6"), 1000 * MM, Placement((0, 0, 0), "z", "x")),
    )
    high = [Screwed(("rail", "post"), size, (60 * MM, 0, 1000 * MM - 6 * d), "y", 1)]
    for up, least in ((False, other), (True, pressed)):
        [end] = [each for each in distances(standard, high, post, post.box, up=up) if each.kind == "end"]
        assert (end.found, end.least) == (6 * d, least * d)


def test_screws_into_end_grain_have_no_distances_here() -> None:
    board = Part("board", "board", section("45x145"), 1000 * MM, Placement((0, 0, 0), "x", "z"))
    assert not [
        *distances(
            "EC5", [Screwed(("post", "board"), "5 mm", (0, 20 * MM, 60 * MM), "x", 1)], board, board.box, up=True
        )
    ]
