"""An order as small whole numbers: rows to be covered, items that cover them, bins that hold the items.

With n pieces of length l in a board of usable length U and kerf k, they fit when

    sum l + (n - 1) k <= U    that is    sum (l + k) <= U + k,

so each piece is taken as l + k and each board as U + k, exactly. Every sum of pieces is a multiple of
unit = gcd(l + k), so boards are rounded down to it and nothing is lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from sawbill.estimating.cutting.order import Order, SmallPart, Stock

MISSING = -1  # the bin of a pattern that stands for one piece nobody can cut


@dataclass(frozen=True, slots=True)
class Row:
    """What must be had: so many of one length [nm] from the same materials; lots: whose they are.

    exact: no more may be cut than is asked (when leftovers are worth something, surplus must not hide them).
    """

    length: int
    demand: int
    lots: tuple[tuple[str, int], ...]
    materials: frozenset[str]
    exact: bool
    part: SmallPart | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """What may be laid in a board: length in units, kerf included; it gives so many of a row.

    blocks: how many lengths of a small part lie in a row in the blank; 0 for a piece.
    """

    row: int
    gives: int
    length: int
    blocks: int = 0


@dataclass(frozen=True, slots=True)
class Bin:
    """Boards alike: same material, usable length [nm], price [minor units].

    room: units, kerf included; cost: the price, or for a board on hand the worth it has uncut;
    available: None for no limit; lots: the stock keys and how many there are of each.
    """

    group: int
    material: str
    usable: int
    room: int
    cost: int
    price: int
    on_hand: bool
    available: int | None
    lots: tuple[tuple[str, int | None], ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to cut one board: items as (index in the bin's group, count); rows as (row, amount)."""

    bin: int
    items: tuple[tuple[int, int], ...]
    rows: tuple[tuple[int, int], ...]
    used: int
    cost: int


@dataclass(frozen=True, slots=True)
class Problem:
    """Rows and bins that belong together; groups: the items of each material.

    unit [nm]; rounded: lengths were rounded up to the unit (only when the exact grid is too fine);
    penalty: the cost of one missing piece, above that of any plan; step: every plan's cost is a multiple of it.
    """

    rows: tuple[Row, ...]
    groups: tuple[tuple[Item, ...], ...]
    bins: tuple[Bin, ...]
    kerf: int
    unit: int
    no_slivers: bool
    keep: int | None
    credit: Fraction
    penalty: int
    step: int
    rounded: bool = False

    @property
    def demand(self) -> tuple[int, ...]:
        """How many of each row."""
        return tuple(row.demand for row in self.rows)

    def most(self, bin_index: int, item: Item) -> int:
        """How many of an item are worth laying in one board."""
        return min(-(-self.rows[item.row].demand // item.gives), self.bins[bin_index].room // item.length)

    def admits(self, bin_index: int, used: int) -> bool:
        """Whether a board may be cut up to that point: it holds the pieces and leaves no forbidden sliver."""
        spare = self.bins[bin_index].usable + self.kerf - used * self.unit
        if not self.no_slivers:
            return spare >= 0
        return spare >= self.kerf or (spare == 0 and not self.rounded)

    def leftover(self, bin_index: int, used: int) -> int:
        """What remains of a board after the last cut's kerf [nm]."""
        return max(0, self.bins[bin_index].usable - used * self.unit)

    def worth(self, length: int) -> int:
        """What a leftover of that length [nm] is credited with [minor units], rounded down."""
        return worth(length, self.keep, self.credit)

    def pattern(self, bin_index: int, items: Iterable[tuple[int, int]]) -> Pattern:
        """The pattern with these items (index, count), its totals worked out."""
        group = self.groups[self.bins[bin_index].group]
        kept = tuple(sorted((i, n) for i, n in items if n))
        rows: dict[int, int] = {}
        for i, n in kept:
            rows[group[i].row] = rows.get(group[i].row, 0) + n * group[i].gives
        used = sum(group[i].length * n for i, n in kept)
        cost = self.bins[bin_index].cost - self.worth(self.leftover(bin_index, used))
        return Pattern(bin_index, kept, tuple(sorted(rows.items())), used, cost)

    def missing(self, row: int) -> Pattern:
        """The pattern that stands for one piece that cannot be had."""
        return Pattern(MISSING, (), ((row, 1),), 0, self.penalty)


def worth(length: int, keep: int | None, credit: Fraction) -> int:
    """What a leftover [nm] is credited with [minor units]: nothing below the least length worth keeping."""
    if keep is None or length < keep:
        return 0
    return length * credit.numerator // credit.denominator


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
    lengths = [row.length + order.kerf for row in rows]
    unit = gcd(*lengths)
    return _assemble(order, rows, stocks, materials, unit, rounded=False)


def _assemble(
    order: Order, rows: list[Row], stocks: list[Stock], materials: list[str], unit: int, rounded: bool
) -> Problem:
    groups = tuple(tuple(_items(order, rows, material, unit)) for material in materials)
    bins = tuple(_bins(order, stocks, materials, unit))
    dearest = max((b.cost for b in bins), default=0)
    step = gcd(*(b.cost for b in bins)) if order.keep is None or not order.credit else 1
    penalty = (dearest * sum(row.demand for row in rows) // max(step, 1) + 1) * max(step, 1)
    return Problem(
        rows=tuple(rows),
        groups=groups,
        bins=bins,
        kerf=order.kerf,
        unit=unit,
        no_slivers=order.no_slivers,
        keep=order.keep,
        credit=order.credit,
        penalty=penalty,
        step=max(step, 1),
        rounded=rounded,
    )


def _items(order: Order, rows: list[Row], material: str, unit: int) -> Iterable[Item]:
    """Pieces as they are; small parts as blanks of m = least .. 2 least - 1 blocks.

    Two blanks side by side are one longer blank, so these sizes make up every blank of least blocks or more.
    """
    for index, row in enumerate(rows):
        if material not in row.materials:
            continue
        length = -(-(row.length + order.kerf) // unit)
        if row.part is None:
            yield Item(index, 1, length)
            continue
        least = least_blocks(row.part, order.kerf)
        for blocks in range(least, 2 * least):
            yield Item(index, blocks * row.part.strips[material], blocks * length, blocks)


def least_blocks(part: SmallPart, kerf: int) -> int:
    """How many lengths of a small part, with the cuts between, make a blank that is safe to rip."""
    return max(1, -(-(part.least_blank + kerf) // (part.length + kerf)))


def _bins(order: Order, stocks: list[Stock], materials: list[str], unit: int) -> Iterable[Bin]:
    """Stocks alike in material, usable length and price are one bin; longest first."""
    alike: dict[tuple[int, int, int, bool], list[Stock]] = {}
    for stock in stocks:
        usable = stock.length - stock.trim
        if usable > 0 and (stock.available is None or stock.available > 0):
            key = (materials.index(stock.material), -usable, stock.price, stock.on_hand)
            alike.setdefault(key, []).append(stock)
    for (group, negative, price, on_hand), same in sorted(alike.items(), key=lambda entry: entry[0]):
        same.sort(key=lambda stock: (stock.available is None, stock.key))
        counts = [stock.available for stock in same if stock.available is not None]
        yield Bin(
            group=group,
            material=materials[group],
            usable=-negative,
            room=(-negative + order.kerf) // unit,
            cost=price or worth(-negative, order.keep, order.credit),
            price=price,
            on_hand=on_hand,
            available=sum(counts) if len(counts) == len(same) else None,
            lots=tuple((stock.key, stock.available) for stock in same),
        )
