"""The frame is built again from the numbers on its sheets alone, and comes out as it was: every part, every hole."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from functools import cache
from itertools import product

import pytest
from tests.drawings.read import Drawing, number, numbers, spans
from tests.drawings.subjects import NAMES, of, subject

from sawbill.drawings.shop.sheets import part_sheets, piece_sheets, place_sheets
from sawbill.drawings.subject import Subject
from sawbill.making.operations import Offset, operations
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.frame import Bolted, Screwed, Sides
from sawbill.trade.lengths import INCH, MM, STEP, System

FRONT, BACK = ((0, 1), (2, 1), (1, 1)), ((0, -1), (2, 1), (1, -1))
LEFT, RIGHT = ((1, -1), (2, 1), (0, 1)), ((1, 1), (2, 1), (0, -1))
ABOVE = ((0, 1), (1, 1), (2, -1))
"""By where one stands: along which axis of the frame, and which way, start, up and deep are counted."""
SIDES = {"left-hand side": (0, 1), "right-hand side": (0, -1), "underside": (1, 1), "top": (1, -1), "seen face": (2, 1),
         "far face": (2, -1)}  # fmt: skip
"""By the face a drill goes in at: along which of them it goes, and which way."""
Box = tuple[tuple[int, int], ...]


class Rebuilt:
    """Parts and holes as read. parts: by letter the boxes; holes: by letter, what is drilled where [nm]."""

    def __init__(self, system: System, sides: Sides) -> None:
        self.system = system
        self.ways = {
            f"from the {sides.y[0]}": FRONT, f"from the {sides.y[1]}": BACK, f"from the {sides.x[0]}": LEFT,
            f"from the {sides.x[1]}": RIGHT, "from above": ABOVE,
        }  # fmt: skip
        self.columns = (f"from the {sides.x[0]}", f"from the {sides.y[0]}", "above the floor")
        self.parts: dict[str, list[Box]] = defaultdict(list)
        self.holes: Counter[tuple[str, int, int | None, int, int]] = Counter()
        self.entries: dict[tuple[int, int], list[tuple[int, ...]]] = defaultdict(list)

    def read(self, pages: list[Drawing], *, known: bool) -> None:
        """One sheet and what continues it. known: its parts may be there already, from the sheet of their piece."""
        rows = {
            name: [row for page in pages for row in page.table(name)] for name in ("PARTS", "HOLES", "WHERE THEY STAND")
        }
        rows["WHERE THEY STAND"] += [row for page in pages for row in one_line(page)]
        for stand in rows["WHERE THEY STAND"]:
            places = (spans(stand[name], self.system) for name in self.columns)
            for whole in product(*places):
                mine = [
                    (row["part"].split("\u00a0")[0], in_frame(local, whole, self.ways[stand["seen"]]))
                    for row in rows["PARTS"]
                    for local in product(*(spans(row[name], self.system) for name in ("start", "up", "deep")))
                ]
                if known and all(self.has(letter, box) for letter, box in mine):
                    continue
                for letter, box in mine:
                    self.parts[letter].append(box)
                for row in rows["HOLES"]:
                    self.drill(row, whole, stand["seen"], mine)

    def has(self, letter: str, box: Box) -> bool:
        return box in self.parts[letter]

    def drill(self, row: dict[str, str], whole: Box, seen: str, parts: list[tuple[str, Box]]) -> None:
        """The holes of a row, each in the part of its letter that stands where the drill goes."""
        which, sign = SIDES[row["drilled from"]]
        axis, along = self.ways[seen][which]
        for local in product(*(numbers(row[name], self.system) for name in ("start", "up", "deep"))):
            at = tuple(each[0] for each in in_frame([(value, value) for value in local], whole, self.ways[seen]))
            self.entries[axis, sign * along].append(at)
            for words in row["holes"].split("; "):
                told = re.fullmatch(r"(\S+) (\S+?)(?: through|, (.+?) deep)(?: from the .+?)?(?: \((\d+) layers\))?",
                                    words)  # fmt: skip
                assert told, words
                letter, bit, depth, layers = told.groups()
                hit = [box for name, box in parts if name == letter and through(box, at, axis)]
                assert len(hit) == int(layers or 1) or (len(hit) > 1 and not layers), (words, at, hit)
                for box in hit[: int(layers or 1)]:
                    offsets = [min(at[k] - box[k][0], box[k][1] - at[k]) for k in range(3) if k != axis]
                    deep = number(depth, self.system) if depth else None
                    self.holes[letter, number(bit, self.system), deep, *sorted(offsets)] += 1  # type: ignore[index]


def one_line(page: Drawing) -> list[dict[str, str]]:
    """Where pieces stand, if a sheet says it in lines and not in a table."""
    found = []
    for name in ("WHERE IT STANDS", "WHERE THEY STAND"):
        for line in (line for remark in page.remarks(name) for line in remark.split(". ")):
            cells = line.split("; ")
            if len(cells) == 4:
                places = {f"{words} {end}": cell for cell, words, end in map(ended, cells[:3])}
                found.append({**places, "seen": cells[3].removeprefix("seen ")})
    return found


def ended(cell: str) -> tuple[str, str, str]:
    """Spans, and the three words that say from where."""
    told, one, two, three = cell.rsplit(" ", 3)
    return told, f"{one} {two}", three


def in_frame(local: object, whole: Box, ways: tuple[tuple[int, int], ...]) -> Box:
    """From start, up and deep to the axes of the frame."""
    found: list[tuple[int, int]] = [(0, 0)] * 3
    for (axis, sign), (low, high) in zip(ways, local, strict=True):  # type: ignore[call-overload]
        begin, end = whole[axis]
        found[axis] = (begin + low, begin + high) if sign > 0 else (end - high, end - low)
    return tuple(found)


def through(box: Box, at: tuple[int, ...], axis: int) -> bool:
    return all(box[k][0] < at[k] < box[k][1] for k in range(3) if k != axis)


@cache
def rebuilt(name: str, system: System = "inch", step: int | None = None) -> Rebuilt:
    """Everything, from the words on the sheets; read once for what several tests look for in it."""
    drawn = subject(name, system, step)
    found = Rebuilt(drawn.system, drawn.frame.sides)
    for sheets, known in ((piece_sheets(drawn), False), (part_sheets(drawn), True)):
        by_sheet: dict[str, list[Drawing]] = defaultdict(list)
        for page in sheets:
            by_sheet[re.sub(r"(, sheet \d+)$", "", page.title)].append(Drawing(page.svg))
        for pages in by_sheet.values():
            found.read(pages, known=known)
    for page in place_sheets(drawn):
        for row in Drawing(page.svg).table("WHERE EACH PIECE STANDS"):
            for box in product(*(spans(row[name], drawn.system) for name in found.columns)):
                if " " not in row["parts"] and not found.has(row["parts"], box):
                    found.parts[row["parts"]].append(box)
    return found


@pytest.mark.parametrize(
    ("name", "system", "step"),
    [
        *product(NAMES, ("inch", "metric"), (None,)),
        ("slatted-bed", "inch", INCH // 32),
        ("slatted-bed", "metric", MM // 2),
    ],
)
def test_the_sheets_alone_give_every_part_in_its_place(name: str, system: System, step: int | None) -> None:
    drawn = subject(name, system, step)
    low = drawn.frame.bounds.low
    found = rebuilt(name, system, step)
    wanted: dict[str, list[Box]] = defaultdict(list)
    for key, box in drawn.frame.boxes.items():
        spans_ = tuple((a - c, b - c) for a, b, c in zip(box.low, box.high, low, strict=True))
        wanted[drawn.labels[key]].append(spans_)
    assert {letter: sorted(boxes) for letter, boxes in found.parts.items() if boxes} == {
        letter: sorted(boxes) for letter, boxes in wanted.items()
    }


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_the_sheets_alone_give_every_hole_as_the_drill_list_has_it(name: str, system: System) -> None:
    drawn = subject(name, system)
    found = rebuilt(name, system).holes
    bit = STEP[system] // (4 if system == "inch" else 2)

    def to(value: int, step: int) -> int:
        return (2 * value + step) // (2 * step) * step

    wanted = Counter(
        (drawn.labels[hole.part], to(hole.diameter, bit), None if hole.depth is None else to(hole.depth, bit),
         *sorted(nearer(drawn, hole.part, offset) for offset in hole.offsets))
        for hole in operations(drawn.frame).holes
    )  # fmt: skip
    assert found == wanted


def nearer(drawn: Subject, key: str, offset: Offset) -> int:
    """How far a hole is from the nearer of two opposite sides, whichever the drill list counts from [nm]."""
    part = drawn.frame.by_key[key]
    across = {"end": part.length, "edge": part.width, "face": part.section.thickness}
    return min(offset.distance, across[offset.side.rpartition(" ")[2]] - offset.distance)


@pytest.mark.parametrize("name", NAMES)
def test_every_bolt_and_screw_goes_in_where_a_sheet_says(name: str) -> None:
    drawn = subject(name)
    low = drawn.frame.bounds.low
    entries = rebuilt(name).entries
    for joint in drawn.frame.joints:
        if isinstance(joint, Bolted | Screwed):
            at = [a - b for a, b in zip(joint.head, low, strict=True)]
            told = entries["xyz".index(joint.axis), joint.toward]
            assert tuple(at) in told, joint


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_every_housing_is_cut_again_from_the_sheet_of_its_stile(system: System) -> None:
    frame = designs()["loft-bed"].frame({"treads": "housed"}, reading(system))
    drawn = of(frame, "loft", system)
    stiles = {drawn.labels[key] for _, key in frame.housings}
    found: set[Box] = set()
    for page in map(Drawing, (sheet.svg for sheet in part_sheets(drawn))):
        (stand, *_) = [*page.table("WHERE THEY STAND"), *one_line(page)]
        ways, columns = Rebuilt(system, frame.sides).ways[stand["seen"]], Rebuilt(system, frame.sides).columns
        for row in page.table("HOUSINGS"):
            assert row["in part"] in stiles
            for whole in product(*(spans(stand[name], system) for name in columns)):
                for local in product(*(spans(row[name], system) for name in ("start", "up", "deep"))):
                    found.add(in_frame(local, whole, ways))
                    way, sign = SIDES[row["into its"]]
                    axis, _ = ways[way]
                    assert local[way][0 if sign > 0 else 1] == (0 if sign > 0 else whole[axis][1] - whole[axis][0])
            assert {each.kind for each in page.strokes} >= {"housing"}
    start = frame.bounds.low
    cuts = (zip(start, cut.low, cut.high, strict=True) for cut in frame.housings.values())
    assert found == {tuple((low - zero, high - zero) for zero, low, high in cut) for cut in cuts}
