"""What changed between two revisions of a price book."""

from __future__ import annotations

from dataclasses import dataclass

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import PLAIN, Answered, Json
from sawbill.prices import changes
from sawbill.prices.changes import THINGS
from sawbill.prices.pricebook import PriceBook


class Item(Answered):
    """A row of a table, by what it is known again by."""

    table = f.text("The table it stands in.", "lumber", "item.table", choices=[*THINGS])
    supplier = f.text("The supplier that sells it.", "Yard A", "item.supplier")
    item_code = f.text("The supplier's code for it.", "A-204-08", "item.item_code")
    least_quantity = f.whole("From how many its price holds.", 1, "item.least_quantity")
    what = f.text("What it is, as a person would say it.", "2x4 x 96 in SPF No.2", "item.what")


def _plain(name: str) -> f.Read:
    """Reads a decimal as text."""
    return lambda priced, _: None if getattr(priced, name) is None else f"{getattr(priced, name):f}"


class Priced(Item):
    """An item, with its price for one board, pack or container."""

    old = f.text("What it cost [the older book's currency]; null: it came.", "4.28", _plain("old"), none=True)
    new = f.text("What it costs [the newer book's currency]; null: it went.", "4.49", _plain("new"), none=True)
    percent = f.text(
        "By how much it rose, or fell below zero; null for what came or went.", "4.91 %",
        lambda priced, _: None if priced.percent is None else f"{priced.percent:f} %", none=True,
    )  # fmt: skip


@dataclass(frozen=True)
class _Placed:
    """Something that changed of an item."""

    item: changes.Item
    altered: changes.Altered


class AlteredItem(Item):
    """Something else that changed of an item."""

    column = f.text("The column of the table that changed.", "in_stock", "altered.name")
    old = f.text("What it was; empty: nothing.", "6", "altered.old")
    new = f.text("What it is; empty: nothing.", "4", "altered.new")


class AlteredSupplier(Answered):
    """Something that changed of a supplier, who came or went where it is the name."""

    supplier = f.text("The supplier.", "Yard A", "place")
    column = f.text("The column of the table that changed.", "trip", "name")
    old = f.text("What it was; empty: nothing.", "6.00")
    new = f.text("What it is; empty: nothing.", "6.50")


class AlteredSetting(Answered):
    """A setting that changed."""

    setting = f.text("The setting, by its key.", "shop.kerf", "name")
    old = f.text("What it was; empty: nothing.", "1/8 in")
    new = f.text("What it is; empty: nothing.", "3/32 in")


@dataclass(frozen=True)
class Between:
    """Two revisions of a price book, and what changed between them."""

    older: PriceBook
    newer: PriceBook
    found: changes.Changes


class Changes(Answered):
    """What changed. An item is known again by its supplier, code, least quantity, and what it is."""

    name = f.text("The price book, by name.", "my-shop", "newer.name")
    older = f.text("The revision that was compared from.", "781ea1b956718b153a0c1f7e42d9b86c", "older.revision")
    newer = f.text("The revision that was compared to.", "0d5b1b1f7a52c6e4", "newer.revision")
    comparable = f.flag(
        "Whether both are in one currency; else no price is compared.", "found.comparable", example=True
    )
    rose = f.rows(Priced, "Items whose price rose.", "found.rose")
    fell = f.rows(Priced, "Items whose price fell.", "found.fell")
    came = f.rows(Priced, "Items that only the newer revision has.", "found.came")
    went = f.rows(Priced, "Items that only the older revision has.", "found.went")
    items = f.rows(
        AlteredItem, "What else changed of items that are in both.",
        lambda between, _: [_Placed(each.place, each) for each in between.found.items],
    )  # fmt: skip
    suppliers = f.rows(
        AlteredSupplier, "What changed of suppliers: who came or went, and their costs.", "found.suppliers"
    )
    settings = f.rows(AlteredSetting, "The settings that changed, those of the shop too.", "found.settings")


def changes_json(found: changes.Changes, old: PriceBook, new: PriceBook) -> Json:
    """Give what changed between two books as the JSON object of an answer."""
    return Changes.written(Between(old, new, found), PLAIN)
