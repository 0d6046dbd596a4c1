"""What a quote comes to, and how far it is proven that its lumber cannot cost less."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sawbill import cutting
from sawbill.asked.pricing import Pricing
from sawbill.buying.purchase import BoughtHardware, BoughtSupply, Purchase
from sawbill.buying.suppliers import Sourcing, tax_of, total_of
from sawbill.prices.money import minor_units
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.selling import contingency_of


@dataclass(frozen=True, slots=True)
class Totals:
    """What is spent [minor units]; used: the part of it that goes into the furniture, leftovers taken off.

    contingency: what is set aside beside the total, a share of the total less its trips; budget: both together.

    The lumber, hardware and supplies hold the tax already where the book's prices do; then tax says how much.
    """

    lumber: int
    hardware: int
    supplies: int
    trips: int
    tax: int
    total: int
    used: int
    contingency: int
    budget: int


@dataclass(frozen=True, slots=True)
class Proof:
    """How far it is proven that the lumber cannot cost less, what it leaves over counted; stage: what settled it.

    cost: of the lumber, credited: what its leftovers are worth, bound: no purchase has a lower cost - credited
    [minor units]; few: no plan as cheap, with no more boards, has fewer set-ups; lasting: whether the same request is
    answered alike whenever it is asked: no clock cut it short.
    """

    status: cutting.Status
    cost: int
    credited: int
    bound: int
    stage: str
    few: int
    lasting: bool = True

    @property
    def gap(self) -> int:
        """What another purchase might save [minor units]."""
        return self.cost - self.credited - self.bound


def totals_of(sourcing: Sourcing, book: PriceBook, pricing: Pricing) -> Totals:
    """Add up a purchase, its visits and its tax."""
    bought = sourcing.purchase
    lumber_spend = sum(boards.amount for boards in bought.boards.bought)
    hardware_spend = sum(item.amount for item in bought.hardware)
    supplies_spend = sum(item.amount for item in bought.supplies)
    tax = tax_of(bought, book)
    trips = sum(visit.amount for visit in sourcing.visits)
    total = total_of(sourcing, book)
    aside = contingency_of(pricing, total - trips)
    return Totals(lumber_spend, hardware_spend, supplies_spend, trips, tax, total, _used(bought), aside, total + aside)


def proof_of(sourcing: Sourcing, *, lasting: bool) -> Proof:
    """What the lumber costs against what it might, another set of suppliers counted in."""
    boards = sourcing.purchase.boards
    status = cutting.Status.TIME_LIMIT if sourcing.late else cutting.Status.WITHIN_TOLERANCE
    if not sourcing.gap:
        status = cutting.Status.PROVEN
    bound = max(0, boards.cost - boards.credited - sourcing.gap)
    return Proof(status, boards.cost, boards.credited, bound, boards.stage, boards.few, lasting)


def _used(bought: Purchase) -> int:
    """What the wood cut away from leftovers, the fasteners and the supplies used are worth [minor units]."""
    worth = Fraction(0)
    for each in bought.boards.cut:
        if (offer := each.wood.offer) is not None:
            share = Fraction(each.wood.length - each.board.leftover, each.wood.length)
            worth += offer.each * each.board.count * share
    packed: tuple[BoughtHardware | BoughtSupply, ...] = (*bought.hardware, *bought.supplies)
    for goods in packed:
        new = goods.quantity - goods.owned
        worth += goods.amount * Fraction(new) / (new + goods.left_over) if new else 0
    return minor_units(worth, 0)
