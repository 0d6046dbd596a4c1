"""Whole price books, as they are sent and as a request may bring one."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import fields

from sawbill.prices.about import ABOUT
from sawbill.prices.offers import HARDWARE, LUMBER, SECTIONS, SUPPLIERS, SUPPLY
from sawbill.prices.pricebook import PriceBook, content
from sawbill.prices.shop import SHOP
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.declared import cells_schema, told_schema


def book_json(book: PriceBook) -> dict[str, Any]:
    """Give a whole price book: what a request may bring, and its name and revision."""
    return {"name": book.name, "revision": book.revision, **content(book)}


def _passed_over(description: str, example: str) -> fields.String:
    """Describe what an answer says of a price book, and a request need not."""
    return fields.String(metadata={"description": f"{description}; passed over in a request.", "examples": [example]})


BookShopSchema: Final = told_schema("BookShop", "How the shop cuts.", SHOP)


SupplierSchema: Final = cells_schema(
    "Supplier", "A supplier, and what it costs to get goods home from there.", SUPPLIERS
)
LumberRowSchema: Final = cells_schema("LumberRow", "One stock length of one section at one price.", LUMBER)
SectionRowSchema: Final = cells_schema("SectionRow", "A section of the book's own.", SECTIONS)
HardwareRowSchema: Final = cells_schema("HardwareRow", "One pack of one fastener.", HARDWARE)
SupplyRowSchema: Final = cells_schema("SupplyRow", "One container of a supply.", SUPPLY)


class PriceBookSchema(told_schema("BookAbout", "What a price book says of itself.", ABOUT)):  # type: ignore[misc]  # made
    """A whole price book, as it is sent and as a request may bring it; every value of a row is text."""

    name = _passed_over("Its name", "sample-inch")
    revision = _passed_over("What names its content", "781ea1b956718b153a0c1f7e42d9b86c")
    usual_sections = fields.Dict(
        keys=fields.String(),
        values=fields.String(metadata={"description": "A section, by name.", "examples": ["2x4"]}),
        required=True,
        metadata={
            "description": "The section taken for a role that a request leaves open; other stands for all not named.",
            "examples": [{"rail": "2x6", "other": "2x4"}],
        },
    )
    shop = sent.group(BookShopSchema, "How the shop cuts.")
    suppliers = sent.rows(SupplierSchema, "The suppliers, at least one.")
    lumber = sent.rows(LumberRowSchema, "The boards on sale, a row each stock length.")
    hardware = sent.rows(HardwareRowSchema, "Fasteners and fittings, a row each pack.")
    supplies = sent.rows(SupplyRowSchema, "Glue, finish and the like, a row each container.")
    sections = fields.List(
        fields.Nested(SectionRowSchema),
        metadata={"description": "Sections that are its own, for lumber whose name and size are not listed."},
    )
