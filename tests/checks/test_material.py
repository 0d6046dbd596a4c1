"""The wood against the place: treated boards, and boards of which nothing is known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sawbill.checks.finding import Finding, Status
from sawbill.checks.material import check_material
from sawbill.checks.site import Site
from sawbill.trade.frame import Frame, Glued
from sawbill.trade.lumber import Material, section

PLAIN, TREATED, UNKNOWN = (Material(section("2x4"), treated=treated) for treated in (False, True, None))


def found(frame: Frame, rail: tuple[Material, ...], *, indoors: bool = True) -> list[Finding]:
    """The findings where the posts are plain, and the rail may be cut from any of these."""
    woods = {"rail": rail, "post 1": (PLAIN,), "post 2": (PLAIN,)}
    return check_material(frame, Site(indoors=indoors), woods)


@pytest.mark.parametrize(
    ("rail", "status", "parts"),
    [
        ((PLAIN,), Status.PASS, ()),
        ((TREATED,), Status.FAIL, ("rail",)),
        ((PLAIN, TREATED), Status.FAIL, ("rail",)),
        ((UNKNOWN, TREATED), Status.FAIL, ("rail",)),
        ((UNKNOWN,), Status.NOT_CHECKED, ()),
        ((PLAIN, UNKNOWN), Status.NOT_CHECKED, ()),
        ((), Status.NOT_CHECKED, ()),
    ],
)
def test_one_treated_board_counts_and_then_one_unknown(
    stand: Frame, rail: tuple[Material, ...], status: Status, parts: tuple[str, ...]
) -> None:
    [finding] = found(stand, rail)
    assert (finding.rule, finding.status, finding.parts) == ("treated-wood", status, parts)
    assert (status is Status.NOT_CHECKED) == (finding.found is None)


def outdoors(frame: Frame, wood: Material) -> dict[str, Status]:
    told = check_material(frame, Site(indoors=False), dict.fromkeys(frame.by_key, (wood,)))
    return {each.rule: each.status for each in told}


def test_outdoors_treated_wood_with_a_finish_for_it_does_and_glue_is_warned_of(stand: Frame) -> None:
    assert outdoors(replace(stand, finish="outdoors"), TREATED) == {
        "outdoor-finish": Status.PASS, "outdoor-wood": Status.PASS, "outdoor-glue": Status.WARN,
    }  # fmt: skip


@pytest.mark.parametrize("finish", ["none", "oil", "varnish", "paint"])
@pytest.mark.parametrize("wood", [PLAIN, UNKNOWN])
def test_indoor_wood_and_finishes_outdoors_are_warned_of(stand: Frame, finish: str, wood: Material) -> None:
    bare = replace(stand, finish=finish, joints=tuple(j for j in stand.joints if not isinstance(j, Glued)))
    assert outdoors(bare, wood) == {
        "outdoor-finish": Status.WARN, "outdoor-wood": Status.WARN, "outdoor-glue": Status.PASS,
    }  # fmt: skip


def test_a_finish_for_outdoors_asks_where_it_stands(stand: Frame) -> None:
    told = {each.rule: each for each in found(replace(stand, finish="outdoors"), (TREATED,))}
    assert told["treated-wood"].status is Status.FAIL and "indoors: no" in told["outdoors"].message
