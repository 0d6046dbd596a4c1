"""Whether the wood suits the place: none that is treated against rot and insects stands in a dwelling.

Where several kinds of wood are cut for parts that are alike, one treated board among them counts for all of them,
for nobody knows which part comes out of it; and so does one of which nothing is known.
"""

from __future__ import annotations

from sawbill.checks.finding import PRACTICE, Finding, Status, compare, not_checked
from sawbill.checks.site import Site
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Materials


def check_material(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame that stands indoors against practice; one that does not is not checked."""
    if not site.indoors:
        return []
    woods = {key: [each.treated for each in materials.get(key, ())] or [None] for key in frame.by_key}
    treated = tuple(key for key, known in woods.items() if True in known)
    if not treated and any(None in known for known in woods.values()):
        message = "It uses wood on hand, which may be treated: use no treated wood in beds or indoor furniture."
        return [not_checked("treated-wood", PRACTICE, message)]
    return [
        compare(
            "treated-wood", PRACTICE, len(treated), "<=", 0,
            ("No board bought for it is marked as treated.",
             "Treated wood is not for beds or indoor furniture: take the treated boards out of the price book, or ask "
             "for other species or grades; where it stands outdoors, say indoors: no in site."),
            treated, Status.FAIL, unit="count",
        )
    ]  # fmt: skip
