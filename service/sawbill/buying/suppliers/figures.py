"""A market in figures: what the compiled bounds and searches of levels.py and swaps.py reckon with.

Every want is a need of so many steps; every supplier of it a row; every pack of his so many steps for a price. Boards
are one step, which whoever sells them sells whole: those bought from several are charged to the one who would be
cheapest alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from sawbill.buying.suppliers import sold
from sawbill.buying.suppliers.levels import Floats, Ints, bound_of, raised, room_for
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.swaps import improved, swept, told_of
from sawbill.buying.suppliers.wants import PackWant, bits, members

WHOLE: Final = 1 << 16
"""What shares of prices are parts of."""


@dataclass(frozen=True, slots=True)
class Case:
    """A part of the search in figures: who is shut out, what visits and packs cost, the least of every want."""

    shut: Ints
    fees: Ints
    packs: Ints
    floors: Ints


class Figures:
    """The arrays of a market, and room to reckon in.

    most: how much of the prices of each may be taken off [of WHOLE]; lowered: how much is, at first.
    Where goods reach the minimum there is a delivery, and a trip where they do not: so for every share

        visit  >=  delivery + share (minimum - goods),     share <= (trip - delivery) / minimum,

    and prices may be lowered by the share for a higher fee; by any share up to the whole where a delivery is demanded.
    """

    def __init__(self, market: Market) -> None:
        self.market = market
        self._needs: list[tuple[int, int, int]] = []
        self._rows: list[tuple[int, int, int]] = []
        self._packs: list[tuple[int, int, int]] = []
        for board in market.boards:
            asked = board.asked()
            self._add(min(1, len(asked)), {who: [(1, cost * market.per_price, 1)] for who, cost in asked.items()})
        for want in market.packs:
            self._add(*_packed(want, market.per_price))
        self.needs, self.rows, self.packs = (
            np.array(each, np.int64).reshape(-1, 3) for each in (self._needs, self._rows, self._packs)
        )
        self._widths = self.rows[:, 2] - self.rows[:, 1]
        self._of = np.repeat(self.rows[:, 0], self._widths)
        width = int((self.needs[:, 2] - self.needs[:, 1]).max(initial=0)) + 2
        room = (width, int(self.needs[:, 0].max(initial=1)) + 1)
        self._tables, self._origins, self._rests, self._ends = (np.zeros(room, np.int64) for _ in range(4))
        ends = [0, *self.rows[:, 2].tolist()]
        self._boards = [(ends[first], ends[last]) for _, first, last in self._needs[: len(market.boards)]]
        self._room = room_for(self.rows, len(self.needs), len(market.sellers))
        self._lower()

    def _add(self, steps: int, packs: dict[int, list[tuple[int, int, int]]]) -> None:
        first = len(self._rows)
        for who, own in packs.items():
            self._rows.append((who, len(self._packs), len(self._packs) + len(own)))
            self._packs += own
        self._needs.append((steps, first, len(self._rows)))

    def _lower(self) -> None:
        """Find by how much prices may be lowered at most, and whose are at first: of who may sell just the minimum."""
        market, alone = self.market, np.zeros(len(self.market.sellers), np.int64)
        steps = np.repeat(np.repeat(self.needs[:, 0], self.needs[:, 2] - self.needs[:, 1]), self._widths)
        if len(self.rows):
            by_pack = -(-steps // self.packs[:, 0]) * self.packs[:, 1]
            np.add.at(alone, self.rows[:, 0], np.minimum.reduceat(by_pack, self.rows[:, 1]))
        credited = {who for board in market.boards if board.credited for who in board.of}
        self.most = np.zeros(len(market.sellers), np.int64)
        self.minimums = [seller.minimum * seller.weight * market.per_price for seller in market.sellers]
        self._visits = np.array([market.per_minor * seller.least for seller in market.sellers], np.int64)
        self.lowerable = [who not in credited and least > 0 for who, least in enumerate(self.minimums)]
        for who, seller in enumerate(market.sellers):
            if seller.delivery is not None and self.lowerable[who]:
                spared = (seller.trip - seller.delivery) * market.per_minor
                self.most[who] = min(WHOLE, spared * WHOLE // self.minimums[who])
        self.lowered = np.where(alone < 2 * np.array(self.minimums), self.most, 0)

    def case(self, may: int, visited: int, off: Ints, paid: Sequence[int]) -> Case:
        """The figures where only these sellers may be visited, and some are; boards cost no less than they do at least.

        off: how much the prices of each are lowered, of WHOLE; paid: at least for every want [price].
        """
        fees, packs, floors = self._visits.copy(), self.packs.copy(), np.array(paid, np.int64) * self.market.per_price
        shut = np.array([not may >> who & 1 for who in range(len(fees))], np.int64)
        if off.any():
            for who in np.flatnonzero(off).tolist():
                fees[who] = self.fee(who, off)
            packs[:, 1] = packs[:, 1] * (WHOLE - off[self._of]) // WHOLE
            for j in np.flatnonzero(floors).tolist():
                most = max((int(off[who]) for who in members(self.market.sold[j] & may)), default=0)
                floors[j] = int(floors[j]) * (WHOLE - most) // WHOLE
        fees[list(members(visited))] = 0
        for j, (first, last) in enumerate(self._boards):
            np.maximum(packs[first:last, 1], floors[j], out=packs[first:last, 1])
        return Case(shut, fees, packs, floors)

    def fee(self, who: int, off: Ints) -> int:
        """What a visit costs at least beside lowered prices: a delivery, and what its minimum is lowered by."""
        return int(self._visits[who]) + int(off[who]) * self.minimums[who] // WHOLE

    def raised(self, case: Case, begun: Floats, goal: int, rounds: int) -> tuple[int, Floats]:
        """The best bound met, and its shares (see levels.py)."""
        whose = self.rows[:, 0]
        shared = np.bincount(whose, begun, minlength=len(case.fees))
        shares = begun * np.minimum(1.0, case.fees / np.maximum(shared, 1.0))[whose]  # fees may be less than they were
        bound = raised(
            self.needs, self.rows, case.packs, case.shut, case.fees, case.floors, shares, goal, rounds,
            self._tables, self._origins, self._room,
        )  # fmt: skip
        return bound, shares

    def swept(self, case: Case, shares: Floats) -> tuple[int, Ints, Ints]:
        """A bound; by how much it rises without each seller; by how much at least if he is visited."""
        whole, without = shares.astype(np.int64), np.zeros(len(case.fees), np.int64)
        bound = swept(
            self.needs, self.rows, case.packs, case.shut, case.floors, whole, self._tables, self._origins,
            self._rests, self._ends, without, np.zeros(len(self.rows), np.int64),
        )  # fmt: skip
        left = case.fees.copy()
        np.subtract.at(left, self.rows[:, 0], whole)
        return bound, without, left

    def used(self, case: Case, shares: Floats) -> tuple[int, Ints]:
        """Whom the ways found to meet the needs use, and the levels of the wants."""
        used, levels = np.zeros(len(self.rows), np.int64), np.zeros(len(self.needs), np.int64)
        bound_of(
            self.needs, self.rows, case.packs, case.shut, shares.astype(np.int64), case.floors, self._tables,
            self._origins, used, levels,
        )  # fmt: skip
        return bits(set(self.rows[used > 0, 0].tolist())), levels

    def improved(self, case: Case, sellers: int, fixed: int, moves: int, *, swaps: bool) -> tuple[int, int]:
        """A set that costs no more, as far as figures tell, and what that is (see swaps.py)."""
        mine = np.array([sellers >> who & 1 for who in range(len(case.fees))], np.int64)
        shut = np.where(case.shut > 0, 2, 1 - mine)
        kept = np.array([fixed >> who & 1 for who in range(len(case.fees))], np.int64)
        cost = improved(
            self.needs, self.rows, case.packs, case.fees, case.floors, shut, kept, self._tables, self._origins,
            self._rests, self._ends, told_of(len(shut), len(self.needs), len(self.rows)), moves, swaps,
        )  # fmt: skip
        return bits(np.flatnonzero(shut == 0).tolist()), cost


def _packed(want: PackWant, per_price: int) -> tuple[int, dict[int, list[tuple[int, int, int]]]]:
    """A need of packs in steps, and what each supplier sells of it: free packs and lots of those that are not."""
    own, need = want.by_seller(), want.need.short
    if need <= 0:
        return 0, {}
    unit, steps = sold.steps_of(need, [pack.size for packs in own.values() for pack in packs])
    return steps, {
        who: [(size, price * per_price, free) for size, price, free in sold.of(packs, need, unit, steps)]
        for who, packs in sorted(own.items())
    }


@cache
def make_ready() -> None:
    """Compile the loops, or load them, with one supplier of one thing."""
    ones, room = np.ones((1, 3), np.int64), np.zeros((4, 2), np.int64)
    needs, rows = np.array([[1, 0, 1]], np.int64), np.array([[0, 0, 1]], np.int64)
    fees, none = np.ones(1, np.int64), np.zeros(1, np.int64)
    raised(needs, rows, ones, none, fees, none, np.zeros(1), 2, 1, room, room.copy(), room_for(rows, 1, 1))
    bound_of(needs, rows, ones, none, none, none, room, room.copy(), fees.copy(), fees.copy())
    swept(needs, rows, ones, none, none, none, room, room.copy(), room.copy(), room.copy(), fees.copy(), fees.copy())
    rest = (room, room.copy(), room.copy(), room.copy(), told_of(1, 1, 1))
    improved(needs, rows, ones, fees, none, none.copy(), none, *rest, 1, True)
