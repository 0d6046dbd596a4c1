"""What can be drawn of furniture, by name, and all the sheets it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from sawbill.drawings.lines.view import BELOW_BEHIND, FROM_BEHIND, FROM_BELOW, FRONT, LEFT, RIGHT, TOP
from sawbill.drawings.paper.sheet import Page
from sawbill.drawings.pictures.building import building, taking_apart
from sawbill.drawings.pictures.exploded import exploded
from sawbill.drawings.pictures.sides import sides
from sawbill.drawings.pictures.standing import standing
from sawbill.drawings.shop.details import detail_sheets
from sawbill.drawings.shop.sheets import part_sheets, piece_sheets, place_sheets
from sawbill.drawings.subject import Subject


@dataclass(frozen=True, slots=True)
class Kind:
    """A picture of the whole: what it shows, in words, and how it is drawn."""

    title: str
    draw: Callable[[Subject], Page]


VIEWS: Final[Mapping[str, Kind]] = {
    "isometric": Kind("as it stands", standing),
    "exploded": Kind("taken apart", exploded),
    "sides": Kind("front, side and top, to scale", sides),
    "front": Kind("the front, to scale", lambda subject: sides(subject, (FRONT,))),
    "left": Kind("one side, to scale", lambda subject: sides(subject, (LEFT,))),
    "right": Kind("the other side, to scale", lambda subject: sides(subject, (RIGHT,))),
    "top": Kind("from above, to scale", lambda subject: sides(subject, (TOP,))),
    "behind": Kind("as it stands, from behind", lambda subject: standing(subject, FROM_BEHIND)),
    "below": Kind("as it stands, from below", lambda subject: standing(subject, FROM_BELOW)),
}
"""The pictures of the whole, by the name they are asked for."""
STAGES: Final[Mapping[str, Callable[[Subject, int], Page]]] = {"step": building, "apart": taking_apart}
"""The pictures of one stage, by the name they are asked for with its number behind, such as step-1."""


def names(subject: Subject) -> list[str]:
    """All that can be asked for of one piece of furniture, by name."""
    return [*VIEWS, *stage_names(len(subject.stages))]


def stage_names(stages: int) -> list[str]:
    """Of so many stages: putting together, then taking apart, which takes two pieces at least."""
    kinds = STAGES if stages > 1 else ("step",)
    return [f"{kind}-{number}" for kind in kinds for number in range(1, stages + 1)]


def page(subject: Subject, name: str) -> Page | None:
    """One picture; None: there is none of this name."""
    if name not in names(subject):
        return None
    kind, _, number = name.partition("-")
    return STAGES[kind](subject, int(number) - 1) if kind in STAGES else VIEWS[name].draw(subject)


def steps(subject: Subject) -> list[Page]:
    """How it is put together, stage by stage."""
    return [building(subject, turn) for turn in range(len(subject.stages))]


def pictures(subject: Subject) -> list[Page]:
    """As it stands and taken apart; and from other sides as long as a letter of the cut list is in none of them."""
    found = [standing(subject), exploded(subject)]
    unseen = set(found[0].unseen) & set(found[1].unseen)
    for view in (FROM_BEHIND, FROM_BELOW, BELOW_BEHIND):
        for draw in (exploded, standing):
            page = draw(subject, view) if unseen else None
            if page and unseen - set(page.unseen):
                found.append(page)
                unseen &= set(page.unseen)
    return found


def building_sheets(subject: Subject) -> list[Page]:
    """What one makes the pieces from: all of them apart, the sides, a sheet for each piece and part, where they stand.

    As it stands, if some letter is seen from behind or below alone.
    """
    return [
        *pictures(subject)[1:],
        sides(subject),
        *piece_sheets(subject),
        *part_sheets(subject),
        *detail_sheets(subject),
        *place_sheets(subject),
    ]


def sheets(subject: Subject) -> list[Page]:
    """Every sheet of one piece of furniture but how its boards are cut, which is a matter of the whole quote."""
    return [
        *pictures(subject),
        sides(subject),
        *piece_sheets(subject),
        *part_sheets(subject),
        *detail_sheets(subject),
        *steps(subject),
        *place_sheets(subject),
    ]
