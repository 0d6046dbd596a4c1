"""What acts on a member, written out: every force on it, that they balance, and what they do at one place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sawbill.checks.members import Member
from sawbill.checks.statics.model import State
from sawbill.checks.strength.calculation import Calculation, Source
from sawbill.checks.strength.reckoned import Reckoned
from sawbill.checks.strength.used import Used

_SLIGHT = 5e-7
_BESIDE = 1e-6
"""Shear jumps where a force stands: it is told of just beside that [mm]."""


@dataclass(frozen=True, slots=True)
class Force:
    """A force on a member, down being more than nothing [N], from where to where along it [mm], and its number."""

    number: int
    name: str
    load: float
    low: float
    high: float

    @property
    def turns(self) -> str:
        """By how much it turns the member about where places are measured from, in symbols."""
        p, a, b = f"P{self.number}", f"a{self.number}", f"b{self.number}"
        return f"{p} * ({a} + {b}) / 2" if self.high > self.low else f"{p} * {a}"

    def before(self, x: float) -> float:
        """How much of it is before a place."""
        if self.high > self.low:
            return self.load * min(1.0, max(0.0, (x - self.low) / (self.high - self.low)))
        return self.load if self.low < x else 0.0

    def turning(self, x: float) -> float:
        """How much of a moment it has at a place [N mm]."""
        return self.before(x) * (x - (self.low + min(x, self.high)) / 2)

    def term(self, x: float, *, lever: bool) -> str:
        """Its shear, or its moment, in symbols: of so much as is before a place x."""
        p, a, b = f"P{self.number}", f"a{self.number}", f"b{self.number}"
        if self.high <= self.low:
            return f"{p} * (x - {a})" if lever else p
        if self.high <= x:
            return f"{p} * (x - ({a} + {b}) / 2)" if lever else p
        return f"{p} * (x - {a})^2 / (2 * ({b} - {a}))" if lever else f"{p} * (x - {a}) / ({b} - {a})"


def state_of(reckoned: Reckoned, column: int) -> State:
    """All springs in one column of what was solved."""
    way = reckoned.model.ways()[column // len(reckoned.cases)]
    return reckoned.model.state(reckoned.there, [reckoned.columns.case(column).loads], way)


def write_way(sheet: Calculation, reckoned: Reckoned, column: int) -> None:
    """How stiff the frame was taken to be, for this is the worst of several ways."""
    ways = reckoned.model.ways()
    times, ladder = ways[column // len(reckoned.cases)]
    if len({each for each, _ in ways}) > 1:
        name = "how stiff fasteners are, in times of Kser (soft and stiff were tried, this is the worse)"
        sheet.given("stiff", name, times, "", "EC5", "7.1")
    if len({there for _, there in ways}) > 1:
        sheet.given("ladder", "whether the ladder is there, 1 or 0 (both were tried)", float(ladder), "", "model")


def write_forces(sheet: Calculation, reckoned: Reckoned, member: Member, column: int) -> Sequence[Force]:
    """Every force on a member, and their sum."""
    found = sorted(_forces(reckoned, member, column), key=lambda each: (each[2], each[3], each[1]))
    forces = [Force(number, *each) for number, each in enumerate(found, 1)]
    for each in forces:
        source: Source = "model" if each.name.startswith("where") else "frame"
        way = "down" if each.load > 0 else "up"
        sheet.given(f"P{each.number}", f"{each.name} ({way})", each.load, "N", source)
        sheet.given(f"a{each.number}", "at" if each.high <= each.low else "from", each.low, "mm", "frame")
        if each.high > each.low:
            sheet.given(f"b{each.number}", "to", each.high, "mm", "frame")
    sheet.reckon("sum", "all forces together: they balance", " + ".join(f"P{each.number}" for each in forces), "N")
    terms = " + ".join(each.turns for each in forces)
    sheet.reckon("turn", "all forces by their places: nothing turns", terms, "N mm")
    return forces


def _forces(reckoned: Reckoned, member: Member, column: int) -> Iterator[tuple[str, float, float, float]]:
    """Its loads; what holds it; what presses onto it: name, how much, from where, to where."""
    case = reckoned.columns.case(column)
    low_high = [("weight of the wood, or of a mattress", *patch) for patch in reckoned.there[member]]
    low_high += [(f"load while {case.when}", *patch) for patch in case.loads.get(member, ())]
    yield from ((name, load, low, high) for name, low, high, load in low_high)
    for link, place, force in reckoned.model.acting(member, state_of(reckoned, column)):
        if link < 0:
            name = "the floor"
        else:
            met = reckoned.paths.links[link]
            name = "the " + (met.carrier if met.member is member else met.member).parts[0].name
        if abs(force) > _SLIGHT:
            yield f"where {name} {'holds it up' if force < 0 else 'presses'}", force, place, place


def write_moment(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """The moment of a member where it is used most."""
    forces = write_forces(sheet, reckoned, used.member, used.column)
    piece = reckoned.model.pieces[used.member][used.row - reckoned.model.first_piece(used.member)]
    write_moment_at(sheet, forces, _bent_most(forces, *piece), "where it is bent most")


def _bent_most(forces: Sequence[Force], start: float, end: float) -> float:
    """Where between two places the forces bend a member most: at one of them, where a load ends, or without shear."""
    ends = {place for each in forces for place in (each.low, each.high) if start < place < end}
    places = sorted({start, end} | ends)
    for low, high in pairwise(places):
        there = [each for each in forces if each.low <= low < high <= each.high]
        rate = sum(each.load / (each.high - each.low) for each in there)
        level = high - sum(each.before(high) for each in forces) / rate if rate else low
        if low < level < high:
            places.append(level)
    return max(places, key=lambda place: abs(sum(each.turning(place) for each in forces)))


def write_moment_at(sheet: Calculation, forces: Sequence[Force], x: float, name: str) -> None:
    """The moment of a member at a place, of the forces on it."""
    sheet.given("x", name, x, "mm", "model")
    before = [each for each in forces if each.low < x]
    for each in before:
        sheet.reckon(f"m{each.number}", "its moment there: force by lever", each.term(x, lever=True), "N mm")
    terms = " + ".join(f"m{each.number}" for each in before)
    sheet.reckon("M", "moment there, of all forces before it", f"abs({terms or 0})", "N mm")


def write_shear(sheet: Calculation, reckoned: Reckoned, used: Used) -> None:
    """The shear of a member where it is used most: at one end of a piece between two nodes."""
    forces = write_forces(sheet, reckoned, used.member, used.column)
    start, end = reckoned.model.pieces[used.member][used.row - reckoned.model.first_piece(used.member)]
    most = abs(float(reckoned.solved.shears[used.row, used.column]))
    places = (start + _BESIDE, end - _BESIDE)
    x = min(places, key=lambda place: abs(abs(sum(each.before(place) for each in forces)) - most))
    sheet.given("x", "where its shear is greatest, just beside", x, "mm", "model")
    terms = " + ".join(each.term(x, lever=False) for each in forces if each.low < x)
    sheet.reckon("V", "shear there: all forces before it", f"abs({terms or 0})", "N")
