"""A plain bunk bed of boxes, every measure a parameter, for holding the rules against: no design of ours builds it.

x runs along the bed, y across it. Posts stand at the corners outside of the mattress's room in y; the ladder is on
the left, its way in at the foot.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sawbill.trade import lumber, mattresses
from sawbill.trade.boxes import AXES, Axis, Box
from sawbill.trade.frame import Bolted, Frame, HighBed, Ladder, Market, Part, Placement, SleepingPlace
from sawbill.trade.lengths import INCH, MM

POST = 70 * MM
THICK = 38 * MM
LENGTH, WIDTH = 1905 * MM, 965 * MM


def part(key: str, low: tuple[int, int, int], high: tuple[int, int, int], along: Axis) -> Part:
    """A part that fills a box."""
    across = next(axis for axis in AXES if axis != along)
    size = {axis: b - a for axis, a, b in zip(AXES, low, high, strict=True)}
    thick = next(axis for axis in AXES if axis not in (along, across))
    section = replace(lumber.section("2x4"), width=size[across], thickness=size[thick])
    return Part(key, key, section, size[along], Placement(low, along, across))


@dataclass(frozen=True)
class Bunk:
    """The measures of the bed [nm]; heights of `gaps` and `boards` count from the base up, one after the other."""

    market: Market = "US"
    base: int = 1400 * MM
    thickness: int = 150 * MM
    boards: tuple[int, ...] = (90 * MM, 90 * MM, 90 * MM)
    gaps: tuple[int, ...] = (0, 70 * MM, 70 * MM)
    access: int = 330 * MM
    far_gap: int = 0
    end_boards: bool = True
    end_share: int = 1000
    guards: bool = True
    slat_gap: int = 60 * MM
    slat_end: int = 0
    slat_thickness: int = 38 * MM
    lower_base: int | None = None
    lower_end: int = 0
    tread_spacing: int = 233 * MM
    tread_depth: int = 95 * MM
    tread_width: int = 330 * MM
    fastened: bool = True

    @property
    def top(self) -> int:
        """How far the guards rise over the base."""
        return sum(self.boards) + sum(self.gaps)

    def _levels(self) -> list[tuple[int, int]]:
        z, found = self.base, []
        for gap, board in zip(self.gaps, self.boards, strict=True):
            found.append((z + gap, z + gap + board))
            z += gap + board
        return found

    def _walls(self) -> list[Part]:
        low, high = self.base - 90 * MM, self.base
        post_top = self.base + max(self.top, 1)
        parts = [
            part(f"post {x} {y}", (x, y, 0), (x + POST, y + POST, post_top), "z")
            for x in (0, LENGTH - POST) for y in (-POST, WIDTH)
        ]  # fmt: skip
        for side, y in (("left", -THICK), ("right", WIDTH)):
            parts.append(part(f"{side} rail", (POST, y, low), (LENGTH - POST, y + THICK, high), "x"))
        for end, x in (("head", -THICK), ("foot", LENGTH)):
            parts.append(part(f"{end} end board", (x, -POST, low), (x + THICK, WIDTH + POST, high), "y"))
        for i, (bottom, top) in enumerate(self._levels()):
            if self.guards:
                end = LENGTH - POST - self.access
                parts.append(part(f"left guard {i}", (POST, -THICK, bottom), (end, 0, top), "x"))
                parts.append(part(
                    f"right guard {i}", (POST + self.far_gap, WIDTH, bottom), (LENGTH - POST, WIDTH + THICK, top), "x",
                ))  # fmt: skip
            if self.end_boards:
                reach = WIDTH * self.end_share // 1000
                parts += [
                    part(f"{end} guard {i}", (x, 0, bottom), (x + THICK, reach, top), "y")
                    for end, x in (("head", -THICK), ("foot", LENGTH))
                ]
        return parts

    def _slats(self, word: str, base: int) -> list[Part]:
        width, parts, x, i = 90 * MM, [], 0, 0
        while x + width <= LENGTH:
            parts.append(
                part(f"{word} slat {i}", (x, self.slat_end, base - self.slat_thickness), (x + width, WIDTH, base), "y")
            )
            x, i = x + width + self.slat_gap, i + 1
        end = LENGTH - parts[-1].box.high[0]
        if end:  # a last one, ripped to what is left, closes the surface at the foot
            last = parts.pop().box.low[0]
            parts.append(part(f"{word} slat {i}", (last, 0, base - self.slat_thickness), (LENGTH, WIDTH, base), "y"))
        return parts

    def _ladder(self) -> list[Part]:
        left = LENGTH - POST - self.access
        return [
            part(f"tread {i}", (left, -POST - self.tread_depth, z), (left + self.tread_width, -POST, z + THICK), "x")
            for i, z in enumerate(range(self.tread_spacing - THICK, self.base, self.tread_spacing))
        ]

    def frame(self) -> Frame:
        """The frame, everything in the walls bolted where the bed is fastened."""
        mattress = mattresses.measured(WIDTH, LENGTH, self.thickness)
        upper = self._slats("upper", self.base)
        walls, ladder = self._walls(), self._ladder()
        places = [self._place("upper mattress", self.base, upper, mattress)]
        parts = [*walls, *upper, *ladder]
        if self.lower_base is not None:
            lower = self._slats("lower", self.lower_base)
            places.append(self._place("lower mattress", self.lower_base, lower, mattress))
            parts += lower
            if self.lower_end:  # a board across each lower end, so far over the mattress
                bottom = self.lower_base + self.thickness + self.lower_end
                parts += [
                    part(f"lower {end} board", (x, -POST, bottom), (x + THICK, WIDTH + POST, self.base - 90 * MM), "y")
                    for end, x in (("head", -THICK), ("foot", LENGTH))
                ]
        joints = tuple(
            Bolted((each.key, "post 0 0" if each.key != "post 0 0" else "left rail"), "3/8 in", (0, 0, 0), "x", 1)
            for each in walls
            if self.fastened or "guard" not in each.key
        )
        keys = tuple(each.key for each in ladder)
        high = (HighBed("upper mattress", self.market, Ladder(keys, keys)),)
        return Frame(tuple(parts), joints, (), tuple(places), high)

    def _place(self, name: str, base: int, slats: list[Part], mattress: mattresses.Mattress) -> SleepingPlace:
        opening = Box((0, 0, base), (LENGTH, WIDTH, base + self.thickness))
        return SleepingPlace(name, mattress, opening, tuple(each.key for each in slats), self.slat_gap)


def inches(text: str) -> int:
    """A decimal number of inches [nm], exact for up to four decimals."""
    whole, _, part_ = text.partition(".")
    return int(whole or 0) * INCH + int((part_ + "0000")[:4]) * INCH // 10_000
