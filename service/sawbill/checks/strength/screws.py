"""Where screws carry alone: what comes to those of each joint, and how much of them that uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, Support
from sawbill.checks.resistance.screw_distances import distances
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Standard
from sawbill.checks.strength.joints import Near, nearer
from sawbill.checks.strength.used import Columns, Used
from sawbill.trade import fasteners
from sawbill.trade.frame import Frame, Part, Screwed

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
    seats: defaultdict[tuple[str, Member], list[int]] = defaultdict(list)
    known: set[frozenset[Member]] = set()
    for link in bearing:
        if (at := joints.at(link)) and (pair := frozenset((link.member, link.carrier))) not in known:
            known.add(pair)
            between = tuple(n for n, each in enumerate(paths.links) if each.member in pair and each.carrier in pair)
            yield Group(between, link.member, None, at)
        if link.kind == "rests" and (seat := joints.seat(link)) is not None:
            seats[seat, link.carrier].append(numbers[id(link)])
    for (seat, member), links in seats.items():
        yield Group(tuple(links), member, paths.frame.by_key[seat], joints.inside(seat))


def nearest_screws(groups: Iterable[Group], frame: Frame, timber: Timber) -> Mapping[Standard, Near]:
    """The screws that carry with the least room for what they should have, by standard."""
    found: dict[Standard, Near] = {}
    known: set[object] = set()
    for group in groups:
        if timber.leaves_out(key for joint in group.joints for key in joint.parts):
            continue
        for side in (0, 1):
            by_part: defaultdict[str, list[Screwed]] = defaultdict(list)
            for joint in group.joints:
                by_part[joint.parts[side]].append(joint)
            for key, joints in by_part.items():
                part, box = frame.by_key[key], frame.boxes[key]
                x, y, z = box.low
                places = tuple([(joint.head[0] - x, joint.head[1] - y, joint.head[2] - z) for joint in joints])
                alike = part.name, box.size, id(timber.woods(part)), places
                if alike in known:
                    continue
                known.add(alike)
                diameter = max(fasteners.screw_sizes()[joint.size].diameter for joint in joints)
                for standard in dict.fromkeys(wood.standard for wood in timber.woods(part)):
                    for distance in distances(standard, joints, part, box, up=part in group.member.parts):
                        if nearer(distance, found.get(standard)):
                            found[standard] = Near(distance, group.member, diameter)
    return found


def screwed(groups: Iterable[Group], joints: ScrewedJoints, columns: Columns) -> Iterator[Used]:
    """How much is used of the screws of each group."""
    for group in groups:
        if joints.leaves_out(group.joints):
            continue
        forces = np.abs(columns.solved.forces[list(group.links)].sum(axis=0))
        for standard, bears in joints.together(group.joints).items():
            for lasting, these in columns.of.items():
                at = int(these[forces[these].argmax()])
                lasts = lasting.cd if standard == "NDS" else lasting.kmod
                used = float(forces[at]) / (bears * lasts) if bears else TOO_SHORT
                yield Used("screws", standard, used, group.member, lasting, group.links[0], part=group.part, column=at,
                           void=not bears)  # fmt: skip
