"""Whether a frame is sure not to hold, whatever wood is bought for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sawbill.asked.request import Request
from sawbill.buying.takeoff import TakeOff
from sawbill.checks.finding import Finding
from sawbill.checks.strength import Loaded
from sawbill.checks.together import check_wood
from sawbill.prices.pricebook import LumberOffer
from sawbill.quoting.holding.kinds import kinds_of
from sawbill.quoting.holding.strongest import cut_from
from sawbill.quoting.holding.tables import Tables
from sawbill.quoting.holding.tried import Tried, decided_by_wood
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Material, Materials


def fails_in_any_wood(
    frame: Frame, off: TakeOff, request: Request, offers: Sequence[LumberOffer],
    strong: Mapping[str, tuple[Material, ...]],
) -> bool:  # fmt: skip
    """Whether something is sure not to hold; strong: by section, the strongest wood on sale.

    What holds in the strongest wood is not looked at further. What fails in it may still hold in another, so that all
    woods are tried for the parts that fail, under the least that can come to them.
    """
    loaded, woods = Loaded(frame, request.site), cut_from(frame, strong)
    findings = [each for each in check_wood(loaded, request.site, woods) if decided_by_wood(each)]
    if not findings or not loaded.cases:
        return False
    tried = Tried(frame, request.site, loaded, kinds_of(off, request, offers, {0: loaded.paths}))
    touched = dict.fromkeys(tried.of[key] for each in findings for key in each.parts if key in tried.of)
    if any(all(tried.fails((kind,), (wood,)) for wood in kind.woods) for kind in touched):
        return True
    return _in_any_together(tried, woods, findings)


def _in_any_together(tried: Tried, woods: Materials, findings: Sequence[Finding]) -> bool:
    """The same of parts whose woods decide together; woods: the strongest."""
    tables = Tables(tried)
    failing = tried.failing({kind: woods[kind.keys[0]] for kind in tried.kinds}, woods, findings)
    for scope, rules in failing.items():
        tables.learn({scope: rules})
        if tables.unmended[scope]:
            return True
    return False
