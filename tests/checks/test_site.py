"""The site: one finding names what was not told."""

from __future__ import annotations

from sawbill.checks.finding import Status
from sawbill.checks.site import ASKED, Site, check_told
from sawbill.checks.together import check_frame
from sawbill.trade.frame import Frame

ALL = {name: 1_000_000 for names in ASKED.values() for name in names}


def test_what_was_not_told_is_named_in_one_finding() -> None:
    [finding] = check_told(Site())
    assert finding.status is Status.NOT_CHECKED
    assert "the room, the ceiling, the door and the vehicle" in finding.message
    assert all(name.replace("_", " ") in finding.message for name in ALL)


def test_what_was_told_in_part_is_named_with_what_it_lacks() -> None:
    [finding] = check_told(Site(**{**ALL, "door_height": None}))
    assert finding.message == "Not compared with all of the door: give the door height."


def test_nothing_is_said_where_all_was_told() -> None:
    assert check_told(Site(**ALL)) == []


def test_a_frame_is_held_against_all_of_its_site(stand: Frame) -> None:
    rules = [finding.rule for finding in check_frame(stand, Site(**ALL, door_swing=1))]
    assert {"treated-wood", "one-person", "door-width", "vehicle-length", "room-length", "ceiling"} <= set(rules)
    assert rules.count("site") == 0
    assert [finding.rule for finding in check_frame(stand)].count("site") == 1
