"""What changed between two revisions of a price book."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from marshmallow import fields

from sawbill.prices.changes import THINGS, Altered, Changes, Item, Priced
from sawbill.prices.pricebook import PriceBook
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent

_OLD: Final = "What it was; empty: nothing."
_NEW: Final = "What it is; empty: nothing."


class ItemSchema(Sent):
    """A row of a table, by what it is known again by."""

    table = sent.text("The table it stands in.", "lumber", choices=[*THINGS])
    supplier = sent.text("Who sells it.", "Yard A")
    item_code = sent.text("The supplier's code for it.", "A-204-08")
    least_quantity = sent.whole("From how many its price holds.", 1)
    what = sent.text("What it is, in words.", "2x4 x 96 in SPF No.2")


class PricedSchema(ItemSchema):
    """An item, with its price for one board, pack or container."""

    old = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "What it cost [the older book's currency]; null: it came.", "examples": ["4.28"]},
    )
    new = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "What it costs [the newer book's currency]; null: it went.", "examples": ["4.49"]},
    )
    percent = sent.text("By how much it rose, or fell below zero; null for what came or went.", "4.91 %", none=True)


class AlteredItemSchema(ItemSchema):
    """Something else that changed of an item."""

    column = sent.text("The column that changed.", "in_stock")
    old = sent.text(_OLD, "6")
    new = sent.text(_NEW, "4")


class AlteredSupplierSchema(Sent):
    """Something that changed of a supplier, who came or went where it is the name."""

    supplier = sent.text("Who sells.", "Yard A")
    column = sent.text("The column that changed.", "trip")
    old = sent.text(_OLD, "6.00")
    new = sent.text(_NEW, "6.50")


class AlteredSettingSchema(Sent):
    """A setting that changed."""

    setting = sent.text("Which setting.", "shop.kerf")
    old = sent.text(_OLD, "1/8 in")
    new = sent.text(_NEW, "3/32 in")


class ChangesSchema(Sent):
    """What changed. An item is known again by its supplier, code, least quantity, and what it is."""

    name = sent.text("The price book.", "my-shop")
    older = sent.text("The revision that was compared from.", "781ea1b956718b153a0c1f7e42d9b86c")
    newer = sent.text("The revision that was compared to.", "0d5b1b1f7a52c6e4")
    comparable = sent.flag("Whether both are in one currency; else no price is compared.", example=True)
    rose = sent.rows(PricedSchema, "What costs more.")
    fell = sent.rows(PricedSchema, "What costs less.")
    came = sent.rows(PricedSchema, "What is new.")
    went = sent.rows(PricedSchema, "What is no more.")
    items = sent.rows(AlteredItemSchema, "What else changed of items that are in both.")
    suppliers = sent.rows(AlteredSupplierSchema, "What changed of the suppliers.")
    settings = sent.rows(AlteredSettingSchema, "Which settings changed.")


def changes_json(found: Changes, old: PriceBook, new: PriceBook) -> dict[str, Any]:
    """Give what changed between two books as the JSON object of an answer."""
    return {
        "name": new.name,
        "older": old.revision,
        "newer": new.revision,
        "comparable": found.comparable,
        "rose": [_priced(each) for each in found.rose],
        "fell": [_priced(each) for each in found.fell],
        "came": [_priced(each) for each in found.came],
        "went": [_priced(each) for each in found.went],
        "items": [_altered(each) for each in found.items],
        "suppliers": [_altered(each) for each in found.suppliers],
        "settings": [{"setting": each.name, "old": each.old, "new": each.new} for each in found.settings],
    }


def _item(item: Item) -> dict[str, Any]:
    return {name: getattr(item, name) for name in ("table", "supplier", "item_code", "least_quantity", "what")}


def _priced(priced: Priced) -> dict[str, Any]:
    percent = None if priced.percent is None else f"{priced.percent:f} %"
    return {**_item(priced.item), "old": _money(priced.old), "new": _money(priced.new), "percent": percent}


def _altered(each: Altered) -> dict[str, Any]:
    place = _item(each.place) if isinstance(each.place, Item) else {"supplier": each.place}
    return {**place, "column": each.name, "old": each.old, "new": each.new}


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else f"{amount:f}"
