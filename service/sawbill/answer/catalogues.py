"""The catalogues as tables: designs, price books, lumber, mattresses and fasteners, for sheets and scripts.

The rows are read from the JSON of each catalogue; where that has several lists, the first column tells them apart.
Columns may be added at the end of a table, never renamed or moved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, Final

from sawbill.answer import columns as c
from sawbill.answer.columns import CURRENCY, Column, Json, Table, listed
from sawbill.answer.declared.trade import Bolt, Grade, Hanger, HardwareKind, Mattress, Section, Species, TeeNut

_SOURCE: Final = c.of(Section.source, "Where the row's numbers are from; empty where it has none.")
_OF: Final[Mapping[str, str]] = MappingProxyType({
    "sections": "section", "species": "species", "grades": "grade",
    "bolts": "bolt", "screws": "screw", "hangers": "hanger", "items": "item",
})  # fmt: skip
"""What a row of a list is."""


def _together(*names: str) -> Callable[[Json], Iterable[Json]]:
    """Read the rows of several lists, each row with what it is."""

    def records(answer: Json) -> Iterator[Json]:
        for name in names:
            for row in answer[name]:
                yield {"kind": _OF[name], **row}

    return records


def _fasteners(answer: Json) -> Iterator[Json]:
    """The rows of fasteners: a bolt with the measures of its tee nut, an item by its name."""
    for row in _together("bolts", "screws", "hangers", "items")(answer):
        nut = {f"tee_nut_{name}": value for name, value in row.get("tee_nut", {}).items()}
        yield {"name": row.get("item"), **row, **nut}


def _lengths(millimetres: str, written: str) -> tuple[Column, ...]:
    """Two columns of the lengths that something is sold in: millimetres, and as a workshop writes them."""

    def joined(key: str, between: str) -> Callable[[Json], str | None]:
        return lambda row: between.join(_plain(each[key]) for each in row["lengths"]) if "lengths" in row else None

    return (
        *c.text("lengths_mm", "The lengths it is sold in [mm], shortest first, with spaces between.", millimetres,
                joined("mm", " "), shown=False),
        *c.text("lengths", "The same as a workshop writes them, with commas between.", written, joined("text", ", ")),
    )  # fmt: skip


def _plain(value: Any) -> str:
    return str(int(value)) if isinstance(value, float) and value.is_integer() else str(value)


_DESIGNS: Final = Table(
    "designs", "Designs", "The designs on offer.",
    c.columns(
        c.text("name", "Its name, by which a request asks for it.", "slatted-bed"),
        c.text("title", "What it is called.", "Slatted bed"),
        c.text("summary", "What it is, in a sentence.", "A knock-down bed with loose slats."),
    ), listed("designs"),
)  # fmt: skip
_PRICE_BOOKS: Final = Table(
    "price-books", "Price books", "The price books that you may read, by name.",
    c.columns(
        c.text("name", "Its name, by which a request asks for it.", "sample-inch"),
        c.text("title", "What it is called.", "Sample prices, inch sizes (invented)"),
        c.text("units", "The system it is written in: inch or metric.", "inch"),
        c.text(CURRENCY, "Its currency (ISO 4217).", "USD"),
        c.text("as_of", "The day of its prices (ISO 8601).", "2026-11-01"),
        c.flag("sample", "Whether its prices are invented.", example=True),
        c.flag("usable", "Whether quotes can be made from it; if not, its own address says why.", example=True),
        c.text("revision", "What names its content.", "781ea1b956718b153a0c1f7e42d9b86c"),
        c.text("kept", "Where it is kept: folder or store.", "store"),
        c.text("by", "Who stored it as it is; empty in the folder.", "anna"),
        c.text("stored", "When (RFC 3339, UTC); empty in the folder.", "2026-11-25T15:04:05.678901Z"),
        c.text("owner", "Whose it is; empty in the folder.", "anna"),
        c.text("may", "What you may do with it: read, write or own it.", "own"),
    ), listed("price_books"),
)  # fmt: skip
_LUMBER: Final = Table(
    "lumber", "Lumber", "Sections, species and grades of lumber.",
    c.columns(
        c.text("kind", "What the row is: section, species or grade.", "section"),
        c.of(Section.name), c.of(Section.family, "How a section is sized."),
        c.of(Section.thickness, "The dressed thickness of a section."),
        c.of(Section.width, "The dressed width of a section."),
        c.of(Section.nominal_thickness, "The nominal thickness of a section that is named by one [in], as 5/4 or 2.",
             shown=False),
        c.of(Section.nominal_width, "The nominal width of a section that is named by one [in].", shown=False),
        c.of(Species.weight_kg_m3, "The weight of a species at 15 % moisture."),
        c.number("specific_gravity", "The specific gravity of a species in the NDS, where it has one.", 0.5,
                 "of water's"),
        c.of(Grade.rules, "The rules that a grade is one of."),
        c.of(Grade.rank, "The place of a grade under its rules; 1 is the best."), _SOURCE,
    ), _together("sections", "species", "grades"),
)  # fmt: skip
_MATTRESSES: Final = Table(
    "mattresses", "Mattresses", "Mattress sizes by market.",
    c.columns(
        c.of(Mattress.name), c.of(Mattress.title), c.of(Mattress.market), c.of(Mattress.width), c.of(Mattress.length),
        c.of(Mattress.tolerance), c.of(Mattress.least_mass_kg), c.of(Mattress.most_mass_kg),
        c.of(Mattress.mass_source, shown=False), _SOURCE,
    ), listed("mattresses"),
)  # fmt: skip
_FASTENERS: Final = Table(
    "fasteners", "Fasteners", "Bolts, screws and hangers, and what a price book may list as hardware.",
    c.columns(
        c.text("kind", "What the row is: bolt, screw, hanger or item (of a price book).", "bolt"),
        c.of(Bolt.name, "Its size, or the name of an item."), c.of(Bolt.system, shown=False), c.of(Bolt.diameter),
        c.of(Bolt.pitch, "From one thread of a bolt to the next."),
        c.of(Bolt.washer_thickness, "How thick a bolt's washer is."),
        c.of(Bolt.washer_diameter, "How wide a bolt's washer is."),
        c.of(Bolt.nut_height, "How high a bolt's nut is."),
        c.of(TeeNut.barrel_length, "How deep the barrel of a bolt's tee nut goes in.", name="tee_nut_barrel_length"),
        c.of(TeeNut.barrel_diameter, "The bore that the barrel takes.", name="tee_nut_barrel_diameter"),
        c.of(TeeNut.flange_diameter, "How wide the flange of the tee nut is.", name="tee_nut_flange_diameter"),
        c.of(Bolt.thread_rule, "How long the thread of a bolt is.", shown=False),
        c.of(Hanger.seat, "How thick a beam a hanger takes."), c.of(Hanger.least_height),
        c.of(Hanger.face_nails, "How many nails hold a hanger to what carries it."), c.of(Hanger.nail_length),
        _lengths("76.2 101.6 127", "3 in, 4 in, 5 in"),
        c.of(HardwareKind.has_size, "Whether an item is sold by size."),
        c.of(HardwareKind.has_length, "Whether an item is sold by length."), _SOURCE,
        c.of(Bolt.large_washer_thickness, "How thick a bolt's large washer is."),
        c.of(Bolt.large_washer_diameter, "How wide a bolt's large washer is."),
        c.of(Bolt.round_head_diameter, "How wide a bolt's head is where it is round."),
        c.of(Bolt.round_head_height, "How high a bolt's head is where it is round."),
    ), _fasteners,
)  # fmt: skip

CATALOGUES: Final[Mapping[str, Table]] = MappingProxyType({
    table.name: table for table in (_DESIGNS, _PRICE_BOOKS, _LUMBER, _MATTRESSES, _FASTENERS)
})  # fmt: skip
"""Every catalogue's table by name, which is the last step of its address."""
