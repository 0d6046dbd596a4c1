"""What is bought: the shopping list, hardware and supplies with their packs, and the boards as a load."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal, NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.answer.declared.rounded import kilograms
from sawbill.buying.purchase import Purchase
from sawbill.prices.pricebook import SUPPLIES, HardwareOffer, LumberOffer, SupplyOffer

UNITS: Final = {"volume": "ml", "mass": "g", "count": "piece"}
"""What each supply is counted in."""


class ToBuy(NamedTuple):
    """So many of an offer."""

    kind: Literal["lumber", "hardware", "supply"]
    offer: LumberOffer | HardwareOffer | SupplyOffer
    quantity: int
    spare: int = 0

    @property
    def amount(self) -> int:
        """The price of all of them [minor units]."""
        return self.offer.each * self.quantity


def to_buy(purchase: Purchase) -> Iterator[ToBuy]:
    """Lumber, then hardware, then supplies: one row an offer."""
    yield from (ToBuy("lumber", boards.offer, boards.quantity, boards.spare) for boards in purchase.boards.bought)
    for hardware in purchase.hardware:
        yield from (ToBuy("hardware", pack, count) for pack, count in hardware.packs)
    for supply in purchase.supplies:
        yield from (ToBuy("supply", container, count) for container, count in supply.packs)


class LumberToBuy(Answered):
    """Boards to buy."""

    kind = f.text("What the row is.", "lumber", choices=["lumber"])
    supplier = f.text("The supplier that sells it.", "Yard A", "offer.supplier")
    item_code = f.text("The supplier's code for it.", "A-204-08", "offer.item_code")
    section = f.text("The boards' section.", "2x4", "offer.section.name")
    length = f.length("The length of each, as it is sold.", 2438.4, "96 in", "offer.length")
    species = f.text("Their species.", "SPF", "offer.species")
    grade = f.text("Their grade.", "No.2", "offer.grade")
    spare = f.whole("How many of them no cut is planned for.", 0)
    quantity = f.whole("How many to buy, the spare ones among them.", 14)
    each = f.money("The price of one.", "4.28", "offer.each")
    amount = f.money("The price of all of the row.", "59.92")


class HardwareToBuy(Answered):
    """Packs of hardware to buy."""

    kind = f.text("What the row is.", "hardware", choices=["hardware"])
    supplier = f.text("The supplier that sells it.", "Corner Hardware", "offer.supplier")
    item_code = f.text("The supplier's code for it.", "HB38-500-10", "offer.item_code")
    item = f.text("The piece of hardware.", "hex bolt", "offer.item")
    size = f.text("Its size; null for an item that has none.", "3/8 in", "offer.size", none=True)
    length = f.length("Its length; null for an item that has none.", 127, "5 in", "offer.length", none=True)
    pack = f.whole("How many pieces are in one pack.", 10, "offer.pack")
    quantity = f.whole("How many packs to buy.", 2)
    each = f.money("The price of one.", "4.99", "offer.each")
    amount = f.money("The price of all of the row.", "9.98")


class SupplyToBuy(Answered):
    """Containers of a supply to buy."""

    kind = f.text("What the row is.", "supply", choices=["supply"])
    supplier = f.text("The supplier that sells it.", "Corner Hardware", "offer.supplier")
    item_code = f.text("The supplier's code for it.", "GL-08", "offer.item_code")
    item = f.text("The supply.", "wood glue", "offer.item")
    container = f.text("What one container holds, with its unit.", "8 fl oz", "offer.label")
    quantity = f.whole("How many containers to buy.", 1)
    each = f.money("The price of one.", "5.29", "offer.each")
    amount = f.money("The price of all of the row.", "5.29")


class Packs(Answered):
    """Packs of one size."""

    pack = f.whole("How many pieces are in one.", 10, "offer.pack")
    count = f.whole("How many packs.", 2, "quantity")
    amount = f.money("The price of all of the row.", "9.98")


class Hardware(Answered):
    """What is needed of one kind of hardware, and how it is bought."""

    item = f.text("The piece of hardware.", "hex bolt", "need.item")
    size = f.text("Its size; null for an item that has none.", "3/8 in", "need.size", none=True)
    length = f.length("Its length; null for an item that has none.", 127, "5 in", "need.length", none=True)
    quantity = f.whole("How many are needed.", 20)
    owned = f.whole("How many of them the maker has.", 0)
    packs = f.rows(Packs, "The packs to buy.", lambda need, _: [ToBuy("hardware", *each) for each in need.packs])
    left_over = f.whole("How many are bought beyond the need.", 0)
    amount = f.money("The price of all the packs.", "9.98")


class Containers(Answered):
    """Containers of one size."""

    container = f.text("What one holds, with its unit.", "8 fl oz", "offer.label")
    count = f.whole("How many containers.", 1, "quantity")
    amount = f.money("The price of all of the row.", "5.29")


class Supply(Answered):
    """What is needed of one supply, and how it is bought."""

    item = f.text("The supply.", "wood glue")
    unit = f.text(
        "What it is measured in here.", "ml", lambda need, _: UNITS[SUPPLIES[need.item]], choices=[*UNITS.values()]
    )
    quantity = f.whole("How much is needed [unit].", 104)
    owned = f.whole("How much of it the maker has [unit].", 0)
    packs = f.rows(
        Containers, "The containers to buy.", lambda need, _: [ToBuy("supply", *each) for each in need.packs]
    )  # fmt: skip
    left_over = f.number(
        "How much is bought beyond the need [unit], to a tenth.", 14.3, lambda need, _: float(round(need.left_over, 1))
    )
    amount = f.money("The price of all the containers.", "5.29")


class LoadHome(Answered):
    """The boards to fetch, those delivered left out."""

    mass_kg = f.number(
        "What they weigh [kg], to a tenth, at 15 % moisture or as dry as the species' weight is told for; green or "
        "treated boards weigh more.", 54.2, lambda load, _: kilograms(load.mass_g),
    )  # fmt: skip
    longest = f.length("The longest of them; null where none is fetched.", 3048, "120 in", none=True)
