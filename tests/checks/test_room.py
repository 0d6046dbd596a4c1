"""The room: each finding on a real frame, at its limit and one step beyond."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from sawbill.checks.finding import PRACTICE, Finding, Status
from sawbill.checks.room import check_room
from sawbill.checks.site import Site
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.frame import Frame, HighBed
from sawbill.trade.lengths import INCH

# The stand takes 40 x 4-1/2 in of the floor and reaches 13-1/2 in up.
LONG, SHORT, HIGH = 40 * INCH, INCH * 9 // 2, INCH * 27 // 2


def found(frame: Frame, **told: Any) -> dict[str, Finding]:
    return {each.rule: each for each in check_room(frame, Site(**told))}


def room(frame: Frame, length: int, width: int, **told: Any) -> dict[str, Finding]:
    return found(frame, room_length=length, room_width=width, **told)


def test_it_fits_a_room_of_just_its_size_and_no_smaller(stand: Frame) -> None:
    at = room(stand, LONG, SHORT)
    assert (at["room-length"].status, at["room-length"].found) == (Status.PASS, LONG)
    assert (at["room-width"].status, at["room-width"].found) == (Status.PASS, SHORT)
    assert "along the room's length" in at["room-length"].message
    narrow = room(stand, LONG, SHORT - 1)
    assert (narrow["room-length"].status, narrow["room-width"].status) == (Status.PASS, Status.FAIL)
    assert room(stand, LONG - 1, SHORT)["room-length"].status is Status.FAIL
    assert set(narrow) == {"room-length", "room-width"}, "where it does not fit there is no floor to speak of"


def test_it_may_stand_along_either_wall(stand: Frame) -> None:
    across = room(stand, SHORT, LONG)
    assert (across["room-length"].found, across["room-width"].found) == (SHORT, LONG)
    assert "along the room's width" in across["room-length"].message
    assert {each.status for each in across.values() if each.rule.startswith("room")} == {Status.PASS}


def test_there_is_walking_space_from_24_in(stand: Frame) -> None:
    at, less = room(stand, LONG, SHORT + 24 * INCH), room(stand, LONG, SHORT + 24 * INCH - 1)
    assert (at["walking-space"].status, at["walking-space"].found) == (Status.PASS, 24 * INCH)
    assert (less["walking-space"].status, less["walking-space"].source) == (Status.WARN, PRACTICE)


def test_the_way_around_that_leaves_more_to_walk_is_told(stand: Frame) -> None:
    """60 in by 42 in: along the length 37-1/2 in stay beside it, along the width 55-1/2 in."""
    better = room(stand, 60 * INCH, 42 * INCH)["walking-space"]
    assert better.found == INCH * 111 // 2
    assert "along the room's width" in better.message


@pytest.mark.parametrize("turned", [False, True])
def test_the_door_opens_into_the_larger_floor_left(stand: Frame, turned: bool) -> None:
    """70 in by 30 in: 25-1/2 in stay beside it and 30 in at its end."""
    sides = (30 * INCH, 70 * INCH) if turned else (70 * INCH, 30 * INCH)
    at, more = (room(stand, *sides, door_swing=swing)["door-swing"] for swing in (30 * INCH, 30 * INCH + 1))
    assert (at.status, at.found, at.least) == (Status.PASS, 30 * INCH, 30 * INCH)
    assert more.status is Status.WARN
    assert "door-swing" not in room(stand, *sides)


def test_it_stands_under_a_ceiling_of_just_its_height(stand: Frame) -> None:
    assert found(stand, ceiling=HIGH)["ceiling"].status is Status.PASS
    assert found(stand, ceiling=HIGH - 1)["ceiling"].status is Status.FAIL
    assert list(found(stand, ceiling=HIGH)) == ["ceiling"]


def test_who_sleeps_high_can_sit_up_from_36_in() -> None:
    bed = designs()["slatted-bed"].frame({}, reading("inch"))
    place = bed.sleeping_places[0]
    top = place.opening.high[2]
    assert "sitting-height" not in found(bed, ceiling=top + INCH), "nobody falls from a low bed, or sits up far"
    high = replace(bed, high_beds=(HighBed(place.name, "US"),))
    at, less = (found(high, ceiling=top + space)["sitting-height"] for space in (36 * INCH, 36 * INCH - 1))
    assert (at.status, at.found) == (Status.PASS, 36 * INCH)
    assert (less.status, less.source) == (Status.WARN, PRACTICE)


def test_what_is_not_told_is_not_held_against(stand: Frame) -> None:
    assert found(stand) == {}
    assert found(stand, room_length=LONG, door_swing=INCH) == {}
