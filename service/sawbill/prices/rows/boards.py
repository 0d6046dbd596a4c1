"""The rows of the lumber: priced by the stated size and length, and cut by the measured ones."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import Final

from sawbill.prices.money import minor_units
from sawbill.prices.offers import LONGEST_BOARD, LumberOffer
from sawbill.prices.rows import cells, reading
from sawbill.prices.rows.reading import Terms
from sawbill.prices.rows.record import Record
from sawbill.trade import lumber
from sawbill.trade.lengths import MM
from sawbill.trade.quantities import PriceUnit, price_unit, price_units_in

# How far a measured size may be from the stated one: more than any wood shrinks or any yard cuts over, less
# than most slips of the pen. Our own limits, no source.
_SIZE_SLACK: Final = Fraction(1, 5)
_LENGTH_SLACK: Final = Fraction(1, 10)

_SHORTEST_BOARD: Final = 100 * MM


def read_lumber(record: Record, terms: Terms) -> LumberOffer | None:
    """Read a row of the lumber; it is priced by the stated size and length, and cut by the measured ones."""
    stated = reading.find(record, "section", partial(lumber.section, own=terms.sections))
    plain = reading.plain(record, "lumber", terms)
    length = plain["length"]
    per = reading.find(record, "per", price_unit)
    price = record.read("price", reading.price(terms, None if per is PriceUnit.EACH else cells.UNIT_PRICE_DECIMALS))
    measured_length = _measured(record, "measured_length", length, _LENGTH_SLACK, terms)
    return record.build(
        LumberOffer,
        **plain,
        supplier=reading.supplier_of(record, terms),
        section=_measured_section(record, stated, terms),
        measured_length=None if measured_length == length else measured_length,
        price=price,
        per=per,
        each=_board_price(record, price, per, stated, length, terms),
    )


def _measured(record: Record, column: str, stated: int | None, slack: Fraction, terms: Terms) -> int | None:
    if stated is None:
        return record.read_if_any(column, reading.length(0, LONGEST_BOARD, terms))
    most_off = int(stated * slack)
    return record.read_if_any(column, reading.length(stated - most_off, stated + most_off, terms))


def _measured_section(record: Record, stated: lumber.Section | None, terms: Terms) -> lumber.Section | None:
    thickness = _measured(record, "measured_thickness", stated.thickness if stated else None, _SIZE_SLACK, terms)
    width = _measured(record, "measured_width", stated.width if stated else None, _SIZE_SLACK, terms)
    if stated is None:
        return None
    return replace(stated, thickness=thickness or stated.thickness, width=width or stated.width)


def _board_price(
    record: Record,
    price: Decimal | None,
    per: PriceUnit | None,
    stated: lumber.Section | None,
    length: int | None,
    terms: Terms,
) -> int | None:
    """Work out the price of one board [minor units], rounded half up."""
    if per is None or stated is None:
        return None
    try:
        units = price_units_in(per, stated, _SHORTEST_BOARD if length is None else length)
    except lumber.NoNominalSizeError as error:
        record.fault("per", "wrong-unit", str(error))
        return None
    if price is None or length is None:
        return None
    each = minor_units(Fraction(price) * units, terms.decimals)
    if each == 0:
        record.fault("price", "rounds-to-nothing", "write a price that is at least one minor unit a board")
    return each
