"""The words of the steps: holes, fasteners and counts as a maker reads them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from sawbill.making.drilling import Drilled, Row
from sawbill.making.gluing import Glueing, Sitting
from sawbill.making.holes import BIT_STEP
from sawbill.making.job import Job
from sawbill.trade.frame import Bolted, Frame, Hung, Joint, Screwed
from sawbill.trade.lengths import System, format_length

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


def house_lines(job: Job) -> list[str]:
    """The housings of every mark, as they are laid out on one part of it."""
    return [line for each in job.drilling if each.housings for line in _housed(job, each)]


def _housed(job: Job, each: Drilled) -> Iterator[str]:
    """A heading for the parts of one mark, and the housings of the first of them."""
    units, wide = job.units, job.frame.by_key[each.parts[0]].width
    count = len(each.parts) * job.quantity
    yield f"{count} x {each.mark.name}{f', as in {each.parts[0]}' if count > 1 else ''}:"
    for row in each.housings:
        deep, high, long = (format_length(size, units) for size in (row.deep, row.wide, row.long))
        across = "from edge to edge" if row.long == wide else f"{long} long, {_starts((row.place,), row.across, units)}"
        ends = listed(list(dict.fromkeys(job.ids[key] for key in row.ends)))
        yield (
            f"- {count_text(len(row.places), 'housing')} for {ends}, {deep} deep and {high} wide, {across}, into the "
            f"{row.side}: begins {_starts(row.places, row.along, units)}"
        )


def glue_lines(job: Job) -> list[str]:
    """The glue-ups, like ones together: what becomes one, and where each part sits."""
    alike: dict[tuple[object, ...], list[Glueing]] = {}
    for each in job.gluing:
        letters = Counter(job.ids[key] for key in each.parts)
        alike.setdefault((tuple(letters.items()), "flush" if each.flush else each.rows), []).append(each)
    return [line for (letters, *_), each in alike.items() for line in _glued(job, letters, each)]


def _glued(job: Job, letters: Any, alike: Sequence[Glueing]) -> Iterator[str]:
    """A heading for glue-ups that are alike, and where the parts of the first of them sit."""
    first, count = alike[0], len(alike) * job.quantity
    parts = " + ".join(f"{n} {letter}" if n > 1 else letter for letter, n in letters)
    if first.flush:
        yield f"{count} x {parts}, flush all round"
        return
    yield f"{count} x {parts}, {'as in ' if len(alike) > 1 else ''}{first.parts[0]}:"
    for row in first.rows:
        yield f"- {_sitting(job, row)}"


def _sitting(job: Job, row: Sitting) -> str:
    """Where like parts sit on another."""
    what = f"{len(row.places)} {row.part}" if len(row.places) > 1 else row.part
    starts = _starts(row.places, row.along, job.units), _starts((row.place,), row.across, job.units)
    return f"{what} on the {row.side} of {row.onto}: begins {' and '.join(starts)}"


def _starts(places: Sequence[int], side: str, units: System) -> str:
    """How far something begins from a side."""
    if places == (0,):
        return f"level with the {side}"
    told = listed([format_length(abs(each), units) for each in places])
    return f"{told} {'beyond' if places[0] < 0 else 'from'} the {side}"


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


def fasteners_text(frame: Frame, joints: Iterable[Joint], units: System, *, into: bool = True) -> str:
    """The fasteners of joints of a frame counted, like ones together; into: whether bolts name their nuts."""
    counted: Counter[str] = Counter()
    for joint in joints:
        if isinstance(joint, Bolted):
            length = format_length(frame.bolt_length(joint), units)
            counted[f"{joint.item} {joint.size} x {length}{f' into a {joint.end}' if into else ''}"] += 1
        elif isinstance(joint, Screwed):
            counted[f"wood screw {joint.size} x {format_length(frame.screw_length(joint), units)}"] += 1
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
