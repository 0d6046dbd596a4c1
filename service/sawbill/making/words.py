"""The words of the steps: holes, fasteners and counts as a maker reads them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from sawbill.making.drilling import Drilled, Row
from sawbill.making.job import Job
from sawbill.making.operations import BIT_STEP
from sawbill.trade.frame import Bolted, Hung, Joint, Screwed
from sawbill.trade.lengths import METRE, System, format_length

DRILLED: Final = {"bolt": "for bolts", "tee nut": "for tee nuts", "screw": "for screws to pass", "pilot": "as pilots"}


def drill_lines(job: Job) -> list[str]:
    """The holes of every mark, as they are laid out on one part of it."""
    return [line for each in job.drilling if each.rows for line in _drilled(job, each)]


def _drilled(job: Job, each: Drilled) -> Iterator[str]:
    """A heading for the parts of one mark, and the holes of the first of them."""
    count = len(each.parts) * job.quantity
    mirror = f", the mirror image of {each.mark.mirror_of}" if each.mark.mirror_of else ""
    like = f"as in {each.parts[0]}" if count > 1 else each.parts[0]
    yield f"{count} x {each.mark.name}{mirror}, {like}: {count_text(each.holes, 'hole')}{' each' if count > 1 else ''}"
    for row in each.rows:
        yield f"- {_row_text(row, job.units)}"


def diameter_text(nm: int, system: System) -> str:
    """The diameter of a bit [nm] in its own system."""
    return format_length(nm, system, BIT_STEP[system])


def _row_text(row: Row, units: System) -> str:
    deep = "through" if row.depth is None else f"{format_length(row.depth, units)} deep"
    wide, places = diameter_text(row.diameter, row.system), listed([format_length(each, units) for each in row.places])
    return (
        f"{wide}, {deep}, {DRILLED[row.purpose]}, into the {row.side}: {places} from the {row.along}, "
        f"{format_length(row.place, units)} from the {row.across}"
    )


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
