"""Steps that make single parts: cut, housed, glued, drilled, sanded, finished."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final

from sawbill.making import cautions as say
from sawbill.making.job import Job
from sawbill.making.rates import Minutes, Rates
from sawbill.making.steps.step import Step
from sawbill.making.words import count_text, drill_lines, glue_lines, house_lines
from sawbill.trade.finishes import BARE, finishes
from sawbill.trade.frame import Bolted
from sawbill.trade.lengths import METRE, System, format_length
from sawbill.trade.measures import area_text

CLAMPED: Final[Mapping[System, str]] = {"inch": "8 to 12 in", "metric": "200 to 300 mm"}
"""How far clamps are from each other (common practice, no source)."""


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


def cut(job: Job) -> Iterator[Step]:
    """Cut all parts that are as wide as their boards."""
    cuts = [cut for cut in job.operations.cuts if cut.ripped is None]
    if cuts:
        settings = len({(cut.section.name, cut.length) for cut in cuts})
        yield cut_step(
            job.names(key for cut in cuts for key in cut.parts), job.quantity * sum(len(cut.parts) for cut in cuts),
            settings, job.rates, job.units, short=any(cut.length < say.SHORT for cut in cuts),
        )  # fmt: skip


def rip(job: Job) -> Iterator[Step]:
    """Rip blanks into strips, and cut small parts off these."""
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


def house(job: Job) -> Iterator[Step]:
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


def glue(job: Job) -> Iterator[Step]:
    """Glue up parts that are glued along each other."""
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


def drill(job: Job) -> Iterator[Step]:
    """Drill every hole, and drive tee nuts."""
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


def ease(job: Job) -> Iterator[Step]:
    """What wood that is left bare needs, so that nobody gets splinters."""
    if job.frame.finish != BARE:
        return
    text = "Break every edge a hand may touch with sandpaper on a block, and sand away what splinters."
    time = job.time(break_edges=len(job.frame.parts) * job.quantity)
    yield Step("Break the edges", text, job.names(job.ids), time, cautions=(say.DUST,))


def sand(job: Job) -> Iterator[Step]:
    """Sand bare faces that are to be finished."""
    if job.frame.finish == BARE:
        return
    area = job.operations.sanded * job.quantity
    text = f"Sand {area_text(area, job.units)} of bare faces, coarse to fine, and break every edge a hand may touch."
    time = job.time(sand_setup=1, sand=Fraction(area, METRE**2))
    yield Step("Sand", text, job.names(job.ids), time, cautions=(say.DUST,))


def finish(job: Job) -> Iterator[Step]:
    """Finish them, coat by coat."""
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
