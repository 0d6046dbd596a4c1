"""What one sheet of the shop is about: parts that are looked at together, with their holes, glue and hangers."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from sawbill.drawings.paper.scale import counted, drill, printed, printed_span
from sawbill.drawings.paper.table import Table
from sawbill.drawings.shop.datum import Datum, Span, datum
from sawbill.drawings.shop.folding import folded
from sawbill.drawings.subject import Subject
from sawbill.making.holes import Drilling, Fastener, fasteners_of
from sawbill.making.operations import glue_ups
from sawbill.trade.boxes import AXES, Box, Point, bounds, point
from sawbill.trade.frame import Glued, Hung, Joint

Place = tuple[int, int, int]
"""Along start, up and deep [nm]."""
_PARTS = "start: from the left-hand end; up: from the underside; deep: from the face seen; each with each"
_HOUSINGS = "channels cut before anything is glued, from where to where; the ends named are glued in"
_HOLES = "where the drill goes in, each start with each up and deep; the number is that in the drawing"


@dataclass(frozen=True, slots=True)
class HoleRow:
    """Holes that are drilled alike; number: as it stands beside them in the drawing; drilled: each with its holes."""

    number: int
    cells: tuple[str, ...]
    drilled: tuple[tuple[Fastener, tuple[Drilling, ...]], ...]


@dataclass(frozen=True)
class Work:
    """Parts of one piece, and how they are looked at. fasteners: of the whole frame, by the parts they go through."""

    subject: Subject
    keys: tuple[str, ...]
    fasteners: Mapping[str, Sequence[Fastener]]
    joints: tuple[Joint, ...] = ()

    @cached_property
    def look(self) -> Datum:
        """How the parts are looked at."""
        return datum(self.subject.boxes(self.keys), self.subject.frame.bounds)

    @property
    def seen(self) -> str:
        """From where the parts are looked at, in words."""
        return f"{self.subject.seen_from(self.look.view)}{', its inside' if self.look.inside else ''}"

    @cached_property
    def mine(self) -> list[tuple[Fastener, tuple[Drilling, ...]]]:
        """The bolts and screws that need holes in these parts, with those holes."""
        keys = set(self.keys)
        through = {id(each): each for key in self.keys for each in self.fasteners.get(key, ())}
        found = ((each, tuple(hole for hole in each.drillings if hole.part in keys)) for each in through.values())
        return [(each, holes) for each, holes in found if holes]

    @cached_property
    def signature(self) -> tuple[object, ...]:
        """What is alike in pieces that one sheet is for: all that it says of them."""
        return (self.look.inside, *(table.rows for table in self.tables), self._glue())

    @cached_property
    def hole_rows(self) -> tuple[HoleRow, ...]:
        """Holes drilled alike, in rows that agree but for one number."""
        alike: dict[tuple[str, ...], dict[Place, tuple[Fastener, tuple[Drilling, ...]]]] = defaultdict(dict)
        for fastener, holes in self.mine:
            words = (self._from(holes[0]), self._drills(holes), self._use(fastener, holes))
            a, b, c = (self.look.place(self._entry(holes[0]), k) for k in range(3))
            alike[words][a, b, c] = fastener, holes
        rows = sorted((row, words) for words, places in alike.items() for row in folded(places))
        return tuple(
            HoleRow(number, (str(number), *(self._list(values) for values in row), *words),
                    tuple(alike[words][a, b, c] for a in row[0] for b in row[1] for c in row[2]))
            for number, (row, words) in enumerate(rows, 1)
        )  # fmt: skip

    @cached_property
    def tables(self) -> list[Table]:
        """All that the drawing does not say by itself."""
        return [
            Table("PARTS", _PARTS, ("part", "what", "start", "up", "deep"), tuple(self._part_rows())),
            Table("GLUE", self._glue(), (), ()),
            Table("HOLES", _HOLES, ("no.", "start", "up", "deep", "drilled from", "holes", "for"),
                  tuple(row.cells for row in self.hole_rows)),
            Table("HOUSINGS", _HOUSINGS, ("for", "in part", "into its", "start", "up", "deep"),
                  tuple(self._housing_rows())),
            Table("HANGERS", "", ("hanger", "on part", "on its", "start", "up", "deep"), tuple(self._hanger_rows())),
        ]  # fmt: skip

    def _part_rows(self) -> Iterator[tuple[str, ...]]:
        frame, labels = self.subject.frame, self.subject.labels
        alike: dict[str, list[str]] = defaultdict(list)
        for key in self.keys:
            alike[labels[key]].append(key)
        for label, keys in sorted(alike.items(), key=lambda item: (len(item[0]), item[0])):
            part = frame.by_key[keys[0]]
            ripped = "" if part.ripped is None else f", ripped to {self._length(part.ripped)}"
            places = [tuple(self.look.span(frame.boxes[key], k) for k in range(3)) for key in keys]
            for row in folded((a, b, c) for a, b, c in places):
                count = len(row[0]) * len(row[1]) * len(row[2])
                yield (counted(label, count), f"{part.name} {part.section.name}{ripped}",
                       *(self._spans(values) for values in row))  # fmt: skip

    @cached_property
    def hung(self) -> tuple[tuple[int, Box], ...]:
        """What hangs in hangers on these parts: the axis it comes along, and how much of it lies before the part."""
        boxes = self.subject.frame.boxes
        return tuple((axis, _before(hung, boxes[key], axis)) for _, key, axis, _, hung in self._hangers())

    @cached_property
    def housings(self) -> tuple[tuple[str, str, int, int, Box], ...]:
        """Housings in these parts: whose end, in which part, along which axis and whether (-1) from its far side."""
        frame, found = self.subject.frame, []
        for (end, key), cut in frame.housings.items():
            if key in set(self.keys):
                axis = AXES.index(frame.by_key[end].placement.along)
                found.append((end, key, axis, 1 if cut.low[axis] == frame.boxes[key].low[axis] else -1, cut))
        return tuple(found)

    def _housing_rows(self) -> Iterator[tuple[str, ...]]:
        labels = self.subject.labels
        alike: dict[tuple[str, str, str], list[tuple[Span, ...]]] = defaultdict(list)
        for end, key, axis, toward, cut in self.housings:
            words = labels[end], labels[key], self.look.face(axis, toward)
            alike[words].append(tuple(self.look.span(cut, k) for k in range(3)))
        for words, places in sorted(alike.items()):
            for row in folded((a, b, c) for a, b, c in places):
                yield (*words, *(self._spans(values) for values in row))

    def _hangers(self) -> Iterator[tuple[Hung, str, int, int, Box]]:
        """Each hanger: its joint, the part it is on, along which axis and whether (-1) on that part's far end of it."""
        frame, keys = self.subject.frame, set(self.keys)
        for joint in frame.joints:
            if isinstance(joint, Hung) and joint.parts[-1] in keys:
                hung = bounds(frame.boxes[key] for key in joint.parts[:-1])
                carrier = frame.boxes[joint.parts[-1]]
                gaps = [-shared for shared in hung.shared(carrier)]
                axis = gaps.index(max(gaps))
                yield joint, joint.parts[-1], axis, -1 if hung.low[axis] > carrier.low[axis] else 1, hung

    def _hanger_rows(self) -> Iterator[tuple[str, ...]]:
        for joint, key, axis, toward, hung in self._hangers():
            which, _ = self.look.along(axis)
            spans = ("" if k == which else self._spans([self.look.span(hung, k)]) for k in range(3))
            yield (joint.hanger, self.subject.labels[key], self.look.face(axis, toward), *spans)

    def _glue(self) -> str:
        labels = self.subject.labels
        pairs = Counter(
            f"{labels[joint.parts[0]]} to {labels[joint.parts[1]]}"
            for joint in self.joints
            if isinstance(joint, Glued) and set(joint.parts) <= set(self.keys)
        )
        told = (f"{pair}, {count} times" if count > 1 else pair for pair, count in sorted(pairs.items()))
        return f"before drilling: {'; '.join(told)}" if pairs else ""

    def _entry(self, hole: Drilling) -> Point:
        """Where the drill goes into a part."""
        box = self.subject.frame.boxes[hole.part]
        x, y, z = (
            at if k != hole.axis else box.low[k] if hole.toward > 0 else box.high[k] for k, at in enumerate(hole.at)
        )
        return x, y, z

    def _from(self, hole: Drilling) -> str:
        return self.look.face(hole.axis, hole.toward)

    def _drills(self, holes: Sequence[Drilling]) -> str:
        """What is drilled into which part, in order; the other way round where a drill comes from the far side."""
        told: list[tuple[str, int]] = []
        for hole in holes:
            depth = " through" if hole.depth is None else f", {self._drill(hole.depth)} deep"
            back = f" from the {self._from(hole)}" if hole.toward != holes[0].toward else ""
            words = f"{self.subject.labels[hole.part]} {self._drill(hole.diameter)}{depth}{back}"
            if told and told[-1][0] == words:
                told[-1] = words, told[-1][1] + 1
            else:
                told.append((words, 1))
        return "; ".join(f"{words} ({count} layers)" if count > 1 else words for words, count in told)

    def _use(self, fastener: Fastener, holes: Sequence[Drilling]) -> str:
        """What goes in, where its head and its nut are, and what else it joins."""
        keys = set(self.keys)
        first, last = fastener.parts[0] in keys, fastener.parts[-1] in keys
        others = dict.fromkeys(self.subject.labels[key] for key in fastener.parts if key not in keys)
        said = [fastener.words]
        if first:
            head = "round head" if fastener.round_head else "head"
            said.append(f"{head} on the {self.look.face(fastener.axis, fastener.toward)}")
        if last and fastener.end:
            said.append(f"{fastener.end} on the {self.look.face(fastener.axis, -fastener.toward)}")
        if others:
            said.append(f"joins {' and '.join(others)}")
        return ", ".join(said)

    def _list(self, values: Sequence[int]) -> str:
        return ", ".join(self._length(value) for value in values)

    def _spans(self, values: Sequence[Span]) -> str:
        return ", ".join(printed_span(span, self.subject.system) for span in values)

    def _length(self, nm: int) -> str:
        return printed(nm, self.subject.system)

    def _drill(self, nm: int) -> str:
        return drill(nm, self.subject.system)


def _before(hung: Box, carrier: Box, axis: int) -> Box:
    """What of a box lies before another, seen along an axis."""
    both = hung.common(carrier)
    low = point(hung.low[k] if k == axis else both.low[k] for k in range(3))
    return Box(low, point(hung.high[k] if k == axis else both.high[k] for k in range(3)))


def _by_part(subject: Subject) -> Mapping[str, Sequence[Fastener]]:
    found: dict[str, list[Fastener]] = defaultdict(list)
    for fastener in fasteners_of(subject.frame):
        for key in fastener.parts:
            found[key].append(fastener)
    return found


def piece_works(subject: Subject) -> list[tuple[str, list[Work]]]:
    """The pieces of more than one part, those alike together under one name."""
    every = _by_part(subject)
    found: dict[tuple[object, ...], tuple[list[str], list[Work]]] = {}
    for piece in subject.pieces:
        if len(piece.parts) > 1:
            work = Work(subject, piece.parts, every, piece.stays)
            names, works = found.setdefault(work.signature, ([], []))
            names.append(piece.kind)
            works.append(work)
    return [(", ".join(dict.fromkeys(names)), works) for names, works in found.values()]


def part_works(subject: Subject) -> list[tuple[str, list[Work]]]:
    """The parts with holes or housings of their own or ripped, those of a letter that are alike together, by letter.

    What is drilled after it is glued is drilled in its piece, and stands on that sheet.
    """
    every = _by_part(subject)
    glued = {key for up in glue_ups(subject.frame) for key in up.parts}
    drilled = set(every) - glued
    housed = {key for _, key in subject.frame.housings}
    found: dict[tuple[object, ...], tuple[str, list[Work]]] = {}
    for part in subject.frame.parts:
        if part.key in drilled | housed or part.ripped is not None:
            work = Work(subject, (part.key,), every if part.key in drilled else {})
            label = subject.labels[part.key]
            found.setdefault((label, work.signature), (label, []))[1].append(work)
    return sorted(found.values(), key=lambda each: (len(each[0]), each[0]))
