"""From an order to its problems, in exact whole numbers.

With n pieces of length l in a board of usable length U and kerf k, they fit when

    sum l + (n - 1) k <= U    that is    sum (l + k) <= U + k,

so each piece is taken as l + k and each board as U + k, exactly. Every sum of pieces is a multiple of
unit = gcd(l + k), so boards are rounded down to it and nothing is lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import gcd

from sawbill.cutting.order import Order, SmallPart, Stock
from sawbill.cutting.problem import (
    Bin,
    Item,
    Problem,
    Row,
    blank_length,
    carried_lengths,
    least_blocks,
    most_blocks,
    worth,
)


def normalise(order: Order) -> list[Problem]:
    """The order's independent problems: materials that share no piece are planned apart."""
    usable = {stock.material for stock in order.stocks}
    rows = _rows(order, usable)
    problems = []
    for materials in _components(rows):
        own = [row for row in rows if not materials.isdisjoint(row.materials)]
        stocks = [stock for stock in order.stocks if stock.material in materials]
        problems.append(_problem(order, own, stocks, sorted(materials)))
    return problems


def _rows(order: Order, usable: set[str]) -> list[Row]:
    """Pieces of one length and the same materials are one row; small parts keep one each."""
    exact = order.keep is not None and order.credit > 0
    lots: dict[tuple[int, frozenset[str]], list[tuple[str, int]]] = {}
    for piece in order.pieces:
        if piece.count:
            lots.setdefault((piece.length, piece.materials & usable), []).append((piece.key, piece.count))
    rows = [
        Row(length, sum(n for _, n in own), tuple(sorted(own)), materials, exact)
        for (length, materials), own in sorted(lots.items(), key=lambda row: (-row[0][0], sorted(row[0][1])))
    ]
    for part in sorted(order.small_parts, key=lambda part: (-part.length, part.key)):
        if part.count:
            materials = frozenset(name for name, strips in part.strips.items() if strips > 0) & usable
            rows.append(Row(part.length, part.count, ((part.key, part.count),), materials, False, part))
    return rows


def _components(rows: Sequence[Row]) -> list[frozenset[str]]:
    """Sets of materials tied together by pieces that may come from several, in the order of their names."""
    found: list[set[str]] = []
    for row in rows:
        tied = [group for group in found if not group.isdisjoint(row.materials)]
        found = [group for group in found if group not in tied]
        found.append(set(row.materials).union(*tied))
    return sorted((frozenset(group) for group in found), key=sorted)


def _problem(order: Order, rows: list[Row], stocks: list[Stock], materials: list[str]) -> Problem:
    unit = _unit(order, rows)
    carries = {stock.material: _carry(stock) for stock in stocks}
    lent, borrowed = _lent(order, rows, carries)
    items = {name: tuple(_items(order, rows, name, carries.get(name), unit, lent)) for name in materials}
    groups = tuple(dict.fromkeys(items.values()))
    group_of = {material: groups.index(own) for material, own in items.items()}
    bins = _wanted(order, list(_bins(order, stocks, group_of, unit)))
    dearest = max((bin_.cost for bin_ in bins), default=0)
    credited = order.keep is not None and order.credit > 0
    step = 1 if credited else max(1, gcd(*(bin_.cost for bin_ in bins)))
    return Problem(
        rows=tuple(rows),
        groups=groups,
        bins=bins,
        kerf=order.kerf,
        unit=unit,
        no_slivers=order.no_slivers,
        keep=order.keep,
        credit=order.credit,
        penalty=(dearest * sum(row.demand for row in rows) // step + 1) * step,
        step=step,
        lent=lent,
        borrowed=borrowed,
    )


def _unit(order: Order, rows: list[Row]) -> int:
    """What every sum of items is a multiple of [nm]."""
    blanks = [row.part.least_blank for row in rows if row.part and least_blocks(row.part, order.kerf) > 1]
    return gcd(*(length + order.kerf for length in [*(row.length for row in rows), *blanks]))


def _lent(order: Order, rows: list[Row], carries: dict[str, int | None]) -> tuple[int, int]:
    """In what steps [nm] blanks may be longer where slivers are forbidden, and how many of them a board may need.

    One blank takes any sliver up, unless what can be carried lets it be only a little longer: then several may
    share it, of which no fewer would do, so that they lend less than twice a sliver.
    """
    lending = [
        _lends(order, row.part, blocks, carry)
        for row in rows
        if row.part is not None
        for material, carry in carries.items()
        if material in row.materials
        for blocks in _blank_sizes(order, row.part, carry)
    ]
    lent = gcd(*lending)
    if not lent:
        return 0, 0
    return lent, 1 if set(lending) <= {0, order.kerf - 1} else 2 * (order.kerf - 1) // lent


def _lends(order: Order, part: SmallPart, blocks: int, carry: int | None) -> int:
    """By how much a blank of so many blocks may be longer than it must, as far as that can matter [nm]."""
    if not order.no_slivers or order.kerf < 1:
        return 0
    spare = order.kerf if carry is None else carry - blank_length(part, blocks, order.kerf)
    return min(order.kerf - 1, spare)


def _items(
    order: Order, rows: list[Row], material: str, carry: int | None, unit: int, lent: int
) -> Iterable[Item]:  # fmt: skip
    """Pieces as they are; small parts as blanks of whole blocks, and each once more as one that lends of its length."""
    for index, row in enumerate(rows):
        if material not in row.materials:
            continue
        if row.part is None:
            yield Item(index, 1, (row.length + order.kerf) // unit)
            continue
        for blocks in _blank_sizes(order, row.part, carry):
            length = (blank_length(row.part, blocks, order.kerf) + order.kerf) // unit
            plain = Item(index, blocks * row.part.strips[material], length, blocks)
            yield plain
            if lends := _lends(order, row.part, blocks, carry):
                yield replace(plain, lends=lends // lent)


def _blank_sizes(order: Order, part: SmallPart, carry: int | None) -> range:
    """How many blocks the blanks have of which all others are made up: least .. 2 least - 1, and least - 1.

    Two blanks side by side are one longer blank, so the full sizes make up every blank of least blocks or more.
    One block fewer does not fill the shortest safe blank: it takes that length, some of it waste. What cannot be
    carried is left out.
    """
    least = least_blocks(part, order.kerf)
    most = 2 * least - 1 if carry is None else min(2 * least - 1, most_blocks(part, carry, order.kerf))
    return range(max(1, least - 1), most + 1)


def _bins(order: Order, stocks: list[Stock], group_of: dict[str, int], unit: int) -> Iterable[Bin]:
    """Stocks alike in material, usable length and price are one bin; by material, longest first.

    What a board is carried in is part of its material by now (see yard.py).
    """
    alike: dict[tuple[str, int, int, bool], list[Stock]] = {}
    for stock in stocks:
        usable = stock.length - stock.trim
        if usable > 0 and (stock.available is None or stock.available > 0):
            key = (stock.material, -usable, stock.price, stock.on_hand)
            alike.setdefault(key, []).append(stock)
    for (material, negative, price, on_hand), same in sorted(alike.items(), key=lambda entry: entry[0]):
        same.sort(key=lambda stock: (stock.available is None, stock.key))
        counts = [stock.available for stock in same if stock.available is not None]
        yield Bin(
            group=group_of[material],
            material=material,
            usable=-negative,
            room=(-negative + order.kerf) // unit,
            cost=price or sum(worth(n, order.keep, order.credit) for n in _carried(order, same[0])),
            price=price,
            on_hand=on_hand,
            available=sum(counts) if len(counts) == len(same) else None,
            lots=tuple((stock.key, stock.available) for stock in same),
            carry=_carry(same[0]),
        )


def _carry(stock: Stock) -> int | None:
    return None if stock.carry is None or stock.length <= stock.carry else stock.carry


def _carried(order: Order, stock: Stock) -> list[int]:
    """An uncut board as it is carried [nm]."""
    return carried_lengths(stock.length - stock.trim, _carry(stock), order.kerf)


def _wanted(order: Order, bins: list[Bin]) -> tuple[Bin, ...]:
    """The bins without those that a longer one, no dearer and without limit, makes needless.

    Where the length left over matters (credit, slivers) all are kept.
    """
    if order.credit or order.no_slivers:
        return tuple(bins)

    def needless(bin_: Bin) -> bool:
        return not bin_.on_hand and any(
            other.group == bin_.group
            and other.available is None
            and other.cost <= bin_.cost
            and (other.usable, -other.cost) > (bin_.usable, -bin_.cost)
            for other in bins
        )

    return tuple(bin_ for bin_ in bins if not needless(bin_))
