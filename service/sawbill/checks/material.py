"""Whether wood, glue and finish suit the place: nothing that is treated against rot and insects stands in a dwelling,
and outdoors stands nothing that is not made for it.

Where several kinds of wood are cut for parts that are alike, one treated board among them counts for all of them,
for nobody knows which part comes out of it; and so does one of which nothing is known.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sawbill.checks.finding import PRACTICE, Finding, Status, compare, not_checked
from sawbill.checks.site import Site
from sawbill.trade.finishes import OUTDOORS
from sawbill.trade.frame import Frame, Glued
from sawbill.trade.lumber import Materials


def check_material(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """Hold the wood of a frame that stands indoors, or all that weather gets at, against practice."""
    if not site.indoors:
        return list(_outdoors(frame, materials))
    found = _indoors(frame, materials)
    return [*found, _MEANT_FOR_OUTDOORS] if frame.finish == OUTDOORS else found


_MEANT_FOR_OUTDOORS: Final = not_checked(
    "outdoors", PRACTICE, "Its finish is for outdoors: say indoors: no in site if it is to stand there, and its wood "
    "and glue are held against that.",
)  # fmt: skip


def _outdoors(frame: Frame, materials: Materials) -> Iterator[Finding]:
    """What does not stand weather: another finish, wood that is not treated, glue."""
    yield compare(
        "outdoor-finish", PRACTICE, int(frame.finish != OUTDOORS), "<=", 0,
        ("Its finish is one for outdoors.",
         "It stands outdoors without a finish for that: choose finish: outdoors, and renew it as its container says."),
        (), Status.WARN, unit="count",
    )  # fmt: skip
    plain = tuple(key for key in frame.by_key if {each.treated for each in materials.get(key, ())} != {True})
    yield compare(
        "outdoor-wood", PRACTICE, len(plain), "<=", 0,
        ("All boards bought for it are marked as treated.",
         "Untreated softwood rots outdoors, and all strength is reckoned for dry wood: take treated boards, or a "
         "durable species, and keep them off wet ground."),
        plain, Status.WARN, unit="count",
    )  # fmt: skip
    glued = tuple(dict.fromkeys(key for joint in frame.joints if isinstance(joint, Glued) for key in joint.parts))
    yield compare(
        "outdoor-glue", PRACTICE, len(glued), "<=", 0,
        ("Nothing is glued.",
         "Glue for indoors lets go when it is wet: take one whose container says it is for outdoors, such as of class "
         "D4 of EN 204."),
        glued, Status.WARN, unit="count",
    )  # fmt: skip


def _indoors(frame: Frame, materials: Materials) -> list[Finding]:
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
