"""Where screws alone carry: the joints of a frame in which nothing rests, hangs or is bolted.

Glue beside them is not trusted with what people hang on it: it may fail without a sign. A ledger that screws hold to
its rail is reckoned as if they alone did; one that is glued alone is not. Lengths [mm], forces [N].
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from itertools import combinations, product

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, Support
from sawbill.checks.resistance import screws
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Standard
from sawbill.trade import fasteners
from sawbill.trade.design_values import NdsValues, StrengthClass
from sawbill.trade.frame import Bolted, Glued, Resting, Screwed
from sawbill.trade.lengths import MM


class ScrewedJoints:
    """The joints that screws carry, each looked at once."""

    def __init__(self, paths: LoadPaths, timber: Timber) -> None:
        self.frame, self._timber = paths.frame, timber
        self._screws: defaultdict[frozenset[Member], list[Screwed]] = defaultdict(list)
        self._other: set[frozenset[Member]] = set()
        self._inside: defaultdict[str, list[Screwed]] = defaultdict(list)
        self._seats: dict[tuple[Member, Member], str] = {}
        self._known: dict[object, Mapping[Standard, float]] = {}
        of = paths.of
        for joint in paths.frame.joints:
            first, last = joint.parts[0], joint.parts[-1]
            if isinstance(joint, Screwed):
                if joint.axis != "z" and of[first] is of[last]:
                    self._inside[first].append(joint)
                elif joint.axis != "z":
                    self._screws[frozenset((of[first], of[last]))].append(joint)
            elif isinstance(joint, Bolted):
                self._other.update(_pairs({of[key] for key in joint.parts}))
            elif not isinstance(joint, Glued):
                self._other.add(frozenset([of[key] for key in joint.parts]))
                if isinstance(joint, Resting):
                    self._seats[of[first], of[last]] = last

    def in_wood(self, timber: Timber) -> ScrewedJoints:
        """The same joints in other wood."""
        other = copy(self)
        other._timber, other._known = timber, {}
        return other

    def at(self, support: Support) -> Sequence[Screwed]:
        """The screws of a support that they alone carry; none where something else does."""
        between = frozenset((support.member, support.carrier))
        return () if between in self._other or support.bolts else self._screws.get(between, ())

    def seat(self, support: Support) -> str | None:
        """The part that a support rests on, where screws hold it to the rest of its member; None: no such."""
        key = self._seats.get((support.member, support.carrier))
        return key if key in self._inside else None

    def inside(self, seat: str) -> Sequence[Screwed]:
        """Those screws."""
        return self._inside[seat]

    def leaves_out(self, joints: Iterable[Screwed]) -> bool:
        """Whether nothing is asked of the parts of joints."""
        return self._timber.leaves_out(key for joint in joints for key in joint.parts)

    def together(self, joints: Sequence[Screwed]) -> Mapping[Standard, float]:
        """What screws bear together, with CD or kmod 1, by standard, in the worst woods there.

        Empty: no table tells of the wood. 0: they are too short to count.
        """
        found: dict[Standard, float] = {}
        for joint in joints:
            for standard, bears in self._each(joint).items():
                found[standard] = found.get(standard, 0.0) + bears
        return found

    def _each(self, joint: Screwed) -> Mapping[Standard, float]:
        frame = self.frame
        woods = [self._timber.woods(frame.by_key[key]) for key in joint.parts]
        through, into = frame.through(joint)
        alike = joint.size, through, into, *map(id, woods)
        if alike not in self._known:
            bites = (frame.screw_length(joint) - through) / MM
            self._known[alike] = _worst(woods, fasteners.screw_sizes()[joint.size], through / MM, bites)
        return self._known[alike]


def _worst(
    woods: Sequence[Sequence[Graded]], size: fasteners.ScrewSize, through: float, into: float
) -> Mapping[Standard, float]:  # fmt: skip
    """What a screw bears in the worst pair of woods of each standard."""
    found: dict[Standard, float] = {}
    for side, main in product(*woods):
        if side.standard == main.standard:
            bears = _load(side, main, size, through, into)
            found[side.standard] = min(bears, found.get(side.standard, bears))
    return found


def _pairs(members: Iterable[Member]) -> Iterable[frozenset[Member]]:
    """Every two of the members that a bolt goes through."""
    return map(frozenset, combinations(members, 2))


def _load(side: Graded, main: Graded, size: fasteners.ScrewSize, through: float, into: float) -> float:
    one, other = side.values, main.values
    diameter, root = size.diameter / MM, size.root / MM
    if isinstance(one, NdsValues) and isinstance(other, NdsValues):
        return screws.nds_load((one.gravity, other.gravity), diameter, root, through, into)
    assert isinstance(one, StrengthClass) and isinstance(other, StrengthClass)
    return screws.ec5_load((one.rho_k, other.rho_k), diameter, root, through, into)
