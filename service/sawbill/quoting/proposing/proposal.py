"""A proposal: the best few combinations, what every wish costs, the trade-off, and how all of that is proven."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common, in_turn
from sawbill.quoting.proposing.grid import Opened, Spot
from sawbill.quoting.proposing.measures import NEW_WARNINGS, SURE, Found, Number, Wish
from sawbill.quoting.proposing.pool import Pool, Run, Told
from sawbill.quoting.proposing.proposed import IMPLIED, Proposed
from sawbill.quoting.proposing.search import Best, Limits, Search, Sought

AT_ONCE: Final = Limits(150, 1_500)
"""How much is done for a proposal that is answered when it is done."""
AT_LENGTH: Final = Limits(2_000, 60_000)
"""How much is done for one that is a job, or is asked for where somebody waits for it alone."""
SEVERAL: Final = 3
"""From how many open options on proposals differ in two of them, not only in one."""


@dataclass(frozen=True, slots=True)
class Row:
    """A combination that is quoted; usual: the same with the usual options, None where there is no quote of that."""

    spot: Spot
    found: Found
    usual: Found | None

    @property
    def changed(self) -> tuple[tuple[Opened, object], ...]:
        """What is not as usual."""
        return self.spot.changed

    @property
    def saves(self) -> int | None:
        """By how much it costs less than what is usual [minor units]; less than nothing where it costs more."""
        return None if self.usual is None else self.usual.figures.total - self.found.figures.total


@dataclass(frozen=True, slots=True)
class OfWish:
    """What a wish costs: the best without it, beside the best with all of them; or, where nothing keeps to all, the
    nearest to this one that keeps to the others, and what of it that has.

    kept: the names of the others that it keeps to; without: None if nothing keeps to them either; proven: whether
    nothing better is left.
    """

    wish: Wish
    kept: tuple[str, ...]
    without: Row | None
    value: Number | None
    proven: bool


@dataclass(frozen=True, slots=True)
class Proof:
    """How many combinations there are, and what became of each.

    refused: by the design; not_sold: the price book lacks something; failing: a check fails, whatever wood is bought;
    beyond: no purchase of it keeps to the wishes; quoted: bought for; alike: too like one that is better; by_bound: it
    cannot be so cheap. gap: by how much one that is not quoted may be better than the last proposal, None where the
    steps ran out before there was any; proven: whether nothing is left that may be better, and late: cut by a clock.
    """

    combinations: int
    refused: int
    not_sold: int
    failing: int
    beyond: int
    quoted: int
    alike: int
    by_bound: int
    purchases: int
    proven: bool
    late: bool


@dataclass(frozen=True, slots=True)
class Proposal:
    """The answer: the best, the best first; what wishes cost; the trade-off between total, mass and time."""

    asked: Proposed
    rows: tuple[Row, ...]
    wishes: tuple[OfWish, ...]
    trade_off: tuple[Row, ...]
    trade_off_proven: bool
    proof: Proof


def propose(
    asked: Proposed, books: Sequence[PriceBook], run: Run = in_turn, told: Told = lambda _: None,
    limits: Limits = AT_LENGTH,
) -> Proposal:  # fmt: skip
    """Find the best combinations, exactly as far as the limits let it.

    run: who does what is to be found out; told: is told how far it is, and ends it by an exception.
    """
    pool = Pool(asked.grid, Common(books, asked.common), run, told)
    pool.measure(asked.wishes)
    return _Proposing(asked, pool, limits).made()


class _Proposing:
    """The searches of one proposal, one after the other, over one pool."""

    def __init__(self, asked: Proposed, pool: Pool, limits: Limits) -> None:
        self.asked, self.pool = asked, pool
        self.search = Search(pool, limits)

    def made(self) -> Proposal:
        asked, pool = self.asked, self.pool
        apart = 2 if asked.grid.opened >= SEVERAL else 1
        best = self.best(asked.wishes, asked.number, apart)
        wishes = tuple(map(self._costs, asked.told) if best.numbers else self._in_the_way())
        trade_off = Best()
        if best.numbers and asked.least == "total":
            trade_off = self.search.trade_off(asked.wishes, int(pool.at_least(best.numbers[0], "total")))
        return Proposal(
            asked, tuple(map(self.row, best.numbers)), wishes, tuple(map(self.row, trade_off.numbers)),
            trade_off.open is None, self._proof(best),
        )  # fmt: skip

    def best(self, wishes: tuple[Wish, ...], number: int = 1, apart: int = 1) -> Best:
        names = (self.asked.least,)
        return self.search.best(Sought(wishes, names, self.search.usual_key(*names), number, apart))

    def row(self, number: int) -> Row:
        found, usual = self.pool.known[number].found, self.pool.known[self.pool.usual(number)].found
        assert found is not None
        return Row(self.pool.spots[number], found, usual)

    def _in_the_way(self) -> Iterator[OfWish]:
        """What comes nearest to each wish; to those that go without saying only where nothing else is in the way."""
        for wish in self.asked.wishes:
            nearest = self._nearest(wish)
            if wish in self.asked.told or len(nearest.kept) == len(self.asked.wishes) - 1:
                yield nearest

    def _costs(self, wish: Wish) -> OfWish:
        """The best without a wish."""
        others = tuple(each for each in self.asked.wishes if each is not wish)
        return self._of(wish, others, self.best(others))

    def _nearest(self, wish: Wish) -> OfWish:
        """Of what keeps to all other wishes, what comes nearest to this one, the cheapest of it.

        Where nothing keeps to all others, of what keeps to the checks alone, which go without saying.
        """
        usual, pool = self.search.usual_key(self.asked.least), self.pool

        def key(number: int) -> tuple[Number, ...]:
            value = pool.value(number, wish)
            off = max(0, value - wish.most) if wish.most is not None else 0
            if wish.least is not None and (pool.known[number].found is not None or wish.name in SURE):
                off = max(off, wish.least - value)
            return (off, *usual(number))

        def nearest(wishes: Sequence[Wish]) -> OfWish:
            others = tuple(each for each in wishes if each.name != wish.name)
            return self._of(wish, others, self.search.best(Sought(others, (wish.name, self.asked.least), key)))

        found = nearest(self.asked.wishes)
        return found if found.without is not None else nearest(IMPLIED)

    def _of(self, wish: Wish, others: Sequence[Wish], found: Best) -> OfWish:
        number = next(iter(found.numbers), None)
        kept = tuple(each.name for each in others)
        value = None if number is None else self.pool.value(number, wish)
        return OfWish(wish, kept, None if number is None else self.row(number), value, found.open is None)

    def _proof(self, best: Best) -> Proof:
        pool, counts = self.pool, dict.fromkeys(
            ("refused", "not_sold", "failing", "beyond", "quoted", "alike", "by_bound"), 0
        )  # fmt: skip
        for number in range(pool.grid.size):
            counts[self._became(number, best)] += 1
        late = any(known.late for known in pool.known)
        return Proof(
            pool.grid.size, **counts, purchases=pool.bought, proven=best.open is None and not late, late=late
        )  # fmt: skip

    def _became(self, number: int, best: Best) -> str:
        """What became of a combination."""
        known, checks = self.pool.known[number], ("failed_checks", NEW_WARNINGS)
        if known.none:
            return "refused" if known.none == "refused" else "not_sold"
        if known.found is not None:
            return "quoted"
        for wish in self.asked.wishes:
            if not self.pool.may(number, (wish,)):
                return "failing" if wish.name in checks else "beyond"
        return "alike" if number in best.alike else "by_bound"
