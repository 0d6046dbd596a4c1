"""The cheapest way to buy boards for what has to be cut, proven, and how to cut them."""

from sawbill.estimating.cutting.order import (
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
from sawbill.estimating.cutting.planner import Draft, draft, finished, plan
from sawbill.estimating.cutting.problem import carried_lengths
from sawbill.estimating.cutting.verify import verify

__all__ = [
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
    "carried_lengths",
    "draft",
    "finished",
    "plan",
    "verify",
]
