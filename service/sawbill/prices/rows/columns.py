"""The columns of a price book's tables and the keys of its settings: one set of names for files and JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sawbill.prices.shop import SHOP


@dataclass(frozen=True, slots=True)
class Columns:
    """The names a table must have, and those it may have."""

    required: tuple[str, ...]
    optional: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Every name, in order."""
        return self.required + self.optional


TABLES: Final[Mapping[str, Columns]] = MappingProxyType(
    {
        "suppliers": Columns(("name",), ("trip", "delivery", "minimum_order", "tax_rate")),
        "lumber": Columns(
            ("supplier", "item_code", "section", "species", "grade", "length", "price", "per"),
            (
                "least_quantity",
                "in_stock",
                "measured_thickness",
                "measured_width",
                "measured_length",
                "treated",
                "design_values",
            ),
        ),
        "hardware": Columns(
            ("supplier", "item_code", "item", "size", "length", "pack", "price"),
            ("least_quantity", "in_stock"),
        ),
        "supplies": Columns(("supplier", "item_code", "item", "amount", "price"), ("least_quantity", "in_stock")),
    }
)
"""The tables by name: NAME.csv in a folder, a list of objects in JSON."""

SETTINGS: Final = Columns(
    (
        "title",
        "units",
        "currency",
        "tax_rate",
        "prices_include_tax",
        "as_of",
        "sample",
        "usual_sections",
        "shop",
    )
)
"""The keys of book.toml, or of the JSON object beside its tables."""

SHOP_KEYS: Final = Columns(
    tuple(name for name, each in SHOP.items() if each.needed),
    tuple(name for name, each in SHOP.items() if not each.needed),
)
"""The keys of the settings' table [shop]."""
