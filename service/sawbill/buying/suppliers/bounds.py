"""What a node of the search for suppliers costs at least, by the bound of levels.py (see search.py)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from sawbill.buying.suppliers.figures import WHOLE, Case, Figures
from sawbill.buying.suppliers.levels import Floats, Ints
from sawbill.buying.suppliers.market import Market
from sawbill.buying.suppliers.minimums import Bought
from sawbill.buying.suppliers.wants import Must, members

FIRST_ROUNDS: Final = 150
"""In how many steps at most the fees are shared out at first."""
ROUNDS: Final = 4
"""In how many at most at a later node, from the shares found before."""
PARTS: Final = 16
"""By how many shares prices are lowered in trial, where goods must reach a minimum."""
FEW: Final = 4
"""By how many where they may reach it."""
TUNINGS: Final = 2
"""How often all such shares are chosen anew, once fees are shared out by them."""


@dataclass(frozen=True, slots=True, order=True)
class Node:
    """A part of the search, sets as bits; bound: nothing in it costs less; number: in the order they were made.

    hoped: visited, by a delivery if there is one; fetched: by a trip; delivered: the goods must reach the minimum;
    closed: not visited; must: what is bought at least; shares: of fees, to go on from;
    off: how much prices are lowered [of WHOLE], as they are at first if None.
    """

    bound: int
    number: int
    hoped: int = 0
    fetched: int = 0
    delivered: int = 0
    closed: int = 0
    must: Bought = ()
    shares: Floats | None = field(default=None, compare=False)
    off: Ints | None = field(default=None, compare=False)

    @property
    def visited(self) -> int:
        """Those whose visit is paid for."""
        return self.hoped | self.fetched | self.delivered


class Bounds:
    """Bounds of nodes, in the figures of a market."""

    def __init__(self, market: Market, figures: Figures) -> None:
        self.market, self.figures = market, figures

    def case(self, node: Node, may: int, musts: Sequence[Must], off: Ints) -> Case:
        """The node in figures; packs of which none must be bought are not reckoned twice."""
        paid = [
            want.least(may, must) if must or j < len(self.market.boards) else 0
            for j, (want, must) in enumerate(zip(self.market.wants, musts, strict=True))
        ]
        return self.figures.case(may, node.visited, off, paid)

    def off(self, node: Node) -> Ints:
        """How much prices are lowered in a node: not where it is settled how the goods come home."""
        off = (self.figures.lowered if node.off is None else node.off).copy()
        off[list(members(node.fetched | node.delivered))] = 0
        return off

    def paid(self, node: Node, off: Ints) -> int:
        """What the visits of a node cost at least."""
        hoped = sum(self.figures.fee(who, off) for who in members(node.hoped | node.delivered))
        return hoped + self.market.trips(node.fetched)

    def bounded(self, node: Node, musts: Sequence[Must], best: int) -> tuple[Node, Case]:
        """The node with a bound and the shares that give it."""
        off = self.off(node)
        case, paid = self.case(node, self.market.all & ~node.closed, musts, off), self.paid(node, off)
        begun = np.zeros(len(self.figures.rows)) if node.shares is None else node.shares
        rounds = FIRST_ROUNDS if node.shares is None else ROUNDS
        bound, shares = self.figures.raised(case, begun, best - paid, rounds)
        return replace(node, bound=max(node.bound, bound + paid), shares=shares), case

    def tuned(self, node: Node, musts: Sequence[Must], best: int) -> Node:
        """The node with a bound by shares of prices that suit it: where much is bought, the whole share takes too much.

        Lowered by the share, prices tell of a delivery whose goods just reach its minimum; lowered by less, of more.
        """
        node, case = self.bounded(node, musts, best)
        for _ in range(TUNINGS):
            assert node.shares is not None
            off = self._suited(node, musts, self.figures.used(case, node.shares)[0])
            better, case = self.bounded(replace(node, off=off), musts, best)
            if better.bound == node.bound:
                break
            node = better
        return node

    def _suited(self, node: Node, musts: Sequence[Must], sellers: int) -> Ints:
        """How much to lower the prices of these, chosen one after the other, the shares of fees as they are."""
        off, most = self.off(node), self.figures.most

        def told(share: int) -> int:
            off[who] = share
            assert node.shares is not None
            levels = self.figures.used(self.case(node, self.market.all & ~node.closed, musts, off), node.shares)[1]
            return int(levels.sum()) + self.paid(node, off)

        for who in members(sellers):
            if most[who]:
                off[who] = max((int(most[who]) * part // FEW for part in range(FEW, -1, -1)), key=told)
        return off

    def lifted(self, node: Node, musts: Sequence[Must], enough: int) -> int:
        """A bound where all is decided but how much is bought for deliveries: the best of several lowered prices."""
        off = self.off(node)
        none = np.zeros(len(self.figures.rows))

        def bound() -> int:
            levels = self.figures.used(self.case(node, node.visited, musts, off), none)[1]
            return int(levels.sum()) + self.paid(node, off)

        best = bound()
        for who in members(node.delivered):
            if not self.figures.lowerable[who]:
                continue
            kept = 0
            for part in range(1, PARTS + 1):
                off[who] = part * WHOLE // PARTS
                if (found := bound()) <= best:
                    break
                best, kept = found, int(off[who])
                if best >= enough:
                    return best
            off[who] = kept
        return best
