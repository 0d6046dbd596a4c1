"""The wood against the place: treated boards, and boards of which nothing is known."""

from __future__ import annotations

import pytest

from sawbill.checks.finding import Finding, Status
from sawbill.checks.material import check_material
from sawbill.checks.site import Site
from sawbill.trade.frame import Frame
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


def test_outdoors_treated_wood_is_not_held_against_it(stand: Frame) -> None:
    assert found(stand, (TREATED,), indoors=False) == []
