"""What is kept as tables: the list of quotes, what became of one, and what changed in a price book.

The rows are read from the JSON of each. Columns may be added at the end of a table, never renamed or moved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from sawbill.answer import columns as c
from sawbill.answer.columns import CURRENCY, Json, Reader, Table, listed
from sawbill.answer.declared.changes import AlteredItem, Changes, Priced
from sawbill.answer.drift import WHY
from sawbill.answer.kept import About, AmountDrift, Bought, Drift, KeptBook, KeptLinks, KeptList, LineDrift


def _within(group: str, key: str) -> Reader:
    """Read a key of a group, which may not be there."""
    return lambda row: None if row.get(group) is None else row[group][key]


def _reasons(row: Json) -> str:
    return " ".join(WHY[code] for code in row.get("why") or ())


_QUOTES: Final = Table(
    "quotes", "Kept quotes", KeptList.__doc__ or "",
    c.columns(
        c.of(About.label), c.of(About.total), c.of(About.currency, shown=False), c.of(About.stored),
        c.of(About.designs, between=", "),
        c.text("price_book", KeptBook.name.meaning, "sample-inch", _within("price_book", "name")),
        c.of(About.owner), c.of(About.id),
        c.text("revision", KeptBook.revision.meaning, "781ea1b956718b153a0c1f7e42d9b86c",
               _within("price_book", "revision"), shown=False),
        c.of(About.engine, shown=False),
        c.text("address", "Where the quote is.", "/v1/quotes/1f0c9a5be2d47a8036cd",
               _within("links", KeptLinks.quote.key), shown=False),
    ), listed("quotes"),
)  # fmt: skip


def _drifted(answer: Json) -> Iterator[Json]:
    """The rows of what became of a quote: the items, then trips, then totals."""
    drift, currency = answer["drift"], {CURRENCY: answer[CURRENCY]}
    for line in drift["lines"]:
        sides = {
            f"{key}_{when}": line[side][key]
            for side, when in (("before", "then"), ("after", "now"))
            if line[side] is not None
            for key in (Bought.quantity.key, Bought.each.key, Bought.amount.key)
        }
        yield {**line, **sides, **currency}
    for kind, name in (("trip", "trips"), ("total", "totals")):
        for row in drift[name]:
            yield {**row, "kind": kind, "amount_then": row["before"], "amount_now": row["after"], **currency}


def _of_side(when: str) -> tuple[c.Column, ...]:
    """What is bought of an item then, or now."""
    told = f"{when.capitalize()}: "
    return c.columns(
        c.of(Bought.quantity, told + Bought.quantity.meaning.lower(), name=f"quantity_{when}"),
        c.of(Bought.each, told + Bought.each.meaning.lower(), name=f"each_{when}"),
        c.of(Bought.amount, f"{told}the price of all, the trip, or the total.", name=f"amount_{when}"),
    )


_DRIFT: Final = Table(
    "drift", "What became of the quote",
    "Every item, trip and total of a kept quote, then and at today's prices, and why it changed.",
    c.columns(
        c.text("kind", "What the row is: lumber, hardware, supply, trip or total.", "lumber"),
        c.of(LineDrift.name, "What it is, in words; of a trip the supplier, of a total its key."),
        c.of(LineDrift.supplier, shown=False), c.of(LineDrift.item_code, shown=False),
        _of_side("then"), _of_side("now"), c.of(AmountDrift.change), c.of(LineDrift.by_price),
        c.of(LineDrift.by_quantity), c.text("why", Drift.why.meaning, WHY["price-rose"], _reasons), c.currency(),
    ), _drifted,
)  # fmt: skip

_PRICED: Final = ("rose", "fell", "came", "went")


def _changed(answer: Json) -> Iterator[Json]:
    """The rows of what changed: prices, then what else changed of items, suppliers and settings."""
    for change in _PRICED:
        yield from ({**row, "change": change} for row in answer[change])
    yield from ({**row, "change": "item"} for row in answer["items"])
    yield from ({**row, "change": "supplier", "table": "suppliers"} for row in answer["suppliers"])
    yield from ({**row, "change": "setting", "column": row["setting"]} for row in answer["settings"])


_CHANGES: Final = Table(
    "changes", "What changed in the price book", Changes.__doc__ or "",
    c.columns(
        c.text("change", "What became of it: its price rose or fell, it came or went, something else of an item, of a "
               "supplier or a setting is different.", "rose"),
        c.of(Priced.table), c.of(Priced.supplier), c.of(Priced.item_code), c.of(Priced.least_quantity, shown=False),
        c.of(Priced.what), c.of(AlteredItem.column, "The column or the setting that changed; empty for a price."),
        c.of(AlteredItem.old, "What it cost, or was; empty: nothing."),
        c.of(AlteredItem.new, "What it costs, or is; empty: nothing."), c.of(Priced.percent),
    ), _changed,
)  # fmt: skip

KEPT: Final[Mapping[str, Table]] = MappingProxyType({table.name: table for table in (_QUOTES, _DRIFT, _CHANGES)})
"""Each of these tables by the last step of its address."""
