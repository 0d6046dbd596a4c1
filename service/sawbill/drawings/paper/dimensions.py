"""Dimensions beside a view: overall ones between arrows, and running ones from one end, as a tape is read."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Final

from sawbill.drawings.paper import lettering
from sawbill.drawings.paper.svg import THIN, Canvas, Stroke

GAP: Final = 1.5
"""Between an outline and its extension lines [mm]."""
PAST: Final = 2.5
"""How far extension lines pass the dimension line [mm]."""
ARROW: Final = 3.0
"""How long an arrow is, three times its width [mm]."""
PITCH: Final = 1.45 * lettering.SMALL
"""How close running dimensions are written [mm]."""
JOG: Final = 4.0
"""How long the slanting piece of an extension line is, where its text had to make room [mm]."""

Room = tuple[float, float]
"""Between which places on paper [mm]."""
ANYWHERE: Final[Room] = (-inf, inf)


def across(canvas: Canvas, left: float, right: float, outline: float, line: float, text: str) -> None:
    """An overall dimension above or below a view: from `outline`, where the view ends, to the dimension line."""
    way = 1 if line > outline else -1
    canvas.strokes(
        [(x, outline + way * GAP, x, line + way * PAST) for x in (left, right)] + [(left, line, right, line)],
        THIN, kind="dimension",
    )  # fmt: skip
    for x, toward in ((left, 1), (right, -1)):
        far, half = x + toward * ARROW, ARROW / 6
        canvas.polygon(((x, line), (far, line - half), (far, line + half)), "#000")
    if right - left > lettering.width(text, lettering.SMALL) + 2 * ARROW:
        canvas.text((left + right) / 2, line - 1, text, anchor="middle", kind="overall")
    else:
        canvas.text(right + PAST, line + lettering.SMALL / 2, text, kind="overall")


def upward(canvas: Canvas, top: float, bottom: float, outline: float, line: float, text: str) -> None:
    """An overall dimension left or right of a view, read from the right."""
    way = 1 if line > outline else -1
    canvas.strokes(
        [(outline + way * GAP, y, line + way * PAST, y) for y in (top, bottom)] + [(line, top, line, bottom)],
        THIN, kind="dimension",
    )  # fmt: skip
    for y, toward in ((top, 1), (bottom, -1)):
        far, half = y + toward * ARROW, ARROW / 6
        canvas.polygon(((line, y), (line - half, far), (line + half, far)), "#000")
    if bottom - top > lettering.width(text, lettering.SMALL) + 2 * ARROW:
        canvas.text(line - 1, (top + bottom) / 2, text, anchor="middle", turned=True, kind="overall")
    else:
        canvas.text(line - 1, top - PAST, text, turned=True, kind="overall")


def run_across(
    canvas: Canvas, places: Sequence[tuple[float, str]], outline: float, *, long: float = 9.0, within: Room = ANYWHERE
) -> list[Stroke]:
    """Running dimensions below a view, turned; places: along the view, and what is written. Their lines."""
    ordered = sorted(places)
    at = spread([x for x, _ in ordered], PITCH, within)
    elbow, end = outline + GAP + (long - JOG) / 2, outline + GAP + (long + JOG) / 2
    lines: list[Stroke] = []
    for (x, text), to in zip(ordered, at, strict=True):
        lines += [(x, outline + GAP, x, elbow), (x, elbow, to, end), (to, end, to, outline + GAP + long)]
        y = outline + GAP + long + 0.8 + lettering.width(text, lettering.SMALL)
        canvas.text(to + lettering.SMALL / 2, y, text, turned=True, kind="running")
    canvas.strokes(lines, THIN, kind="running")
    return lines


def run_upward(
    canvas: Canvas, places: Sequence[tuple[float, str]], outline: float, *, long: float = 9.0, within: Room = ANYWHERE
) -> list[Stroke]:
    """Running dimensions left of a view; places: down the paper, and what is written. Their lines."""
    ordered = sorted(places)
    at = spread([y for y, _ in ordered], PITCH, within)
    elbow, end = outline - GAP - (long - JOG) / 2, outline - GAP - (long + JOG) / 2
    lines: list[Stroke] = []
    for (y, text), to in zip(ordered, at, strict=True):
        lines += [(outline - GAP, y, elbow, y), (elbow, y, end, to), (end, to, outline - GAP - long, to)]
        canvas.text(outline - GAP - long - 0.8, to + lettering.SMALL / 2, text, anchor="end", kind="running")
    canvas.strokes(lines, THIN, kind="running")
    return lines


def length(count: int) -> float:
    """How much paper so many running dimensions take beside each other [mm]."""
    return (count - 1) * PITCH + lettering.SMALL


def spread(wanted: Sequence[float], pitch: float, within: Room = ANYWHERE) -> list[float]:
    """Places in order, no closer than a pitch, as near to where they were wanted as they can be (least squares).

    within: the first and the last place there may be; what has too little room there goes on beyond the last.
    Pool adjacent violators: Ayer, Brunk, Ewing, Reid and Silverman (1955); with bounds, what it finds is cut off at
    them (Barlow, Bartholomew, Bremner and Brunk 1972, from memory).
    """
    blocks: list[tuple[float, int]] = []
    for i, place in enumerate(wanted):
        mean, size = place - i * pitch, 1
        while blocks and blocks[-1][0] > mean:
            before, count = blocks.pop()
            mean, size = (before * count + mean * size) / (count + size), count + size
        blocks.append((mean, size))
    first, last = within[0], within[1] - (len(wanted) - 1) * pitch
    level = [max(first, min(mean, last)) for mean, size in blocks for _ in range(size)]
    return [mean + i * pitch for i, mean in enumerate(level)]
