"""The cheapest way to buy boards for what has to be cut, proven, and how to cut them."""

from typing import TYPE_CHECKING, Any

from sawbill.cutting.order import (
    Board,
    Cut,
    CuttingPlan,
    Infeasible,
    Order,
    Piece,
    Shortfall,
    SmallPart,
    Status,
    Stock,
)
from sawbill.cutting.problem import carried_lengths
from sawbill.cutting.verify import verify

if TYPE_CHECKING:
    from sawbill.cutting.planner import EMERGENCY, PARTS, Draft, draft, finished, make_ready, plan, until
    from sawbill.cutting.valuing import Worths, worths

__all__ = [
    "EMERGENCY",
    "PARTS",
    "Board",
    "Cut",
    "CuttingPlan",
    "Draft",
    "Infeasible",
    "Order",
    "Piece",
    "Shortfall",
    "SmallPart",
    "Status",
    "Stock",
    "Worths",
    "carried_lengths",
    "draft",
    "finished",
    "make_ready",
    "plan",
    "until",
    "verify",
    "worths",
]


def __getattr__(name: str) -> Any:
    """The planner's own names, loaded when they are first used: its compiled loops take a while, and many need none."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from sawbill.cutting import planner, valuing

    return getattr(valuing if name in ("Worths", "worths") else planner, name)
