"""The tools that the operations of a frame take: how many of each, of what size, and what for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
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
    """A tool, with its size in words where it has one, how many, and what for."""

    name: str
    size: str | None
    quantity: int
    use: str


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
    return tuple(tool for make in (_sawing, _housing, _gluing, _drilling, _faces, _joining) for tool in make(job))


def together(tools: Iterable[Tool]) -> tuple[Tool, ...]:
    """Tools of several lines: a tool serves them all, so that the most any needs is enough."""
    found: dict[tuple[str, str | None], Tool] = {}
    for tool in tools:
        before = found.setdefault((tool.name, tool.size), tool)
        uses = before.use if tool.use in before.use else f"{before.use}; {tool.use}"
        found[tool.name, tool.size] = Tool(tool.name, tool.size, max(before.quantity, tool.quantity), uses)
    return tuple(found.values())


def _sawing(job: Job) -> Iterator[Tool]:
    yield from SAWING
    if any(cut.ripped is not None for cut in job.operations.cuts):
        yield Tool("saw with a rip fence", None, 1, "ripping small parts")
        yield Tool("push stick", None, 2, "ripping small parts")


def _housing(job: Job) -> Iterator[Tool]:
    housings = job.operations.housings
    if housings:
        deep = format_length(max(each.deep for each in housings), job.units)
        count = len(housings) * job.quantity
        yield Tool("router with a straight bit, or fine saw and chisel", None, 1, f"{count} housings, {deep} deep")
        yield Tool("straight guide, and two clamps for it", None, 1, "housings, square across the part")


def _gluing(job: Job) -> Iterator[Tool]:
    faces = [face for up in job.operations.glue_ups for face in up.faces]
    if faces:
        widest = max(faces, key=lambda face: face.clamps)
        least, most = widest.clamps
        told = f"{least} to {most}" if most > least else f"{least}"
        reach = format_length(widest.length, job.units)
        yield Tool("clamp", None, least, f"one glued face after another; the longest, {reach}, takes {told}")
        yield Tool("glue brush or roller", None, 1, "spreading glue")


def _drilling(job: Job) -> Iterator[Tool]:
    if not job.operations.holes:
        return
    yield Tool("drill", None, 1, "holes, and driving screws")
    bits: dict[tuple[str, int], list[Hole]] = {}
    for hole in job.operations.holes:
        bits.setdefault((hole.system, hole.diameter), []).append(hole)
    for (_, diameter), holes in sorted(bits.items()):
        counted = Counter(hole.purpose for hole in holes)
        told = ", ".join(f"{count * job.quantity} holes {DRILLED[purpose]}" for purpose, count in counted.items())
        reach = format_length(max(_depth(job, hole) for hole in holes), job.units)
        yield Tool("drill bit", diameter_text(diameter, holes[0].system), 1, f"{told}; it reaches {reach}")


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
        counted = Counter(joint.item for joint in mine)
        told = [f"{count * job.quantity} {item}s {size}" for item, count in sorted(counted.items())]
        use = f"{listed(told)}{', and their nuts' if any(joint.end != 'tee nut' for joint in mine) else ''}"
        yield Tool("wrench", f"{diameter_text(across, fasteners.bolt_sizes()[size].system)} across flats", hold, use)
    screws = Counter(joint.size for joint in job.frame.joints if isinstance(joint, Screwed))
    for strap in job.frame.slat_straps:
        screws[strap.screw] += len(strap.parts)
    if screws:
        for size, count in screws.items():
            yield Tool("driver bit", None, 1, f"{count * job.quantity} wood screws {size}, to fit their heads")
    if job.frame.slat_straps:
        yield Tool("scissors", None, 1, "slat straps")
    if job.frame.straps:
        yield Tool("stud finder", None, 1, "where wall straps go, clear of pipes and cables")
    struck = [
        *(["tee nuts"] if any(joint.end == "tee nut" for joint in bolts) else []),
        *(["round-head bolts"] if any(joint.round_head for joint in bolts) else []),
        *(["hanger nails"] if any(isinstance(joint, Hung) for joint in job.frame.joints) else []),
    ]
    if struck:
        yield Tool("hammer", None, 1, listed(struck))
