"""Whether the wood holds: bending, shear, posts, bolts, bearing and sag of a frame in the wood that is cut for it.

Each rule is held against the member and the case that use the most of it. What no table tells the strength of, and
what is not reckoned at all, is said.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

from sawbill.checks.finding import Finding
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import always, cases
from sawbill.checks.site import Site
from sawbill.checks.statics.model import Model
from sawbill.checks.strength.beams import beams_of, bent, sagging
from sawbill.checks.strength.findings import RULES, findings, not_reckoned
from sawbill.checks.strength.joints import bolted, nearest_edge, pressed
from sawbill.checks.strength.posts import buckling, posts_of
from sawbill.checks.strength.used import Columns, Used
from sawbill.checks.timber import Timber
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Materials

__all__ = ["RULES", "check_strength"]


def check_strength(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame against what it is reckoned to carry."""
    paths = LoadPaths(frame)
    told = list(cases(paths, site.heaviest_user))
    if not told:
        return []
    there, model, timber = always(paths, materials), Model(paths), Timber(paths, materials)
    solved = model.solve(there, [case.loads for case in told])
    columns = Columns(told, solved)
    beams = beams_of(paths, model, timber)
    weights = {member: sum(load for _, _, load in patches) for member, patches in there.items()}
    posts = posts_of(paths, timber, weights)
    uses: Iterable[Used] = chain(
        bent(beams, columns), buckling(posts, columns), bolted(paths, timber, columns), pressed(paths, timber, columns)
    )  # fmt: skip
    bearing = list(paths.under(member for case in told for member in case.loads))
    sag = sagging(beams, model, columns)
    told_of = [*findings(columns, columns.worst(uses), posts, sag, nearest_edge(bearing, timber))]
    return [*told_of, not_reckoned(timber.unknown, model.loose, columns.fallen(paths))]
