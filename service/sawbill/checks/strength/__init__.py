"""Whether the wood holds: bending, shear, posts, bolts, bearing, sag and sway of a frame in the wood cut for it.

Each rule is held against the member and the case that use the most of it. What no table tells the strength of is said;
`NOT_RECKONED` says what is not reckoned at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sawbill.checks import racking
from sawbill.checks.finding import Finding
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.resistance.wood import Standard
from sawbill.checks.site import Site
from sawbill.checks.strength.findings import ASKED, NOT_RECKONED, RULES, TRACED, falls, findings, unknown_of
from sawbill.checks.strength.joints import Near
from sawbill.checks.strength.reckoned import Loaded, Reckoned
from sawbill.trade.boxes import AXES, bounds
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Materials

BACKED: Final = 0.75
"""What lies so much of its length against what carries it does not bend (common practice, no source)."""
STATICS: Final = frozenset({
    "bending", "shear", "posts", "bolts", "bolted-end", "bearing", "screws", "net-section", "torsion", "hangers",
})  # fmt: skip
"""The rules about members as beams, and what holds them."""
__all__ = [
    "ASKED",
    "NOT_RECKONED",
    "RULES",
    "TRACED",
    "Loaded",
    "Reckoned",
    "check_strength",
    "strength_by",
    "strength_of",
]


def check_strength(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame against what it is reckoned to carry."""
    loaded = Loaded(frame, site)
    return strength_of(loaded.in_wood(materials)) if loaded.cases else []


def strength_of(found: Reckoned) -> list[Finding]:
    """Hold what was reckoned of a frame against what its wood bears."""
    told = [*findings(found.columns, found.worst, found.posts, found.sag, found.nearest, found.asked)]
    told += racking.findings(found.paths, found.directions)
    loose = [each for each in found.model.loose if not _backed(found.paths, each)]
    told += unknown_of(found.timber.unknown, [*loose, *found.pushed.loose])
    return [*told, *falls(found.columns.fallen(found.paths))]


def strength_by(found: Reckoned, rule: str) -> list[Finding]:
    """The findings by a rule, and by those that are reckoned with it, of a frame that stands; of wood that nobody knows
    what is met on the way. By a rule that is not about members as beams and what holds them: all there are."""
    if rule not in STATICS:
        return strength_of(found)
    nearest: Mapping[str, Mapping[Standard, Near]] = {"bolt-distance": {}, "screw-distance": {}}
    told = [*findings(found.columns, found.worst_of(rule), (), None, nearest, {})]
    return [*told, *unknown_of(found.timber.unknown, ())]


def _backed(paths: LoadPaths, member: Member) -> bool:
    """Whether it lies against what carries it for most of its length: it is a block, and no beam."""
    i = AXES.index(member.axis)
    for support in member.supports:
        carrier = bounds(paths.frame.boxes[part.key] for part in support.carrier.parts)
        shared = min(member.high, carrier.high[i] / MM) - max(member.low, carrier.low[i] / MM)
        if shared >= BACKED * (member.high - member.low):
            return True
    return False
