"""Before any search: does the order make sense, and is there a board long enough for every piece?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from sawbill.cutting.order import Order, Piece, Shortfall, SmallPart
from sawbill.cutting.problem import blank_length
from sawbill.cutting.yard import apart, reach


def check(order: Order) -> None:
    """Raise ValueError naming every fault of an order that makes no sense."""
    faults = [*_key_faults(order), *_number_faults(order), *_credit_faults(order)]
    if faults:
        raise ValueError("; ".join(faults))


def _key_faults(order: Order) -> Iterator[str]:
    for field, keys in (
        ("stocks", [stock.key for stock in order.stocks]),
        ("pieces and small_parts", [part.key for part in _wanted(order)]),
    ):
        for key, count in Counter(keys).items():
            if count > 1:
                yield f"{field}: key {key!r} is used {count} times; every key must be its own"


def _number_faults(order: Order) -> Iterator[str]:
    numbers = [("kerf", order.kerf, 0), ("keep", order.keep or 0, 0)]
    for stock in order.stocks:
        name = f"stock {stock.key!r}: "
        numbers += [
            (f"{name}length", stock.length, 1),
            (f"{name}price", stock.price, 0),
            (f"{name}trim", stock.trim, 0),
        ]
        numbers.append((f"{name}available", 0 if stock.available is None else stock.available, 0))
        numbers.append((f"{name}carry", 1 if stock.carry is None else stock.carry, 1))
    for piece in _wanted(order):
        numbers += [(f"{piece.key!r}: length", piece.length, 1), (f"{piece.key!r}: count", piece.count, 0)]
    for name, value, least in numbers:
        if value < least:
            yield f"{name} is {value}; it must be at least {least}"
    if order.credit < 0 or order.extra_cost < 0:
        yield f"credit and extra_cost are {order.credit} and {order.extra_cost}; neither may be negative"


def _credit_faults(order: Order) -> Iterator[str]:
    """A leftover worth more than half of what a board costs would make it pay to buy boards for leftovers."""
    for stock in order.stocks:
        if order.keep is not None and stock.price and 2 * order.credit * stock.length > stock.price:
            most = Fraction(stock.price, 2 * stock.length)
            yield f"credit is {order.credit} per nm; stock {stock.key!r} allows at most {most}"


def too_long(order: Order) -> list[Shortfall]:
    """Pieces, and least blanks of small parts, that are longer than every board of their materials."""
    shortfalls, parted = [], apart(order)
    for asked, piece in zip(_wanted(order), _wanted(parted), strict=True):
        there = [stock for stock in parted.stocks if _may_use(piece, stock.material) and stock.available != 0]
        need = _needs(piece, order.kerf)
        if piece.count and not any(stock.length - stock.trim >= need for stock in there):
            named = (reach(stock) for stock in order.stocks if _may_use(asked, stock.material) and stock.available != 0)
            shortfalls.append(Shortfall(piece.key, piece.count, max(0, *named, 0)))
    return shortfalls


def _wanted(order: Order) -> list[Piece | SmallPart]:
    return [*order.pieces, *order.small_parts]


def _may_use(piece: Piece | SmallPart, material: str) -> bool:
    if isinstance(piece, Piece):
        return material in piece.materials
    return piece.strips.get(material, 0) > 0


def _needs(piece: Piece | SmallPart, kerf: int) -> int:
    """The shortest board that gives the piece, or one safe blank [nm]."""
    if isinstance(piece, Piece):
        return piece.length
    return blank_length(piece, 1, kerf)
