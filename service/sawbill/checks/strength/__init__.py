"""Whether the wood holds: bending, shear, posts, bolts, bearing and sag of a frame in the wood that is cut for it.

Each rule is held against the member and the case that use the most of it. What no table tells the strength of, and
what is not reckoned at all, is said.
"""

from __future__ import annotations

from sawbill.checks.finding import Finding
from sawbill.checks.site import Site
from sawbill.checks.strength.findings import RULES, findings, not_reckoned
from sawbill.checks.strength.joints import nearest_edge
from sawbill.checks.strength.reckoned import reckon
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Materials

__all__ = ["RULES", "check_strength"]


def check_strength(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame against what it is reckoned to carry."""
    found = reckon(frame, site, materials)
    if found is None:
        return []
    bearing = list(found.paths.under(member for case in found.cases for member in case.loads))
    edge = nearest_edge(bearing, found.timber)
    told = [*findings(found.columns, found.worst, found.posts, found.sag, edge)]
    fallen = found.columns.fallen(found.paths)
    return [*told, not_reckoned(found.timber.unknown, found.model.loose, fallen)]
