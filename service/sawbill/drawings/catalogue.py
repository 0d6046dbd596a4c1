"""What can be drawn of furniture, by name, and all the sheets it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from sawbill.drawings.lines.view import BELOW_BEHIND, FROM_BEHIND, FROM_BELOW, FRONT, LEFT, RIGHT, TOP
from sawbill.drawings.paper.sheet import Page
from sawbill.drawings.pictures.building import building, taking_apart
from sawbill.drawings.pictures.exploded import exploded
from sawbill.drawings.pictures.sides import sides
from sawbill.drawings.pictures.standing import standing
from sawbill.drawings.shop.sheets import part_sheets, piece_sheets, place_sheets
from sawbill.drawings.subject import Subject

VIEWS: Final[Mapping[str, Callable[[Subject], Page]]] = {
    "isometric": standing,
    "exploded": exploded,
    "sides": sides,
    "front": lambda subject: sides(subject, (FRONT,)),
    "left": lambda subject: sides(subject, (LEFT,)),
    "right": lambda subject: sides(subject, (RIGHT,)),
    "top": lambda subject: sides(subject, (TOP,)),
    "behind": lambda subject: standing(subject, FROM_BEHIND),
    "below": lambda subject: standing(subject, FROM_BELOW),
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
    return STAGES[kind](subject, int(number) - 1) if kind in STAGES else VIEWS[name](subject)


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


def sheets(subject: Subject) -> list[Page]:
    """Every sheet of one piece of furniture but how its boards are cut, which is a matter of the whole quote."""
    return [
        *pictures(subject),
        sides(subject),
        *piece_sheets(subject),
        *part_sheets(subject),
        *steps(subject),
        *place_sheets(subject),
    ]
