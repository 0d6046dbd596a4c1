"""Where screws carry alone: what comes to those of each joint, and how much of them that uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sawbill.checks.load_paths import LoadPaths, Member, Support
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.strength.used import Columns, Used
from sawbill.trade.frame import Part, Screwed

TOO_SHORT: Final = 1000.0
"""As how much of a limit counts what bears nothing, as screws do that are too short."""


@dataclass(frozen=True, slots=True)
class Group:
    """Screws that carry together, and the links whose forces they carry.

    part: what they hold to the rest of its member, for others rest on it; None: they hold a member to another.
    """

    links: tuple[int, ...]
    member: Member
    part: Part | None
    joints: Sequence[Screwed]


def groups_of(bearing: Iterable[Support], paths: LoadPaths, joints: ScrewedJoints) -> Iterator[Group]:
    """The screws that carry alone, of all that bears something; glue beside them is taken as failed."""
    numbers = {id(link): number for number, link in enumerate(paths.links)}
    between: defaultdict[frozenset[Member], list[int]] = defaultdict(list)
    for number, link in enumerate(paths.links):
        between[frozenset((link.member, link.carrier))].append(number)
    seats: defaultdict[tuple[str, Member], list[int]] = defaultdict(list)
    known: set[frozenset[Member]] = set()
    for link in bearing:
        pair = frozenset((link.member, link.carrier))
        if pair not in known and (at := joints.at(link)):
            known.add(pair)
            yield Group(tuple(between[pair]), link.member, None, at)
        if link.kind == "rests" and (seat := joints.seat(link)) is not None:
            seats[seat, link.carrier].append(numbers[id(link)])
    for (seat, member), links in seats.items():
        yield Group(tuple(links), member, paths.frame.by_key[seat], joints.inside(seat))


def screwed(groups: Iterable[Group], joints: ScrewedJoints, columns: Columns) -> Iterator[Used]:
    """How much is used of the screws of each group."""
    for group in groups:
        forces = np.abs(columns.solved.forces[list(group.links)].sum(axis=0))
        for standard, bears in joints.together(group.joints).items():
            for lasting, these in columns.of.items():
                at = int(these[forces[these].argmax()])
                lasts = lasting.cd if standard == "NDS" else lasting.kmod
                used = float(forces[at]) / (bears * lasts) if bears else TOO_SHORT
                yield Used("screws", standard, used, group.member, lasting, group.links[0], part=group.part, column=at)
