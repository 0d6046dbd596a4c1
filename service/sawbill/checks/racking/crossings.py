"""Where members of a frame are fixed to each other sideways, looked at once for both directions of a push."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.trade.boxes import Axis, Box, bounds
from sawbill.trade.frame import Bolted, Fastener, Glued

TOWARD: Final[Mapping[Axis, Axis]] = {"x": "y", "y": "x"}
"""Along which axis one looks at what runs along another."""


class Crossings:
    """The joints of a frame that hold members to each other sideways, looked at once for both directions.

    Each as the joint, the members it passes through in turn; glued: faces between members that cross.
    """

    def __init__(self, paths: LoadPaths) -> None:
        """Of the members of a frame; without those of its ladder."""
        self.paths = paths
        self._around: dict[Member, Box] = {}
        self._ends: dict[Axis, dict[Member, list[Bolted]]] = {}
        of = paths.of
        ladders = {key for bed in paths.frame.high_beds if bed.ladder for key in bed.ladder.parts}
        self.fastened: list[tuple[Fastener, list[Member]]] = []
        self.glued: list[tuple[Glued, Member, Member]] = []
        for joint in paths.frame.joints:
            if isinstance(joint, Fastener):
                if joint.axis != "z":
                    members = [*{of[key]: None for key in joint.parts if key not in ladders}]
                    if len(members) > 1:
                        self.fastened.append((joint, members))
            elif isinstance(joint, Glued):
                one, other = of[joint.parts[0]], of[joint.parts[1]]
                if one.axis != other.axis and joint.parts[0] not in ladders:
                    self.glued.append((joint, one, other))

    def around(self, member: Member) -> Box:
        """The box around a member."""
        if member not in self._around:
            self._around[member] = bounds(self.paths.frame.boxes[part.key] for part in member.parts)
        return self._around[member]

    def ends(self, along: Axis) -> Mapping[Member, Sequence[Bolted]]:
        """The bolts along an axis whose first or last member stands, by that."""
        if along not in self._ends:
            found: dict[Member, list[Bolted]] = {}
            for joint, members in self.fastened:
                if joint.axis == along and isinstance(joint, Bolted):
                    for member in (members[0], members[-1]):
                        if member.upright:
                            found.setdefault(member, []).append(joint)
            self._ends[along] = found
        return self._ends[along]
