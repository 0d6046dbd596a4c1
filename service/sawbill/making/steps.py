"""The steps of making in their order, each with its people, time, parts and cautions.

Glue comes before the drill, so that one hole passes all glued layers in line. In a batch, set-ups (a stop, a fence,
a bit, glue and finish laid out) are counted once for a line of the request and everything else once for each of its
items; waiting is not multiplied, but for clamps that go from one glue-up to the next.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from sawbill.making import cautions as say
from sawbill.making.assembly import Placed
from sawbill.making.job import Job
from sawbill.making.rates import Minutes, Phase, Rates
from sawbill.making.stages import Stage, stages
from sawbill.making.words import count_text, drill_lines, each_of, fasteners_text, glue_lines, house_lines, listed
from sawbill.trade.fasteners import SLAT_STRAP, STRAP
from sawbill.trade.finishes import BARE, finishes
from sawbill.trade.frame import Bolted, Housed, Hung, Joint, Screwed
from sawbill.trade.lengths import METRE, System, format_length
from sawbill.trade.measures import area_text

UNDER_TOP: Final[Mapping[System, str]] = {"inch": "2 in", "metric": "50 mm"}
"""The most that wall straps are under the top, as makers say it: STRAP_BELOW, to its safe side."""
CLAMPED: Final[Mapping[System, str]] = {"inch": "8 to 12 in", "metric": "200 to 300 mm"}
"""How far clamps are from each other (common practice, no source)."""
NONE: Final = Minutes()


@dataclass(frozen=True, slots=True)
class Step:
    """One step; parts: ids of the cut list; hands_on: of all its people together, waiting: while nobody works [min].

    stages: of putting together, or of taking apart, in their order.
    """

    title: str
    text: str
    parts: tuple[str, ...]
    hands_on: Minutes
    waiting: Minutes = NONE
    people: int = 1
    cautions: tuple[str, ...] = ()
    stages: tuple[Stage, ...] = ()
    phase: Phase = "making"

    @property
    def apart(self) -> bool:
        """Whether it takes the furniture apart."""
        return self.phase == "taking-apart"


def frame_steps(job: Job) -> tuple[Step, ...]:
    """Every step from the first mark to taking apart; a step with nothing to do is left out."""
    makers = (
        _cut,
        _rip,
        _house,
        _glue,
        _drill,
        _ease,
        _sand,
        _finish,
        _join,
        _strap_slats,
        _assemble,
        _tie,
        _take_apart,
    )
    return tuple(step for make in makers for step in make(job))


def cut_step(
    parts: Sequence[str], pieces: int, settings: int, rates: Rates, units: System, *, short: bool
) -> Step:  # fmt: skip
    """Measure, mark and cut: ids of the parts, pieces in all, and lengths that the stop is set to."""
    text = (
        f"Square one end of each board, set the stop to each of {count_text(settings, 'length')} of the cut list, and "
        f"cut {count_text(pieces, 'part')} in the order of the cutting plan. Letter every part as it is cut."
    )
    time = rates["saw_setup"] * settings + (rates["mark"] + rates["cut"]) * pieces
    cautions = (say.MANUALS, *((say.told(say.SHORT_PIECES, units),) if short else ()))
    return Step("Measure, mark and cut", text, tuple(parts), time, cautions=cautions)


def _cut(job: Job) -> Iterator[Step]:
    cuts = [cut for cut in job.operations.cuts if cut.ripped is None]
    if cuts:
        settings = len({(cut.section.name, cut.length) for cut in cuts})
        yield cut_step(
            job.names(key for cut in cuts for key in cut.parts), job.quantity * sum(len(cut.parts) for cut in cuts),
            settings, job.rates, job.units, short=any(cut.length < say.SHORT for cut in cuts),
        )  # fmt: skip


def _rip(job: Job) -> Iterator[Step]:
    cuts = [cut for cut in job.operations.cuts if cut.ripped is not None]
    if not cuts:
        return
    count = job.quantity * sum(len(cut.parts) for cut in cuts)
    widths = sorted({cut.ripped or 0 for cut in cuts})
    told = ", ".join(format_length(width, job.units) for width in widths)
    parts = count_text(count, "small part")
    text = f"Rip the blanks of the cutting plan into strips {told} wide, and cut {parts} of them."
    time = job.time(rip_setup=len(widths), saw_setup=len({cut.length for cut in cuts}), rip=count)
    keys = (key for cut in cuts for key in cut.parts)
    yield Step(
        "Rip small parts",
        text,
        job.names(keys),
        time,
        cautions=tuple(say.told(each, job.units) for each in (say.RIPPING, say.SHORT_PIECES)),
    )


def _house(job: Job) -> Iterator[Step]:
    """Housings, before anything is glued: with a guide at each, all of one width and depth at one setting."""
    housings = job.operations.housings
    if not housings:
        return
    text = (
        "Cut the housings across the faces named, square and of one depth, with a router along a guide, or with a fine "
        "saw down both sides and a chisel between. Lay both parts of a pair side by side and mark them together. Try "
        "each end in its housing: it goes in by hand and does not rattle.\n" + "\n".join(house_lines(job))
    )
    time = job.time(house_setup=len({(each.wide, each.deep) for each in housings}), house=len(housings) * job.quantity)
    yield Step("Cut the housings", text, job.names(each.part for each in housings), time, cautions=(say.ROUTING,))


def _glue(job: Job) -> Iterator[Step]:
    ups = job.operations.glue_ups
    if not ups:
        return
    faces = [face for up in ups for face in up.faces]
    long, short = sum(not face.short for face in faces), sum(face.short for face in faces)
    area = sum(face.area for face in faces) * job.quantity
    text = "\n".join((
        f"Spread both faces, bring them together flush and clamp them every {CLAMPED[job.units]}, the longest faces "
        f"first; {area_text(area, job.units)} of glue line in all. Leave the clamps on for the time the glue says.",
        *glue_lines(job),
    ))  # fmt: skip
    rounds = max(1, long * job.quantity)
    clamped, rest = job.rates["clamp_time"], job.rates["glue_rest"]
    wait = Minutes(max(rest.least, clamped.least), max(rest.most, clamped.most) + clamped.most * (rounds - 1))
    time = job.time(glue_setup=1, glue_face=long * job.quantity, glue_block=short * job.quantity)
    yield Step("Glue up", text, job.names(key for up in ups for key in up.parts), time, wait,
               cautions=(say.GLUE_WAIT,))  # fmt: skip


def _drill(job: Job) -> Iterator[Step]:
    holes = job.operations.holes
    if not holes:
        return
    told = "\n".join(drill_lines(job))
    text = (
        "Number the parts of one letter that are drilled differently, as they are listed here. Sides are named as the "
        f"part stands in the furniture, left and right as seen from {job.frame.sides.seen_from}. Lay out every hole "
        "from the sides named, and drill bolt holes square and in line through all that the bolt joins; drive tee nuts "
        "into the far face, from where the bolt's tip comes out.\n" + told
    )
    tees = sum(isinstance(joint, Bolted) and joint.end == "tee nut" for joint in job.frame.joints)
    time = job.time(
        drill_setup=len({hole.diameter for hole in holes}),
        drill=len(holes) * job.quantity,
        tee_nut=tees * job.quantity,
    )
    yield Step("Drill", text, job.names(hole.part for hole in holes), time, cautions=(say.DRILLING,))


def _ease(job: Job) -> Iterator[Step]:
    """What wood that is left bare needs, so that nobody gets splinters."""
    if job.frame.finish != BARE:
        return
    text = "Break every edge a hand may touch with sandpaper on a block, and sand away what splinters."
    time = job.time(break_edges=len(job.frame.parts) * job.quantity)
    yield Step("Break the edges", text, job.names(job.ids), time, cautions=(say.DUST,))


def _sand(job: Job) -> Iterator[Step]:
    if job.frame.finish == BARE:
        return
    area = job.operations.sanded * job.quantity
    text = f"Sand {area_text(area, job.units)} of bare faces, coarse to fine, and break every edge a hand may touch."
    time = job.time(sand_setup=1, sand=Fraction(area, METRE**2))
    yield Step("Sand", text, job.names(job.ids), time, cautions=(say.DUST,))


def _finish(job: Job) -> Iterator[Step]:
    if job.frame.finish == BARE:
        return
    area, finish = job.operations.sanded * job.quantity, finishes()[job.frame.finish]
    text = (
        f"Finish {area_text(area, job.units)} with {finish.coats} coats of {finish.item}, and let each dry as its "
        "container says; sand lightly between them."
    )
    time = job.time(finish_setup=1, finish=Fraction(area * finish.coats, METRE**2))
    wait = job.time(finish_drying=finish.coats)
    yield Step("Finish", text, job.names(job.ids), time, wait, cautions=(say.FINISHING,), phase="finishing")


def _join(job: Job) -> Iterator[Step]:
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


def _strap_slats(job: Job) -> Iterator[Step]:
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


def _assemble(job: Job) -> Iterator[Step]:
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


def _tie(job: Job) -> Iterator[Step]:
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


def _take_apart(job: Job) -> Iterator[Step]:
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
