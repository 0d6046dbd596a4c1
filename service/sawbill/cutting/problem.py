"""An order as small whole numbers: rows to be covered, items that cover them, bins that hold the items."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from sawbill.cutting.order import SmallPart

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

    blocks: how many lengths of a small part lie in a row in the blank, 0 for a piece; lends: how much longer it is
    let be, so that a board's last cut leaves no sliver [steps of the problem's `lent`].
    """

    row: int
    gives: int
    length: int
    blocks: int = 0
    lends: int = 0


@dataclass(frozen=True, slots=True)
class Bin:
    """Boards alike: same material, usable length [nm], price [minor units]; group: of the items they may hold.

    room: units, kerf included; cost: the price, or for a board on hand the worth it has uncut;
    available: None for no limit; lots: the stock keys and how many there are of each;
    carry: the longest that may be carried of a board that the yard cuts, None of one that is carried whole [nm].
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
    carry: int | None = None


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to cut one board: items as (index in the bin's group, count); rows as (row, amount).

    used: the length they take up, in units, kerfs included; lends: how much longer they are let be in all.
    """

    bin: int
    items: tuple[tuple[int, int], ...]
    rows: tuple[tuple[int, int], ...]
    used: int
    cost: int
    lends: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """Rows and bins that belong together.

    groups: the items of each material, or of several that the same may come from.

    unit [nm]; rounded: lengths were rounded to the unit, the exact sums being too many (see fine.py);
    penalty: the cost of one missing piece, above that of any plan; step: every plan's cost is a multiple of it;
    lent: what blanks lend is counted in steps of this [nm], and no board needs more of them than `borrowed`.

    Where slivers are forbidden, where a board may end depends on what its blanks lend as well as on what is used up.
    Both are one number, its place: used + lends * storey, a storey being twice as long as every board.
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
    lent: int = 0
    borrowed: int = 0

    @property
    def storey(self) -> int:
        """What one more step lent adds to a place [units]."""
        return 2 * max((bin_.room for bin_ in self.bins), default=0) + 1 if self.borrowed else 0

    def stride(self, item: Item) -> int:
        """By how much an item moves the place in a board [units]."""
        return item.length + item.lends * self.storey

    def at(self, place: int) -> tuple[int, int]:
        """What is used up at a place [units], and what is lent there [steps]."""
        lends, used = divmod(place, self.storey) if self.borrowed else (0, place)
        return used, lends

    @property
    def credited(self) -> bool:
        """Whether leftovers are worth something."""
        return self.keep is not None and self.credit > 0

    @property
    def demand(self) -> tuple[int, ...]:
        """How many of each row."""
        return tuple(row.demand for row in self.rows)

    def most(self, bin_index: int, item: Item) -> int:
        """How many of an item are worth laying in one board."""
        most = min(-(-self.rows[item.row].demand // item.gives), self.bins[bin_index].room // item.length)
        return min(most, -(-self.borrowed // item.lends)) if item.lends else most

    def admits(self, bin_index: int, used: int, lends: int = 0) -> bool:
        """Whether a board may be cut up to that point: it holds the pieces and leaves no forbidden sliver.

        A blank takes a sliver up, as waste, where it may be so much longer.
        """
        if not self.no_slivers:
            return used <= self.bins[bin_index].room
        spare = self.bins[bin_index].usable + self.kerf - used * self.unit
        if self.rounded:  # by some of which nobody knows how much is spare
            return spare >= self.kerf or (spare >= 0 and lends * self.lent >= self.kerf - 1)
        return spare >= self.kerf or 0 <= spare <= lends * self.lent

    def leftover(self, bin_index: int, used: int) -> int:
        """What remains of a board after the last cut's kerf [nm]."""
        return max(0, self.bins[bin_index].usable - used * self.unit)

    def worth(self, bin_index: int, length: int) -> int:
        """What a leftover of that length [nm] is credited with [minor units], each part carried rounded down."""
        parts = carried_lengths(length, self.bins[bin_index].carry, self.kerf)
        return sum(worth(part, self.keep, self.credit) for part in parts)

    def pattern(self, bin_index: int, items: Iterable[tuple[int, int]]) -> Pattern:
        """The pattern with these items (index, count), its totals worked out."""
        bin_ = self.bins[bin_index]
        group, kept = self.groups[bin_.group], tuple(sorted((i, n) for i, n in items if n))
        rows: dict[int, int] = {}
        used, lends, cost = 0, 0, bin_.cost
        for i, n in kept:
            item = group[i]
            rows[item.row] = rows.get(item.row, 0) + n * item.gives
            used += n * item.length
            lends += n * item.lends
        if self.credit:
            cost -= self.worth(bin_index, self.leftover(bin_index, used))
        return Pattern(bin_index, kept, tuple(sorted(rows.items())), used, cost, lends)

    def missing(self, row: int) -> Pattern:
        """The pattern that stands for one piece that cannot be had."""
        return Pattern(MISSING, (), ((row, 1),), 0, self.penalty)


def worth(length: int, keep: int | None, credit: Fraction) -> int:
    """What a leftover [nm] is credited with [minor units]: nothing below the least length worth keeping."""
    if keep is None or length < keep:
        return 0
    return length * credit.numerator // credit.denominator


def carried_lengths(length: int, carry: int | None, kerf: int) -> list[int]:
    """A length as it is carried: whole, or cut into the longest that may be and the rest, a kerf lost each [nm]."""
    parts = []
    while carry is not None and length > carry:
        parts.append(carry)
        length -= carry + kerf
    return [*parts, length] if length > 0 else parts


def least_blocks(part: SmallPart, kerf: int) -> int:
    """How many lengths of a small part, with the cuts between, fill a blank that is safe to rip."""
    return max(1, -(-(part.least_blank + kerf) // (part.length + kerf)))


def most_blocks(part: SmallPart, carry: int, kerf: int) -> int:
    """How many lengths of a small part, with the cuts between, can be carried in one."""
    return (carry + kerf) // (part.length + kerf)


def blank_length(part: SmallPart, blocks: int, kerf: int) -> int:
    """The blank for so many lengths in a row [nm]: what they take, or the least that is safe, the rest waste."""
    return max(part.least_blank, blocks * (part.length + kerf) - kerf)
