"""The combinations of a proposal, and what is known of each: more is found out only where it is asked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from types import MappingProxyType
from typing import Any, Final

from sawbill.quoting.comparing.comparison import Common, in_turn
from sawbill.quoting.holding.hopeless import Weakness
from sawbill.quoting.proposing.grid import Grid, Spot, Table
from sawbill.quoting.proposing.looking import Batch, Known, Step, looked_at
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, SURE, TOOLS, Number, Wish

TOGETHER: Final[Mapping[Step, int]] = MappingProxyType({"measure": 200, "plan": 50, "work": 20, "check": 4, "buy": 1})
"""How many combinations are handed to one process at once."""
STEPS: Final[Mapping[Step, int]] = MappingProxyType({"measure": 1, "plan": 1, "work": 4, "check": 8, "buy": 30})
"""How long each of them takes, about [ms]: what is allowed is counted in these, and not by a clock."""
MOST_WEAKNESSES: Final = 3
"""How many weaknesses of others are looked for first where a combination is checked."""
Run = Callable[[Callable[[Common, Any], Any], Common, Iterable[Any]], Iterator[Any]]
"""How many questions are answered: each in turn, or several at once, the answers in the order of the questions."""
Told = Callable[["Progress"], None]
"""Whoever is told how far it is; to raise an exception ends it."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a proposal is: combinations measured, those of them that can no longer be in the answer, all of them.

    best: the total of the best so far, gap: by how much another may cost less; None while there is none [minor units].
    """

    measured: int
    out: int
    of: int
    best: int | None = None
    gap: int | None = None


class Pool:
    """What is known of every combination; bought: how many purchases were begun; steps: what all of it took."""

    def __init__(self, grid: Grid, common: Common, run: Run = in_turn, told: Told = lambda _: None) -> None:
        self.grid, self.spots = grid, list(grid.spots())
        self.known = [Known()] * len(self.spots)
        self.bought = self.steps = 0
        self.told = told
        self._common, self._run = common, run
        self._places = {id(table): place for place, table in enumerate(grid.tables)}
        self._usual: dict[int, int] = {}
        self._warned: dict[int, frozenset[str]] = {}
        self._weaknesses: dict[int, Counter[Weakness]] = {place: Counter() for place in self._places.values()}

    def measure(self, wishes: Sequence[Wish]) -> None:
        """Build and bound every combination, and quote the usual one of every table, and that nearest to it which the
        wishes let be as far as frames tell alone: what that warns of is nothing new."""
        self.look("measure", [(number, None) for number in range(self.grid.size)])
        for place, table in enumerate(self.grid.tables):
            self._usual[place] = self._number_of_usual(table)
        nearest = self._nearest_to_usual([wish for wish in wishes if wish.name in SURE])
        self.look("buy", [(number, None) for number in dict.fromkeys([*self._usual.values(), *nearest.values()])])
        for place, number in nearest.items():
            found = self.known[number].found
            if found is not None:
                self._warned[place] = found.warned

    def _nearest_to_usual(self, wishes: Sequence[Wish]) -> dict[int, int]:
        """Of every table the combination with the fewest changes that keeps to wishes."""
        found = dict(self._usual) if not wishes else dict[int, int]()
        for spot in self.spots[: self.grid.size] if wishes else ():
            place = self._place(spot.number)
            if self.may(spot.number, wishes):
                key = len(spot.changed), spot.number
                if place not in found or key < (len(self.spots[found[place]].changed), found[place]):
                    found[place] = spot.number
        return found

    def _number_of_usual(self, table: Table) -> int:
        """The number of the combination with every open option as usual; one that is in no grid comes after all."""
        if all(each.at is not None for each in table.opened):
            places = tuple(each.at or 0 for each in table.opened)
            return next(spot.number for spot in self.spots if spot.table is table and spot.places == places)
        number = len(self.spots)
        self.spots.append(Spot(number, Table(table.entry, table.book, ()), ()))
        self.known.append(Known())
        return number

    def usual(self, number: int) -> int:
        """The number of what a combination is with the usual options."""
        return self._usual[self._place(number)]

    def _place(self, number: int) -> int:
        return self._places[id(self.spots[number].table)]

    def look(self, step: Step, asked: Sequence[tuple[int, int | None]], wishes: Sequence[Wish] = ()) -> None:
        """Find out more of combinations by one step: each by its number, with what it may cost and still matter; what
        is sure to miss a wish is looked at no further."""
        left = [(n, enough) for n, enough in asked if self.known[n].found is None and not self.known[n].none]
        self.bought += len(left) if step == "buy" else 0
        self.steps += STEPS[step] * len(left)
        batches = list(self._batches(step, left))
        questions = [self._batch(step, *batch, wishes) for batch in batches]  # before any answer: all runs ask the same
        answers = self._run(looked_at, self._common, questions)
        for (numbers, _), known in zip(batches, answers, strict=True):
            for number, each in zip(numbers, known, strict=True):
                self.known[number] = each
                if step == "check" and each.weakness is not None:
                    self._weaknesses[self._place(number)][each.weakness] += 1
            if step == "measure":
                self._tell_measured(numbers[-1] + 1)

    def _batches(self, step: Step, asked: Iterable[tuple[int, int | None]]) -> Iterator[tuple[list[int], int | None]]:
        """Share out what is handed over at once, in its order: of one table, and worth as much."""
        for (_, enough), group in groupby(asked, lambda each: (id(self.spots[each[0]].table), each[1])):
            numbers = [number for number, _ in group]
            for first in range(0, len(numbers), TOGETHER[step]):
                yield numbers[first : first + TOGETHER[step]], enough

    def _batch(self, step: Step, numbers: Sequence[int], enough: int | None, wishes: Sequence[Wish]) -> Batch:
        table = self.spots[numbers[0]].table
        values = tuple(
            tuple(each.values[i] for each, i in zip(table.opened, self.spots[number].places, strict=True))
            for number in numbers
        )
        entry, known = table.entry, tuple(self.known[number] for number in numbers)
        return Batch(
            step, entry.design.name, entry.label, self.grid.quantity, table.book, entry.options,
            tuple(each.name for each in table.opened), values, known, enough,
            self._may_warn(numbers[0], wishes), self._usual_weaknesses(numbers[0]),
        )  # fmt: skip

    def _usual_weaknesses(self, number: int) -> tuple[Weakness, ...]:
        """What most of those that are like one fail by, as far as they were looked at."""
        if number >= self.grid.size:
            return ()
        return tuple(each for each, _ in self._weaknesses[self._place(number)].most_common(MOST_WEAKNESSES))

    def _may_warn(self, number: int, wishes: Sequence[Wish]) -> frozenset[str] | None:
        """The rules that may warn, where a wish lets no others."""
        none_new = any(wish.name == NEW_WARNINGS and wish.most == 0 for wish in wishes)
        return self._warned.get(self._place(number)) if none_new and number < self.grid.size else None

    def _tell_measured(self, measured: int) -> None:
        out = sum(bool(each.none) for each in self.known[:measured])
        self.told(Progress(measured, out, self.grid.size))

    def may(self, number: int, wishes: Iterable[Wish]) -> bool:
        """Whether a combination may keep to wishes, as far as is known; of one that is quoted, whether it does."""
        return not self.known[number].none and all(self._may(number, wish) for wish in wishes)

    def _may(self, number: int, wish: Wish) -> bool:
        known = self.known[number]
        if known.found is not None or wish.name in SURE:
            return wish.met(self.value(number, wish))
        return wish.most is None or self.value(number, wish) <= wish.most

    def value(self, number: int, wish: Wish) -> Number:
        """What a wish limits, of one that is quoted; of another, what it is not below."""
        known = self.known[number]
        warned = self._warned.get(self._place(number)) if wish.name == NEW_WARNINGS else frozenset()
        if known.found is not None:
            return wish.of(known.found, known.found.warned if warned is None else warned)
        if wish.name == TOOLS:
            return len(set(known.tools or ()) - wish.at_hand)
        if wish.name == NEW_WARNINGS:
            return 0 if warned is None else len(known.warned - warned)
        return known.at_least(wish.name)

    def at_least(self, number: int, name: str) -> Number:
        """What a measure is of one that is quoted; of another, what it is not below."""
        known = self.known[number]
        return known.at_least(name) if known.found is None else MEASURES[name].of(known.found)

    def next_step(self, number: int, names: Iterable[str], wishes: Iterable[Wish]) -> Step:
        """What to do to know more of it: what is quick before what is slow, as far as it may settle anything."""
        known, asked = self.known[number], {*names, *(wish.name for wish in wishes)}
        if not known.planned and "total" in asked:
            return "plan"
        if known.tools is None and asked & {"hands_on", TOOLS}:
            return "work"
        if not known.checked and asked & {"failed_checks", NEW_WARNINGS}:
            return "check"
        return "buy"
