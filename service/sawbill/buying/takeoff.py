"""The take-off: from frames to what has to be cut, what holds it together, what is glued and finished."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Final

from sawbill.asked.lines import Line, Need
from sawbill.making.operations import areas_of
from sawbill.trade import fasteners
from sawbill.trade.finishes import BARE
from sawbill.trade.frame import Bolted, Fastener, Frame, Hung, Part, Screwed
from sawbill.trade.lengths import round_down, round_up
from sawbill.trade.lumber import Material, Section


@dataclass(frozen=True, slots=True)
class CutLine:
    """Parts cut alike: `id` names them through the whole quote.

    line: the line of the request they belong to, counted from 0; length: as it is set at the saw [nm];
    ripped: the width they are ripped to, None for the section's own [nm]; keys: their parts in one frame,
    empty for parts that the request gave itself; quantity: of all the frames of the line together; least: the
    shortest they may be cut [nm]; species, grades: of the wood that will do, empty where the request's hold;
    may_be: the woods of which the frame holds, None for any.
    """

    id: str
    line: int
    name: str
    section: Section
    length: int
    quantity: int
    ripped: int | None = None
    keys: tuple[str, ...] = ()
    least: int | None = None
    species: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()
    may_be: tuple[Material, ...] | None = None


@dataclass(frozen=True, slots=True)
class TakeOff:
    """All that the lines of a request need; glued: faces glued, exposed: faces left bare [nm2].

    finished: of these, what each finish covers, by its name [nm2].
    """

    cut_list: tuple[CutLine, ...]
    hardware: tuple[tuple[Need, int], ...]
    glued: int
    exposed: int
    finished: tuple[tuple[str, int], ...] = ()


def take_off(lines: Iterable[Line], step: int) -> TakeOff:
    """Measure the lines of a request, cut lengths set to the shop's step [nm], each to its safe side."""
    lines = tuple(lines)
    ids = count()
    cut_list = tuple(cut for number, line in enumerate(lines) for cut in _cuts(number, line, step, ids))
    needs: Counter[Need] = Counter()
    for line in lines:
        per_item = frame_hardware(line.frame) if line.frame else Counter[Need]()
        for need, quantity in line.hardware:
            per_item[need] += quantity
        for need, quantity in per_item.items():
            needs[need] += quantity * line.quantity
    areas = [(line.frame.finish, line.quantity, *areas_of(line.frame)) for line in lines if line.frame]
    finished: Counter[str] = Counter()
    for finish, quantity, _, bare in areas:
        if finish != BARE:
            finished[finish] += bare * quantity
    return TakeOff(
        cut_list,
        tuple(
            sorted(
                needs.items(),
                key=lambda item: (ITEM_ORDER.index(item[0].item), item[0].size, item[0].length or 0),
            )
        ),
        glued=sum(glued * quantity for _, quantity, glued, _ in areas),
        exposed=sum(bare * quantity for _, quantity, _, bare in areas),
        finished=tuple(sorted(finished.items())),
    )


ITEM_ORDER: Final = tuple(fasteners.ITEMS)


def frame_hardware(frame: Frame) -> Counter[Need]:
    """Count the fasteners of one frame: each bolt with its washers and nut, each hanger with its nails; its straps."""
    needs: Counter[Need] = Counter()
    alike: Counter[object] = Counter()
    joints: dict[object, Fastener | Hung] = {}
    for joint in frame.joints:
        if isinstance(joint, Fastener | Hung):
            kind = _kind(frame, joint)
            alike[kind] += 1
            joints.setdefault(kind, joint)
    for kind, joint in joints.items():
        for need, quantity in _needs(frame, joint):
            needs[need] += quantity * alike[kind]
    if frame.straps:
        needs[Need(fasteners.STRAP, "", None)] = len(frame.straps)
    for strap in frame.slat_straps:
        needs[Need(fasteners.SLAT_STRAP, "", None)] += 1
        needs[Need("wood screw", strap.screw, frame.strap_screw_length(strap))] += len(strap.parts)
    return needs


def _kind(frame: Frame, joint: Fastener | Hung) -> object:
    """What is the same for joints that take the same fasteners: a frame has hundreds, of a few kinds."""
    if isinstance(joint, Bolted):
        return joint.size, joint.end, joint.large_washers, joint.round_head, frame.grip(joint)
    if isinstance(joint, Screwed):
        return joint.size, *frame.through(joint)
    return joint.hanger


def _needs(frame: Frame, joint: Fastener | Hung) -> Iterator[tuple[Need, int]]:
    """What one joint takes."""
    if isinstance(joint, Bolted):
        nut, washer = joint.end == "tee nut", "large washer" if joint.large_washers else "washer"
        yield Need(joint.item, joint.size, frame.bolt_length(joint)), 1
        yield Need("tee nut" if nut else "hex nut", joint.size, None), 1
        yield Need(washer, joint.size, None), 1 if nut or joint.round_head else 2
        if joint.end == "capped nut":
            yield Need(fasteners.NUT_CAP, joint.size, None), 1
    elif isinstance(joint, Screwed):
        yield Need("wood screw", joint.size, frame.screw_length(joint)), 1
    else:
        hanger = fasteners.hangers()[joint.hanger]
        yield Need("joist hanger", hanger.name, None), 1
        yield Need("hanger nail", "", hanger.nail_length), hanger.face_nails


def letters(number: int) -> str:
    """Name a part by its place in the cut list: A to Z, then AA, AB and on."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def _cuts(number: int, line: Line, step: int, ids: Iterator[int]) -> list[CutLine]:
    """Group the parts of a line that are cut alike, in the order in which they first appear."""
    grouped: dict[tuple[str, str, int, int | None], list[Part]] = {}
    for part in line.frame.parts if line.frame else ():
        cut = round_down(part.length, step) if part.rounding == "down" else round_up(part.length, step)
        grouped.setdefault((part.name, part.section.name, cut, part.ripped), []).append(part)
    found = [
        CutLine(
            letters(next(ids)), number, name, parts[0].section, cut, len(parts) * line.quantity, ripped,
            tuple(part.key for part in parts), _least(parts, step), line.species, line.grades,
        )
        for (name, _, cut, ripped), parts in grouped.items()
    ]  # fmt: skip
    found += [
        CutLine(
            letters(next(ids)), number, own.name, own.section, own.length, own.quantity * line.quantity,
            least=own.least, species=own.species or line.species, grades=own.grades or line.grades,
        )
        for own in line.parts
    ]  # fmt: skip
    return found


def lettered(cut_list: Iterable[CutLine]) -> tuple[CutLine, ...]:
    """Name cut lines anew, in their order."""
    return tuple(replace(cut, id=letters(number)) for number, cut in enumerate(cut_list))


def _least(parts: Sequence[Part], step: int) -> int | None:
    """The shortest that like parts may all be cut."""
    shortest = [round_up(part.least, step) for part in parts if part.least is not None]
    return max(shortest) if len(shortest) == len(parts) else None
