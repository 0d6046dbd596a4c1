"""Drilling, mark by mark: the holes of one part for all that are like it, those in a row together; so with housings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sawbill.making.holes import Purpose
from sawbill.making.marks import Mark
from sawbill.making.operations import Hole, Housing
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import System


@dataclass(frozen=True, slots=True)
class Row:
    """Like holes in one line.

    along, places: from which side, and how far, their middles are [nm]; across, place: and from a second one, all
    alike; side: the one they are drilled into; diameter, depth: as of a `Hole` [nm].
    """

    purpose: Purpose
    diameter: int
    depth: int | None
    side: str
    system: System
    along: str
    places: tuple[int, ...]
    across: str
    place: int


@dataclass(frozen=True, slots=True)
class Channels:
    """Like housings in one line: how deep, wide and long each is, into which side; ends: what goes into each, by key.

    along, places: from which side, and how far, they begin [nm]; across, place: and from a second one, all alike.
    """

    ends: tuple[str, ...]
    deep: int
    wide: int
    long: int
    side: str
    along: str
    places: tuple[int, ...]
    across: str
    place: int


@dataclass(frozen=True, slots=True)
class Drilled:
    """The parts of one mark, by key, and the holes in the first of them; the others are turned to match.

    housings: and the housings.
    """

    letter: str
    mark: Mark
    parts: tuple[str, ...]
    rows: tuple[Row, ...]
    housings: tuple[Channels, ...] = ()

    @property
    def holes(self) -> int:
        """How many there are in one part."""
        return sum(len(row.places) for row in self.rows)


def drilling(
    frame: Frame, laid_out: Iterable[Hole | Housing], letters: Mapping[str, str], marks: Mapping[str, Mark]
) -> tuple[Drilled, ...]:
    """Tell the holes and housings of every mark, in the order of the marks; a mark may have none."""
    of: dict[str, list[Hole]] = {}
    housed: dict[str, list[Housing]] = {}
    for each in laid_out:
        if isinstance(each, Hole):
            of.setdefault(each.part, []).append(each)
        else:
            housed.setdefault(each.part, []).append(each)
    parts: dict[str, list[str]] = {}
    for key in frame.by_key:
        parts.setdefault(marks[key].name, []).append(key)
    return tuple(
        Drilled(
            letters[keys[0]], marks[keys[0]], tuple(keys), rows(of.get(keys[0], ())), channels(housed.get(keys[0], ()))
        )
        for _, keys in sorted(parts.items(), key=lambda item: _order(letters[item[1][0]], item[0]))
    )


def _order(letter: str, mark: str) -> tuple[int, str, int, str]:
    """A to Z before AA, A2 before A10."""
    return len(letter), letter, len(mark), mark


def rows(holes: Iterable[Hole]) -> tuple[Row, ...]:
    """Put like holes of one part that lie in a line together."""
    found: dict[tuple[Purpose, int, int | None, str, System, str, str, int], list[int]] = {}
    for hole in holes:
        along, across = hole.offsets
        kind = hole.purpose, hole.diameter, hole.depth, hole.side, hole.system, along.side, across.side, across.distance
        found.setdefault(kind, []).append(along.distance)
    return tuple(
        Row(purpose, diameter, depth, side, system, along, tuple(sorted(places)), across, place)
        for (purpose, diameter, depth, side, system, along, across, place), places in found.items()
    )


def channels(housings: Iterable[Housing]) -> tuple[Channels, ...]:
    """Put like housings of one part that lie in a line together."""
    found: dict[tuple[int, int, int, str, str, str, int], list[Housing]] = {}
    for each in sorted(housings, key=lambda each: each.starts[0].distance):
        along, across = each.starts
        kind = each.deep, each.wide, each.long, each.side, along.side, across.side, across.distance
        found.setdefault(kind, []).append(each)
    return tuple(
        Channels(
            tuple(each.end for each in alike), deep, wide, long, side,
            along, tuple(each.starts[0].distance for each in alike), across, place,
        )
        for (deep, wide, long, side, along, across, place), alike in found.items()
    )  # fmt: skip
