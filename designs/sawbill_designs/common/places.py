"""Where things go along a line, on the marks of the shop's tape: gaps shared out, boards in a row, screws in a face."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import accumulate
from typing import Final

from sawbill.trade.boxes import AXES, Axis
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM, round_down, round_near, round_up
from sawbill_designs.common.bolt_places import Point2

TWO_SCREWS: Final = 60 * MM
"""From this width a board is held by two screws where it crosses another part (practice)."""


def shared(room: int, gaps: int, step: int) -> tuple[int, ...]:
    """Share out a room among gaps in whole steps, none a step wider than another, the same from both ends if it can be.

    What is no whole step goes to one of the narrowest, in the middle, so that no gap becomes the widest by it [nm].
    """
    each, over = divmod(room // step, gaps)
    near = {(2 * i + 1) * gaps // (2 * over) for i in range(over // 2)}
    wide = near | {gaps - 1 - i for i in near} | ({gaps // 2} if over % 2 else set())
    found = [(each + (i in wide)) * step for i in range(gaps)]
    narrow = [i for i in range(gaps) if i not in wide]
    found[min(narrow, key=lambda i: abs(2 * i + 1 - gaps))] += room % step
    return tuple(found)


def spread(low: int, room: int, width: int, count: int, step: int, *, pair: bool = False) -> tuple[int, ...]:
    """Where so many boards begin from one end of a room to the other, the middle two side by side if a pair [nm]."""
    gaps = shared(room - count * width, count - 2 if pair else count - 1, step)
    if pair:
        gaps = (*gaps[: len(gaps) // 2], 0, *gaps[len(gaps) // 2 :])
    return tuple(accumulate((width + gap for gap in gaps), initial=low))


def board_run(low: int, high: int, width: int, widest_gap: int, step: int) -> tuple[tuple[int, int], ...]:
    """Cover a surface with boards side by side: where each begins, and how wide it is [nm].

    The fewest whole boards whose gaps, all alike to a step, are no wider than the widest. Where no number of whole
    boards does it, they keep that gap and the last is ripped to what is left, or the last two alike where that would
    be less than half a board.
    """
    room = high - low
    whole = room // width
    for count in range(1, whole + 1):
        if room - count * width <= (count - 1) * widest_gap:
            starts = spread(low, room, width, count, step) if count > 1 else (low,)
            return tuple((start, width) for start in starts)
    rest = room - whole * (width + widest_gap)
    alike = whole > 0 and 2 * rest < width
    half = round_up((width + rest) // 2, step)
    widths = [width] * (whole - 1) + [half, width + rest - half] if alike else [width] * whole + [rest]
    starts = tuple(accumulate((wide + widest_gap for wide in widths[:-1]), initial=low))
    return tuple(zip(starts, widths, strict=True))


def board_heights(low: int, top: int, width: int, widest_gap: int, step: int) -> tuple[int, ...]:
    """Where boards one above the other begin, the top one first, flush with both ends [nm].

    The fewest whose gaps are no wider than the widest, or as many as there is room for. One alone is at the top.
    """
    rise = top - low
    count = min(-(-(rise + widest_gap) // (width + widest_gap)), rise // width)
    if count < 2:
        return (top - width,) * count
    gaps = shared(rise - count * width, count - 1, step)
    return tuple(accumulate((-width - gap for gap in gaps), initial=top - width))


def quarters(start: int, width: int, step: int) -> tuple[int, int]:
    """The marks next to a quarter and three quarters of a width, as far from either edge [nm]."""
    inset = round_near(width // 4, step)
    return start + inset, start + width - inset


def screw_places(start: int, width: int, step: int) -> tuple[int, ...]:
    """Where the screws across a board's width go [nm]: two at its quarters, one in the middle of a narrow board."""
    if width < TWO_SCREWS:
        return (start + round_near(width // 2, step),)
    return quarters(start, width, step)


def diagonal_places(upright: Part, board: Part, axis: Axis, step: int) -> tuple[Point2, ...]:
    """Two screws on the diagonal of a crossing, so that they do not split one line of grain [nm].

    Each as its place along the axis, which is the upright's width, and its height.
    """
    across, up = upright.placement.origin[AXES.index(axis)], board.placement.origin[2]
    return tuple(zip(quarters(across, upright.width, step), quarters(up, board.width, step), strict=True))


def clear_place(wanted: int, span: Point2, taken: Iterable[int], room: int, step: int) -> int | None:
    """The mark nearest to the wanted place, within a span, that keeps `room` from all that are taken [nm].

    None: there is no such place.
    """
    return place_off(wanted, span, ((place, room) for place in taken), step)


def place_off(wanted: int, span: Point2, taken: Iterable[Point2], step: int) -> int | None:
    """The mark nearest to the wanted place, within a span, that keeps from each taken place as much as that wants [nm].

    None: there is no such place.
    """
    off = [(place - room, place + room) for place, room in taken]
    first, last = round_up(span[0], step), round_down(span[1], step)

    def clear(n: int) -> bool:
        return first <= n <= last and not any(low < n < high for low, high in off)

    if round_near(wanted, step) == wanted and clear(wanted):
        return wanted
    near = {round_near(wanted, step), first, last}
    for low, high in off:
        near |= {round_down(low, step), round_up(high, step)}
    return next(filter(clear, sorted(near, key=lambda n: (abs(n - wanted), n))), None)


def places_off(wanted: Iterable[int], span: Point2, taken: Iterable[Point2], apart: int, step: int) -> list[int]:
    """Each wanted place moved as by `place_off`, and off those before it; fewer where there is no room [nm]."""
    taken, found = tuple(taken), list[int]()
    for each in wanted:
        place = place_off(each, span, [*taken, *((other, apart) for other in found)], step)
        found += [] if place is None else [place]
    return found
