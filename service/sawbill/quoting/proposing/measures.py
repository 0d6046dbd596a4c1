"""What is measured of a quote for a proposal, and what wishes may limit of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from sawbill.checks.finding import Status
from sawbill.quoting.comparing import criteria
from sawbill.quoting.comparing.comparison import Figures, figures_of
from sawbill.quoting.comparing.criteria import Kind
from sawbill.quoting.quote import Quote
from sawbill.quoting.work import work_for
from sawbill.trade.frame import Frame

Number = Fraction | int


@dataclass(frozen=True, slots=True)
class Found:
    """A quote as proposals see it, its figures and more.

    heaviest_piece: of those that are carried [g]; suppliers: how many are visited, or deliver; clear_height: how high
    it is clear underneath [nm], None where all stands on the floor; tools: those it takes; warned: the rules that warn.
    """

    figures: Figures
    heaviest_piece: int
    suppliers: int
    clear_height: int | None
    tools: tuple[str, ...]
    warned: frozenset[str] = frozenset()

    @classmethod
    def of(cls, quote: Quote) -> Found:
        """Measure a quote of one line of a design."""
        work, (line,), (frame,) = work_for(quote, quote.request.units), quote.request.lines, quote.frames
        assert line.frame is not None
        return cls(
            figures_of(quote, work), max(piece.mass_g for piece in frame.carried_pieces), len(quote.visits),
            clear_height(line.frame), tuple(dict.fromkeys(tool.name for tool in work.tools)),
            frozenset(each.rule for _, each in quote.findings if each.status is Status.WARN),
        )  # fmt: skip


def clear_height(frame: Frame) -> int | None:
    """The height from the floor to the lowest part that does not stand on it, the steps of ladders apart [nm]."""
    treads = {key for bed in frame.high_beds if bed.ladder is not None for key in bed.ladder.treads}
    floor = frame.bounds.low[2]
    lows = [box.low[2] - floor for key, box in frame.boxes.items() if key not in treads]
    return min((low for low in lows if low > 0), default=None)


@dataclass(frozen=True, slots=True)
class Measure:
    """Something that a wish may limit: what kind of number it is, in words what, and how it is taken."""

    kind: Kind
    words: str
    of: Callable[[Found], Number]


def _figure(name: str) -> Callable[[Found], Number]:
    of = criteria.CRITERIA[name].of
    return lambda found: of(found.figures)


MEASURES: Final[Mapping[str, Measure]] = MappingProxyType({
    "total": Measure("money", "the total", _figure("total")),
    "lumber": Measure("money", "what the lumber costs", _figure("lumber")),
    "hardware": Measure("money", "what the hardware costs", _figure("hardware")),
    "mass": Measure("mass", "the mass of one", _figure("mass")),
    "heaviest_piece": Measure("mass", "the mass of the heaviest carried piece", lambda each: each.heaviest_piece),
    "longest_piece": Measure("length", "the longest side of a carried piece", _figure("longest_piece")),
    "clear_height": Measure("length", "the clear height underneath", lambda each: each.clear_height or 0),
    "hands_on": Measure("time", "the time at work, at most", _figure("hands_on")),
    "boards": Measure("count", "the boards to buy", _figure("boards")),
    "waste": Measure("share", "the share of the wood that is waste", _figure("waste")),
    "suppliers": Measure("count", "the suppliers visited", lambda each: each.suppliers),
    "failed_checks": Measure(
        "count", "the checks that fail, or that nobody can reckon",
        lambda each: each.figures.failed_checks + each.figures.unreckoned,
    ),
})  # fmt: skip
"""What wishes may limit; the time by the most it may take."""
TO_LESSEN: Final = tuple(name for name in MEASURES if name != "clear_height")
"""What may be made least."""
SURE: Final = frozenset({"longest_piece", "clear_height"})
"""What the frame tells alone, whatever is bought for it."""
TOOLS: Final = "tools"
"""The wish that no other tools are taken than those at hand: measured by how many are not."""
NEW_WARNINGS: Final = "new_warnings"
"""The wish that no rule warns that does not warn of the usual options: measured by how many do."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What a quote must keep to [as its measure counts; money in minor units]; at_hand: of the wish for tools."""

    name: str
    least: Number | None = None
    most: Number | None = None
    at_hand: frozenset[str] = frozenset()

    def of(self, found: Found, usual: frozenset[str]) -> Number:
        """What it limits, of a quote; usual: the rules that warn of the usual options."""
        if self.name == TOOLS:
            return len(set(found.tools) - self.at_hand)
        return len(found.warned - usual) if self.name == NEW_WARNINGS else MEASURES[self.name].of(found)

    def met(self, value: Number) -> bool:
        """Whether what it limits keeps to it."""
        return (self.least is None or value >= self.least) and (self.most is None or value <= self.most)
