"""The combinations of a proposal, and what is known of each: more is found out only where it is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.quoting.comparing.comparison import Common, in_turn
from sawbill.quoting.proposing.grid import Grid, Spot, Table
from sawbill.quoting.proposing.looking import Batch, Known, One, Step, looked_at, measured
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, SURE, TOOLS, Number, Wish

BATCH: Final = 200
"""How many combinations are measured in one go."""
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
    """What is known of every combination; bought: how many purchases were made."""

    def __init__(self, grid: Grid, common: Common, run: Run = in_turn, told: Told = lambda _: None) -> None:
        self.grid, self.spots = grid, list(grid.spots())
        self.known: list[Known] = []
        self.bought = 0
        self.told = told
        self._common, self._run = common, run
        self._places = {id(table): place for place, table in enumerate(grid.tables)}
        self._usual: dict[int, int] = {}
        self._warned: dict[int, frozenset[str]] = {}

    def measure(self, wishes: Sequence[Wish]) -> None:
        """Build and bound every combination, and quote the usual one of every table, and that nearest to it which the
        wishes let be as far as frames tell alone: what that warns of is nothing new."""
        out = 0
        for known in self._run(measured, self._common, self._batches()):
            self.known += known
            out += sum(bool(each.none) for each in known)
            self.told(Progress(len(self.known), out, self.grid.size))
        for place, table in enumerate(self.grid.tables):
            self._usual[place] = self._number_of_usual(table)
        nearest = self._nearest_to_usual([wish for wish in wishes if wish.name in SURE])
        self.look([(number, "buy", None) for number in dict.fromkeys([*self._usual.values(), *nearest.values()])])
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

    def _batches(self) -> Iterator[Batch]:
        for table in self.grid.tables:
            names = tuple(each.name for each in table.opened)
            for first in range(0, table.size, BATCH):
                values = tuple(
                    tuple(each.values[i] for each, i in zip(table.opened, table.places(number), strict=True))
                    for number in range(first, min(table.size, first + BATCH))
                )
                entry = table.entry
                yield Batch(
                    entry.design.name, entry.label, self.grid.quantity, table.book, entry.options, names, values
                )

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

    def look(self, asked: Sequence[tuple[int, Step, int | None]]) -> None:
        """Find out more of combinations: of each its number, the step, and what it may cost and still matter."""
        ones = []
        for number, step, enough in asked:
            if self.known[number].found is None and not self.known[number].none:
                spot = self.spots[number]
                entry = spot.table.entry
                line = {"label": entry.label, "design": entry.design.name, "options": dict(spot.options),
                        "quantity": self.grid.quantity}  # fmt: skip
                ones.append((number, One(line, spot.table.book, self.known[number], step, enough)))
                self.bought += step == "buy"
        for (number, _), known in zip(ones, self._run(looked_at, self._common, (one for _, one in ones)), strict=True):
            self.known[number] = known

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
        if known.tools is None and asked & {"hands_on", TOOLS}:
            return "work"
        if not known.checked and asked & {"failed_checks", NEW_WARNINGS}:
            return "check"
        return "buy"
