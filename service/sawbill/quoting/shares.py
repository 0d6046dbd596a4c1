"""What each line of a request bears of the purchase: shares that add up to every total, to the last minor unit.

The rule:

1. the price of a board is shared by the lengths that the lines' parts take up on it, a kerf with each, so that its
   trim and leftover are borne by those who use it; boards bought that nothing is cut from are shared as the boards of
   the same item are, where there are none as all boards, those on hand included;
2. packs are shared by the pieces that each line uses, supplies by what each line would need by itself;
3. trips and tax are shared as lumber, hardware and supplies together;
4. each of these is rounded down to whole minor units, and what is then missing goes one by one to the lines whose
   rounding took most, of equal ones to the first.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from sawbill.buying.boards import CutBoards
from sawbill.buying.purchase import needed_supplies
from sawbill.buying.takeoff import TakeOff, take_off
from sawbill.quoting.quote import Quote

Parts = dict[int, Fraction]
"""What each line bears, by its number [minor units]."""


@dataclass(frozen=True, slots=True)
class Share:
    """What a line bears of each total [minor units]; line: its number, counted from 0.

    each: the total for one of the line's quantity, rounded down; remainder: what is left of it then.
    """

    line: int
    lumber: int
    hardware: int
    supplies: int
    trips: int
    tax: int
    total: int
    each: int
    remainder: int


def shares(quote: Quote) -> tuple[Share, ...]:
    """The share of every line of a quote, in their order."""
    lines, totals = range(len(quote.request.lines)), quote.totals
    alone = [take_off((line,), quote.request.shop.rounding_step) for line in quote.request.lines]
    exact = [_lumber(quote), _hardware(quote, alone), _supplies(quote, alone)]
    goods = _sum(exact)
    sums = (totals.lumber, totals.hardware, totals.supplies, totals.trips, totals.tax)
    exact += [_shared(amount, goods, lines) for amount in sums[3:]]
    lumber, hardware, supplies, trips, tax = (
        _rounded(parts, amount, lines) for parts, amount in zip(exact, sums, strict=True)
    )
    found = []
    for line in lines:
        total = lumber[line] + hardware[line] + supplies[line] + trips[line]
        total += 0 if quote.book.prices_include_tax else tax[line]
        each, remainder = divmod(total, quote.request.lines[line].quantity)
        found.append(
            Share(line, lumber[line], hardware[line], supplies[line], trips[line], tax[line], total, each, remainder)
        )
    return tuple(found)


def _lumber(quote: Quote) -> Parts:
    """Board by board, then boards that nothing is cut from."""
    line_of = {cut.id: cut.line for cut in quote.take_off.cut_list}
    lines, boards = range(len(quote.request.lines)), quote.purchase.boards
    used: defaultdict[object, Counter[int]] = defaultdict(Counter)
    everywhere: Counter[int] = Counter()
    borne: list[Parts] = []
    for each in boards.cut:
        taken = _taken(each, line_of, quote.request.shop.kerf)
        everywhere.update(taken)
        if (offer := each.wood.offer) is not None:
            used[offer].update(taken)
            borne.append(_shared(offer.each * each.board.count, taken, lines))
    for bought in boards.bought:
        borne.append(_shared(bought.offer.each * bought.spare, used[bought.offer] or everywhere, lines))
    return _sum(borne)


def _taken(boards: CutBoards, line_of: Mapping[str, int], kerf: int) -> Counter[int]:
    """The length that each line takes up on boards cut alike, a kerf with each cut [nm]."""
    taken: Counter[int] = Counter()
    for cut in boards.board.cuts:
        taken[line_of[cut.key]] += (cut.length + kerf) * boards.board.count
    return taken


def _hardware(quote: Quote, alone: Sequence[TakeOff]) -> Parts:
    needs = [dict(off.hardware) for off in alone]
    lines = range(len(alone))
    return _sum(
        _shared(bought.amount, {line: needs[line].get(bought.need, 0) for line in lines}, lines)
        for bought in quote.purchase.hardware
    )


def _supplies(quote: Quote, alone: Sequence[TakeOff]) -> Parts:
    needs = [dict(needed_supplies(off)) for off in alone]
    lines = range(len(alone))
    return _sum(
        _shared(bought.amount, {line: needs[line].get(bought.item, 0) for line in lines}, lines)
        for bought in quote.purchase.supplies
    )


def _shared(amount: int, weights: Mapping[int, int | Fraction], lines: Iterable[int]) -> Parts:
    """An amount in proportion to weights; nothing of nothing."""
    whole = sum(weights.values(), Fraction(0))
    return {line: Fraction(amount) * weights.get(line, 0) / whole if whole else Fraction(0) for line in lines}


def _sum(all_parts: Iterable[Parts]) -> Parts:
    total: defaultdict[int, Fraction] = defaultdict(Fraction)
    for parts in all_parts:
        for line, amount in parts.items():
            total[line] += amount
    return dict(total)


def _rounded(parts: Parts, amount: int, lines: Sequence[int]) -> list[int]:
    """Whole minor units that add up to the amount (largest remainders)."""
    exact = [parts.get(line, Fraction(0)) for line in lines]
    whole = [part.numerator // part.denominator for part in exact]
    for line in sorted(lines, key=lambda line: whole[line] - exact[line])[: amount - sum(whole)]:
        whole[line] += 1
    return whole
