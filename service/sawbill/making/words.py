"""The words of the steps: holes, fasteners and counts as a maker reads them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

from sawbill.making.job import Job
from sawbill.making.operations import BIT_STEP, Hole
from sawbill.trade.frame import Bolted, Hung, Joint, Screwed
from sawbill.trade.lengths import METRE, System, format_length

DRILLED: Final = {"bolt": "for bolts", "tee nut": "for tee nuts", "screw": "for screws to pass", "pilot": "as pilots"}


def drill_lines(job: Job) -> list[str]:
    """The holes, like ones in one line: how many, how wide, how deep, and where."""
    alike: dict[tuple[object, ...], list[Hole]] = {}
    for hole in job.operations.holes:
        alike.setdefault((job.ids[hole.part], *_kind(hole)), []).append(hole)
    told = [(job.ids[holes[0].part], job.quantity * len(holes), holes[0]) for holes in alike.values()]
    told.sort(key=lambda each: (len(each[0]), each[0]))
    return [f"{part}: {count_text(count, 'hole')}, {_hole_text(hole, job.units)}" for part, count, hole in told]


def _kind(hole: Hole) -> tuple[object, ...]:
    """All that is told of a hole but its part, as values that are quickly compared."""
    first, second = hole.offsets
    where = first.side, first.distance, second.side, second.distance
    return hole.purpose, hole.diameter, hole.depth, hole.into, hole.system, *where


def diameter_text(nm: int, system: System) -> str:
    """The diameter of a bit [nm] in its own system."""
    return format_length(nm, system, BIT_STEP[system])


def _hole_text(hole: Hole, units: System) -> str:
    deep = "through" if hole.depth is None else f"{format_length(hole.depth, units)} deep"
    first, second = (f"{format_length(each.distance, units)} from the {each.side}" for each in hole.offsets)
    wide = diameter_text(hole.diameter, hole.system)
    return f"{wide}, {deep}, {DRILLED[hole.purpose]}, into the {hole.into}, {first}, {second}"


def fasteners_text(job: Job, joints: Iterable[Joint], *, into: bool = True) -> str:
    """The fasteners of joints of one frame counted, like ones together; into: whether bolts name their nuts."""
    counted: Counter[str] = Counter()
    for joint in joints:
        if isinstance(joint, Bolted):
            length = format_length(job.frame.bolt_length(joint), job.units)
            counted[f"hex bolt {joint.size} x {length}{f' into a {joint.end}' if into else ''}"] += 1
        elif isinstance(joint, Screwed):
            counted[f"wood screw {joint.size} x {format_length(job.frame.screw_length(joint), job.units)}"] += 1
        elif isinstance(joint, Hung):
            counted[f"joist hanger {joint.hanger}"] += 1
    return ", ".join(f"{count} x {name}" for name, count in counted.items())


def each_of(job: Job) -> str:
    """Of a batch, that a text speaks of one of it."""
    return f" (each of the {job.quantity})" if job.quantity > 1 else ""


def count_text(number: int, word: str) -> str:
    """A number of things."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def listed(words: Sequence[str]) -> str:
    """Names as one phrase."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def square_metres(nm2: int) -> str:
    """An area [nm2] to a hundredth of a square metre."""
    return f"{round(nm2 / METRE**2, 2):g}"
