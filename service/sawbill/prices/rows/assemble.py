"""A price book from its settings and its tables, once all of them are read and fit each other."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Final, TypeVar

from sawbill.prices.money import currency_decimals
from sawbill.prices.offers import OwnSection
from sawbill.prices.pricebook import HardwareOffer, LumberOffer, PriceBook, Supplier, SupplyOffer
from sawbill.prices.rows.boards import read_lumber
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import Fault, Faults
from sawbill.prices.rows.reading import Terms
from sawbill.prices.rows.record import Record
from sawbill.prices.rows.rows import read_hardware, read_section, read_supplier, read_supply
from sawbill.prices.rows.settings import Settings
from sawbill.trade.lumber import section as find_section
from sawbill.trade.tables import simplified

MAX_SUPPLIERS: Final = 100
MAX_SECTIONS: Final = 500
_MOST_DECIMALS: Final = 3
"""Of any currency: what prices are read with where the book's own is at fault."""

Offer = TypeVar("Offer", LumberOffer, HardwareOffer, SupplyOffer)


def assemble(name: str, settings: Settings, tables: Mapping[str, Sequence[Record]], faults: Faults) -> PriceBook:
    """Make a price book; offers are sorted, so the order of the rows changes nothing.

    tables: the records of each table that could be read.
    Raises BookFaultsError: with every fault of settings and tables.
    """
    terms = _terms(settings, tables)
    sections = _read_sections(tables.get("sections", ()), terms, faults)
    terms = replace(terms, sections=tuple(each.section for each in sections))
    suppliers = _read_suppliers(tables.get("suppliers"), terms, faults)
    lumber = _read_offers(tables.get("lumber", ()), read_lumber, terms, _board)
    hardware = _read_offers(tables.get("hardware", ()), read_hardware, terms, _pack)
    supplies = _read_offers(tables.get("supplies", ()), read_supply, terms, _container)
    usual = _usual_sections(settings, terms, faults)
    if "lumber" in tables:
        _check_usual_sections(usual, settings, tables["lumber"], terms, faults)
    faults.raise_if_any()
    assert settings.shop is not None, "settings without a fault say how the shop cuts"
    return PriceBook(
        **settings.about,
        name=name,
        decimals=currency_decimals(settings.about["currency"]),
        usual_sections=MappingProxyType(dict(sorted(usual.items()))),
        shop=settings.shop,
        suppliers=tuple(suppliers),
        lumber=tuple(lumber),
        hardware=tuple(hardware),
        supplies=tuple(supplies),
        sections=tuple(sections),
    )


def _terms(settings: Settings, tables: Mapping[str, Sequence[Record]]) -> Terms:
    names = frozenset(row.text("name") for row in tables.get("suppliers", ()))
    currency = settings.about.get("currency")
    decimals = _MOST_DECIMALS if currency is None else currency_decimals(currency)
    known = None if "" in names or not names else names
    return Terms(settings.about.get("units") or "metric", currency, decimals, known)


def _read_sections(rows: Sequence[Record], terms: Terms, faults: Faults) -> list[OwnSection]:
    if len(rows) > MAX_SECTIONS:
        faults.add(Fault("sections", "too-many-rows", f"give at most {MAX_SECTIONS} sections"))
        return []
    found: dict[str, tuple[Record, OwnSection]] = {}
    for row in rows:
        section = read_section(row, terms)
        if section is None:
            continue
        first, _ = found.setdefault(simplified(section.name), (row, section))
        if first is not row:
            row.fault("name", "duplicate", f"{first.place} already has this name; delete one of the two rows")
    return sorted((section for _, section in found.values()), key=lambda section: section.name)


def _read_suppliers(rows: Sequence[Record] | None, terms: Terms, faults: Faults) -> list[Supplier]:
    if rows is None:
        return []
    if not 0 < len(rows) <= MAX_SUPPLIERS:
        code = "too-many-rows" if rows else "no-rows"
        faults.add(Fault("suppliers", code, f"give 1 to {MAX_SUPPLIERS} suppliers"))
        return []
    suppliers: dict[str, tuple[Record, Supplier]] = {}
    for row in rows:
        supplier = read_supplier(row, terms)
        if supplier is None:
            continue
        first, _ = suppliers.setdefault(supplier.name, (row, supplier))
        if first is not row:
            row.fault("name", "duplicate", f"{first.place} already has this name; delete one of the two rows")
    return sorted((supplier for _, supplier in suppliers.values()), key=lambda supplier: supplier.name)


def _read_offers(
    rows: Sequence[Record],
    read: Callable[[Record, Terms], Offer | None],
    terms: Terms,
    identity: Callable[[Offer], object],
) -> list[Offer]:
    """Read a table's rows; those of one supplier's item code are one item at several least quantities."""
    pairs = [(row, offer) for row in rows if (offer := read(row, terms)) is not None]
    firsts: dict[tuple[str, str], tuple[Record, Offer]] = {}
    taken: dict[tuple[str, str, int], Record] = {}
    for row, offer in pairs:
        first_row, first = firsts.setdefault((offer.supplier, offer.item_code), (row, offer))
        twin = taken.setdefault(_order(offer), row)
        if identity(offer) != identity(first):
            remedy = f"{first_row.place} has this item code for another item; give each item of a supplier its own"
            row.fault("item_code", "item-code-reused", remedy)
        elif twin is not row:
            remedy = f"{twin.place} has the same item and least quantity; delete one of the two rows"
            row.fault("item_code", "duplicate", remedy)
        elif offer.in_stock != first.in_stock:
            remedy = f"{first_row.place} has a different number for this item; write the same one in each of its rows"
            row.fault("in_stock", "stock-disagrees", remedy)
    return sorted((offer for _, offer in pairs), key=_order)


def _order(offer: LumberOffer | HardwareOffer | SupplyOffer) -> tuple[str, str, int]:
    return offer.supplier, offer.item_code, offer.least_quantity


def _board(offer: LumberOffer) -> object:
    return offer.section, offer.species, offer.grade, offer.length, offer.measured_length


def _pack(offer: HardwareOffer) -> object:
    return offer.item, offer.size, offer.length, offer.pack


def _container(offer: SupplyOffer) -> object:
    return offer.item, offer.amount


def _usual_sections(settings: Settings, terms: Terms, faults: Faults) -> dict[str, str]:
    """Find the section of each role, among those that are listed and the book's own."""
    found = {}
    for role, text in settings.usual_sections.items():
        try:
            found[role] = find_section(text, terms.sections).name
        except ValueError as error:
            key = f"usual_sections.{role}"
            faults.add(Fault("book", "unknown-section", str(error), key, text, settings.lines.get(key)))
    return found


def _check_usual_sections(
    usual: Mapping[str, str], settings: Settings, lumber: Sequence[Record], terms: Terms, faults: Faults
) -> None:
    names = {_section_name(text, terms) for text in {row.text("section") for row in lumber}}
    sold = {name for name in names if name is not None}
    if sold != names:
        return  # one of the sections is at fault itself: what the book sells is not known
    for role, name in usual.items():
        if name not in sold:
            key = f"usual_sections.{role}"
            remedy = f"name a section that the lumber table sells; {nearest(name, sold)}"
            faults.add(Fault("book", "not-sold", remedy, key, name, settings.lines.get(key)))


def _section_name(text: str, terms: Terms) -> str | None:
    try:
        return find_section(text, terms.sections).name
    except ValueError:
        return None
