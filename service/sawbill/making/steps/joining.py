"""Steps that join parts and carried pieces, in the shop and where the furniture is to stand, and take it apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from sawbill.making import cautions as say
from sawbill.making.assembly import Placed
from sawbill.making.job import Job
from sawbill.making.rates import Minutes
from sawbill.making.stages import stages
from sawbill.making.steps.step import Step
from sawbill.making.words import count_text, each_of, fasteners_text, listed
from sawbill.trade.fasteners import SLAT_STRAP, STRAP
from sawbill.trade.frame import Bolted, Housed, Hung, Joint, Screwed
from sawbill.trade.lengths import System, format_length

UNDER_TOP: Final[Mapping[System, str]] = {"inch": "2 in", "metric": "50 mm"}
"""The most that wall straps are under the top, as makers say it: STRAP_BELOW, to its safe side."""


def join(job: Job) -> Iterator[Step]:
    """What is bolted, screwed or nailed in the shop and stays."""
    lines, joints, keys = [], [], []
    for placed in job.placed:
        mine = [joint for joint in (*placed.stays, *_hangers_of(job, placed)) if _fastened(joint)]
        if mine:
            housed = any(isinstance(joint, Housed) for joint in placed.stays)
            glue = "spread glue in the housings, push the ends home, and hold them with " if housed else ""
            lines.append(f"{placed.name}: {glue}{fasteners_text(job.frame, mine, job.units)}")
            joints += mine
            keys += [key for joint in mine for key in (joint.parts[-1:] if isinstance(joint, Hung) else joint.parts)]
    if joints:
        told = f"Join what stays together when the furniture is taken apart{each_of(job)}:"
        text = "\n".join((told, *lines, *_bolting(joints)))
        yield Step("Join in the shop", text, job.names(keys), _joining(job, joints), cautions=(say.MANUALS,))


def strap_slats(job: Job) -> Iterator[Step]:
    """The straps under slats, with the slats laid out upside down."""
    straps = job.frame.slat_straps
    if not straps:
        return
    first, n = straps[0], job.quantity
    slats = [job.frame.boxes[key].span("x") for key in first.parts]
    gaps = sorted({start - end for (_, end), (start, _) in pairwise(slats)} - {0})
    apart = " to ".join(format_length(each, job.units) for each in dict.fromkeys((gaps[0], gaps[-1])))
    touching = any(start == end for (_, end), (start, _) in pairwise(slats))
    low = job.frame.boxes[first.parts[0]].low[1]
    places = listed([format_length(strap.at - low, job.units) for strap in straps])
    length = format_length(job.frame.strap_screw_length(first), job.units)
    text = (
        f"Lay the slats out upside down, {apart} apart{', those in the middle side by side' if touching else ''}"
        f"{each_of(job)}. Lay "
        f"{count_text(len(straps) * n, SLAT_STRAP)} along them, with their middles {places} from one end, and drive a "
        f"wood screw {first.screw} x {length} through the strap into each slat, {len(straps) * len(first.parts)} in "
        "all. Cut off what is left of the straps, but leave enough to fold each end under, so that it does not fray, "
        "before its last screw goes in. Rolled up with the straps inside, the slats are carried as one piece."
    )
    time = job.time(screw=len(straps) * len(first.parts) * n)
    yield Step("Strap the slats", text, job.names(first.parts), time, cautions=(say.MANUALS,))


def assemble(job: Job) -> Iterator[Step]:
    """Put it together where it will stand, piece by piece."""
    told = stages(job.frame, job.placed, job.units, job.heavy)
    joints = [joint for placed in job.placed for joint in placed.joins if not isinstance(joint, Hung)]
    pieces = sum(placed.count for placed in job.placed)
    people, lift = _people(job)
    notes = (*lift, *((say.STEADY,) if people > 1 else ()), *_tighten(job), *say.high_bed_cautions(job.frame))
    time = _joining(job, joints) + job.time(place=pieces * job.quantity)
    text = "\n".join(
        (f"Put it together where it will stand, in this order{each_of(job)}:", *(each.text for each in told),
         *_bolting(joints))
    )  # fmt: skip
    yield Step("Assemble", text, job.names(key for placed in job.placed for key in placed.parts), time,
               people=people, cautions=notes, stages=told)  # fmt: skip


def tie(job: Job) -> Iterator[Step]:
    """The straps to the wall, before anybody uses it."""
    straps = job.frame.straps
    if not straps:
        return
    parts = job.names(strap.part for strap in straps)
    text = (
        f"Stand it against the wall and tie it there with {count_text(len(straps) * job.quantity, STRAP)}, one on each "
        f"{listed(sorted({job.frame.by_key[strap.part].name for strap in straps}))} ({listed(parts)}) beside the wall, "
        f"no more than {UNDER_TOP[job.units]} under its top: level with that, into a stud or into "
        "masonry, and without slack. Take the straps off before you move it."
    )
    yield Step("Tie it to the wall", text, parts, job.time(strap=len(straps) * job.quantity), cautions=(say.STRAP,))


def take_apart(job: Job) -> Iterator[Step]:
    """The reverse of assembling."""
    pieces = sum(placed.count for placed in job.placed)
    if pieces < 2:
        return
    loose = Counter(type(joint) for placed in job.placed for joint in placed.joins)
    told = stages(job.frame, job.placed, job.units, job.heavy)[::-1]
    n = job.quantity
    time = job.time(unbolt=loose[Bolted] * n, unscrew=loose[Screwed] * n, carry=pieces * n)
    people, lift = _people(job)
    text = "\n".join((f"To take it apart again, in the reverse order{each_of(job)}:", *(each.apart for each in told)))
    yield Step("Take apart", text, job.names(key for placed in job.placed for key in placed.parts), time,
               people=people, cautions=(*lift, *((say.STEADY,) if people > 1 else ())),
               stages=told, phase="taking-apart")  # fmt: skip


def _hangers_of(job: Job, placed: Placed) -> Iterator[Hung]:
    """The hangers that are nailed to a piece for another to lie in."""
    mine = set(placed.parts)
    for other in job.placed:
        if other is not placed:
            yield from (joint for joint in other.joins if isinstance(joint, Hung) and joint.parts[-1] in mine)


def _fastened(joint: Joint) -> bool:
    return isinstance(joint, Bolted | Screwed | Hung)


def _bolting(joints: Sequence[Joint]) -> Iterator[str]:
    """How bolts go in that no wrench holds, and what goes on nuts with a cap."""
    bolts = [joint for joint in joints if isinstance(joint, Bolted)]
    if any(bolt.round_head for bolt in bolts):
        yield (
            "Knock each round-head bolt in until its head lies on the wood: its square neck then keeps it from "
            "turning. Put the washer on at the other end, and turn the nut."
        )
    if any(bolt.end == "capped nut" for bolt in bolts):
        yield "When a nut that is to have a cap is tight, press the cap on over it."


def _joining(job: Job, joints: Iterable[Joint]) -> Minutes:
    counted = Counter(type(joint) for joint in joints)
    n = job.quantity
    return job.time(bolt=counted[Bolted] * n, screw=counted[Screwed] * n, hanger=counted[Hung] * n)


def _people(job: Job) -> tuple[int, tuple[str, ...]]:
    """Two where a piece is heavy or several stand free until they are joined; and what to say of lifting."""
    lift = (say.LIFT,) if job.heavy & {placed.name for placed in job.placed} else ()
    return (2 if lift or any(placed.joins for placed in job.placed) else 1), lift


def _tighten(job: Job) -> tuple[str, ...]:
    return (say.TIGHTEN,) if any(isinstance(joint, Bolted) for joint in job.frame.joints) else ()
