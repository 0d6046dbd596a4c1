"""The columns of a price book's tables and the keys of its settings: one set of names for files and JSON."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sawbill.prices.about import ABOUT
from sawbill.prices.offers import HARDWARE, LUMBER, SECTIONS, SUPPLIERS, SUPPLY
from sawbill.prices.shop import SHOP
from sawbill.trade.declaring.members import Member


@dataclass(frozen=True, slots=True)
class Columns:
    """The names a table must have, and those it may have."""

    required: tuple[str, ...]
    optional: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        """Every name, in order."""
        return self.required + self.optional

    def of(self, rows: Iterable[Mapping[str, str]]) -> tuple[str, ...]:
        """Every name, in order, and then those of the notes in these rows."""
        return (*self.all, *dict.fromkeys(name for row in rows for name in row if is_note(name)))


def columns_of(declared: Mapping[str, Member]) -> Columns:
    """Give the names of what is declared."""
    needed = {name: each.needed for name, each in declared.items()}
    return Columns(
        tuple(name for name in needed if needed[name]), tuple(name for name in needed if not needed[name])
    )  # fmt: skip


TABLES: Final[Mapping[str, Columns]] = MappingProxyType({
    "suppliers": columns_of(SUPPLIERS), "lumber": columns_of(LUMBER), "hardware": columns_of(HARDWARE),
    "supplies": columns_of(SUPPLY), "sections": columns_of(SECTIONS),
})  # fmt: skip
"""The tables by name: NAME.csv in a folder, a list of objects in JSON."""
OPTIONAL: Final = frozenset({"sections"})
"""The tables that a book may be without."""

MOST_NOTES: Final = 10
"""Columns of notes in one table."""
_NOTE: Final = re.compile(r"notes?([ _-].{1,60})?", re.IGNORECASE)


def is_note(name: str) -> bool:
    """Tell whether a column is one of notes: these are kept, and nothing is read of them."""
    return _NOTE.fullmatch(name) is not None


SETTINGS: Final = Columns((*ABOUT, "usual_sections", "shop"))
"""The keys of book.toml, or of the JSON object beside its tables."""

SHOP_KEYS: Final = columns_of(SHOP)
"""The keys of the settings' table [shop]."""
