"""What makes engines ready, and whether one can reckon: it makes a plan, which loads all that it needs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sawbill import cutting
from sawbill.buying import suppliers
from sawbill.cutting import CuttingPlan, Order, Piece, Stock
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lengths import INCH

TINY: Final = Order(
    stocks=(Stock("board", "wood", 96 * INCH, 400),),
    pieces=(Piece("a", 30 * INCH, 4, frozenset({"wood"})), Piece("b", 20 * INCH, 3, frozenset({"wood"}))),
    kerf=INCH // 8,
)
"""An order that needs the solver; 180 in and its kerfs come out of no fewer than two boards of 96 in."""


def load() -> None:
    """Compile the loops, or load them, before engines are forked, which then share them."""
    suppliers.make_ready()


def reckons(_: Sequence[PriceBook]) -> bool:
    """Make a plan, and tell whether that went well."""
    made = cutting.plan(TINY)
    return isinstance(made, CuttingPlan) and made.cost == made.bound
