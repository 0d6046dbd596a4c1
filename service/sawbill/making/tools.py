"""The tools that the operations of a frame take: how many of each, of what size, and what for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from sawbill.making.job import Job
from sawbill.making.operations import Hole
from sawbill.making.words import DRILLED, diameter_text, listed
from sawbill.trade import fasteners
from sawbill.trade.finishes import BARE
from sawbill.trade.frame import Bolted, Hung, Screwed
from sawbill.trade.lengths import format_length


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool, with its size in words where it has one, how many, and what for.

    counts: how many of each thing it is for, of any number of lines; told: what else is said of these, after a number
    by which that of one line stands for all.
    """

    name: str
    size: str | None
    quantity: int
    task: str = ""
    counts: tuple[tuple[str, int], ...] = ()
    told: tuple[int, str] = (0, "")

    @property
    def use(self) -> str:
        """What it is for, in words."""
        return self.task + listed([f"{number} {thing}" for thing, number in self.counts]) + self.told[1]


SAWING = (
    Tool("tape measure", None, 1, "measuring and marking"),
    Tool("square", None, 1, "marking, and checking corners"),
    Tool("saw for cross cuts", None, 1, "cutting to length, with a stop"),
    Tool("eye protection", None, 1, "sawing and drilling"),
    Tool("hearing protection", None, 1, "sawing and sanding"),
)
"""What the first step takes, whatever is made."""


def frame_tools(job: Job) -> tuple[Tool, ...]:
    """The tools of a frame, in the order in which they are first taken up."""
    makes = (_sawing, _housing, _gluing, _drilling, _faces, _joining)
    return together(tool for make in makes for tool in make(job))


def together(tools: Iterable[Tool]) -> tuple[Tool, ...]:
    """Tools of several lines: a tool serves them all, so that the most any needs is enough."""
    alike: dict[tuple[str, str | None], list[Tool]] = {}
    for tool in tools:
        alike.setdefault((tool.name, tool.size), []).append(tool)
    return tuple(_one(each) for each in alike.values())


def _one(tools: Sequence[Tool]) -> Tool:
    """One tool in place of several that are alike."""
    counts = Counter[str]()
    for tool in tools:
        counts.update(dict(tool.counts))
    task = "; ".join(dict.fromkeys(tool.task for tool in tools if tool.task))
    most = max(tool.quantity for tool in tools)
    told = max((tool.told for tool in tools), key=lambda each: each[0])
    return Tool(tools[0].name, tools[0].size, most, task, tuple(counts.items()), told)


def _sawing(job: Job) -> Iterator[Tool]:
    yield from SAWING
    if any(cut.ripped is not None for cut in job.operations.cuts):
        yield Tool("saw with a rip fence", None, 1, "ripping small parts")
        yield Tool("push stick", None, 2, "ripping small parts")


def _housing(job: Job) -> Iterator[Tool]:
    housings = job.operations.housings
    if housings:
        counts = (("housings", len(housings) * job.quantity),)
        deep = max(each.deep for each in housings)
        told = deep, f", {format_length(deep, job.units)} deep"
        yield Tool("router with a straight bit, or fine saw and chisel", None, 1, counts=counts, told=told)
        yield Tool("straight guide, and two clamps for it", None, 1, "housings, square across the part")


def _gluing(job: Job) -> Iterator[Tool]:
    faces = [face for up in job.operations.glue_ups for face in up.faces]
    if faces:
        widest = max(faces, key=lambda face: face.clamps)
        least, most = widest.clamps
        told = f"{least} to {most}" if most > least else f"{least}"
        reach = format_length(widest.length, job.units)
        longest = widest.length, f"; the longest, {reach}, takes {told}"
        yield Tool("clamp", None, least, "one glued face after another", told=longest)
        yield Tool("glue brush or roller", None, 1, "spreading glue")


def _drilling(job: Job) -> Iterator[Tool]:
    if not job.operations.holes:
        return
    yield Tool("drill", None, 1, "holes, and driving screws")
    bits: dict[tuple[str, int], list[Hole]] = {}
    for hole in job.operations.holes:
        bits.setdefault((hole.system, hole.diameter), []).append(hole)
    for (_, diameter), holes in sorted(bits.items()):
        counted = Counter(f"holes {DRILLED[hole.purpose]}" for hole in holes)
        reach = max(_depth(job, hole) for hole in holes)
        told = reach, f"; it reaches {format_length(reach, job.units)}"
        size = diameter_text(diameter, holes[0].system)
        yield Tool("drill bit", size, 1, counts=_of_all(job, counted), told=told)


def _of_all(job: Job, counted: Mapping[str, int]) -> tuple[tuple[str, int], ...]:
    """What is counted of one, of all that are made."""
    return tuple((thing, number * job.quantity) for thing, number in counted.items())


def _depth(job: Job, hole: Hole) -> int:
    """How deep a hole goes [nm], through the part if it is that."""
    if hole.depth is not None:
        return hole.depth
    part = job.frame.by_key[hole.part]
    return {"end": part.length, "edge": part.width, "face": part.section.thickness}[hole.into]


def _faces(job: Job) -> Iterator[Tool]:
    if job.frame.finish == BARE:
        yield Tool("sanding block and sandpaper", None, 1, "edges")
    else:
        yield Tool("sander or sanding block", None, 1, "bare faces and edges")
    yield Tool("dust mask", None, 1, "sanding and sawing")
    if job.frame.finish != BARE:
        yield Tool("brush for finish", None, 1, "finishing")


def _joining(job: Job) -> Iterator[Tool]:
    bolts = [joint for joint in job.frame.joints if isinstance(joint, Bolted)]
    for size in sorted({joint.size for joint in bolts}, key=lambda name: fasteners.bolt_sizes()[name].diameter):
        mine = [joint for joint in bolts if joint.size == size]
        across = fasteners.bolt_sizes()[size].across_flats
        hold = 2 if any(joint.end != "tee nut" and not joint.round_head for joint in mine) else 1
        counted = dict(sorted(Counter(f"{joint.item}s {size}" for joint in mine).items()))
        nuts = (1, ", and their nuts") if any(joint.end != "tee nut" for joint in mine) else (0, "")
        wide = f"{diameter_text(across, fasteners.bolt_sizes()[size].system)} across flats"
        yield Tool("wrench", wide, hold, counts=_of_all(job, counted), told=nuts)
    screws = Counter(joint.size for joint in job.frame.joints if isinstance(joint, Screwed))
    for strap in job.frame.slat_straps:
        screws[strap.screw] += len(strap.parts)
    if screws:
        for size, count in screws.items():
            counted = {f"wood screws {size}": count}
            yield Tool("driver bit", None, 1, counts=_of_all(job, counted), told=(0, ", to fit their heads"))
    if job.frame.slat_straps:
        yield Tool("scissors", None, 1, "slat straps")
    if job.frame.straps:
        yield Tool("stud finder", None, 1, "where wall straps go, clear of pipes and cables")
    struck = [
        *(["tee nuts"] if any(joint.end == "tee nut" for joint in bolts) else []),
        *(["round-head bolts"] if any(joint.round_head for joint in bolts) else []),
        *(["hanger nails"] if any(isinstance(joint, Hung) for joint in job.frame.joints) else []),
    ]
    for each in struck:
        yield Tool("hammer", None, 1, each)
