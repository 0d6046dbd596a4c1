"""Which wood will do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from sawbill.trade import lumber
from sawbill.trade.declaring.headings import PRICES
from sawbill.trade.declaring.kinds import Name, YesNo
from sawbill.trade.declaring.members import Group, Member, Rows, members

MOST_NAMES: Final = 50


def wood(unset: str) -> tuple[Member, Member]:
    """Declare which wood will do; unset: what holds where nothing is said."""
    species = Rows(Name(lumber.find_species), MOST_NAMES, "A species, by name.", "SPF")
    grades = Rows(Name(lumber.find_grade), MOST_NAMES, "A grade, by name.", "No.2")
    return (
        Member("species", species, f"The species that will do; unset: {unset}.", ["SPF"], heading=PRICES),
        Member(
            "grades", grades, f"The grades that will do; unset: {unset}.", ["No.2", "No.1"], heading=PRICES, rare=True
        ),
    )


def wood_of(given: Mapping[str, Any]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Give the species and the grades that will do, empty where nothing is said."""
    return tuple(given.get("species", ())), tuple(given.get("grades", ()))


LUMBER: Final = Group(
    "LumberAsked",
    "Which lumber will do; what is not named is not asked for. Boards on hand will do where it is not known.",
    members(*wood("any")),
)
LUMBER_THAT_HOLDS: Final = LUMBER.but("LumberThatHolds", "Which lumber will do for a request with designs.", Member(
    "must_hold", YesNo(),
    "Whether to buy boards strong enough for every frame. yes: the cheapest with which no check of strength fails, "
    "where wood on sale can mend that; no: the cheapest, strong enough or not. Unset: yes.", True, default=True,
    heading=PRICES, label="Boards that hold",
))  # fmt: skip
