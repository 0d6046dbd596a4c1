"""How it is made: the steps and their time, the tools, the holes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.answer.declared.writing import QuoteWriting
from sawbill.making.drilling import Channels, Row
from sawbill.making.drilling import Drilled as Marked
from sawbill.making.stages import Stage as Going
from sawbill.making.steps import Step as Making
from sawbill.making.words import diameter_text
from sawbill.quoting.work import LineStep


class Minutes(Answered):
    """A time, as a range."""

    least = f.whole("At least [min].", 35, lambda time, _: int(time.least))
    most = f.whole("At most [min].", 90, lambda time, _: int(time.most))


class StageMark(Answered):
    """Parts of one mark."""

    mark = f.text("Their mark.", "C2", lambda marked, _: marked[0])
    count = f.whole("How many there are.", 2, lambda marked, _: marked[1])


class StageTurn(NamedTuple):
    """A stage in its turn; marks: those of its parts, by key; apart: whether it is taken off, not put up."""

    number: int
    stage: Going
    marks: Mapping[str, str]
    apart: bool


class Stage(Answered):
    """A stage of putting together or of taking apart: one carried piece, or pieces alike."""

    number = f.whole("Its place in the order, from 1.", 3)
    text = f.text(
        "What is done, in words.", "head end board: join it to left rail, 2 x hex bolt 3/8 in x 5 in into a tee nut",
        lambda turn, _: turn.stage.apart if turn.apart else turn.stage.text,
    )  # fmt: skip
    marks = f.rows(
        StageMark, "The parts that come, or come off.", lambda turn, _: turn.stage.marked(turn.marks)
    )  # fmt: skip
    cautions = f.rows(
        f.text("A caution.", "Lift with two people."), "What to take care of.",
        lambda turn, _: turn.stage.apart_cautions if turn.apart else turn.stage.cautions,
    )  # fmt: skip
    drawing = f.text(
        "The view that shows it.", "step-3", lambda turn, _: f"{'apart' if turn.apart else 'step'}-{turn.number}"
    )


class NumberedStep(NamedTuple):
    """A step in the order of all."""

    number: int
    of: LineStep

    @property
    def step(self) -> Making:
        """What is done."""
        return self.of.step


def _turns(numbered: NumberedStep, out: QuoteWriting) -> Iterator[StageTurn]:
    step, drilled = numbered.step, out.work.drilling.get(numbered.of.line, ())
    marks = {key: each.mark.name for each in drilled for key in each.parts} if step.stages else {}
    return (StageTurn(i, stage, marks, step.apart) for i, stage in enumerate(step.stages, 1))


class Step(Answered):
    """One step of the making."""

    number = f.whole("Its place in the order, from 1.", 1)
    line = f.whole("The line of the request that it makes, from 0.", 0, "of.line")
    label = f.text("What the line is called.", "guest room", lambda step, out: out.label(step.of.line))
    title = f.text("What is done, in words.", "Measure, mark and cut", "step.title")
    text = f.text(
        "How, in lines of text: for drilling the holes, like ones together; for assembling the pieces in their order.",
        "K: 4 holes, 7/16 in, through, for bolts, into the face, 2 1/4 in from the upper end, 7/8 in from the edge",
        "step.text",
    )
    people = f.whole("How many people it takes.", 1, "step.people")
    hands_on_minutes = f.group(
        Minutes,
        "The time at work, all people's together: set-ups once for the line, everything else for each of its items.",
        "of.hands_on",
    )
    waiting_minutes = f.group(Minutes, "The time to wait, as for glue and finish.", "of.waiting")
    parts = f.rows(
        f.text("A part, as the cut list names it.", "K"),
        "The parts it is about, as the cut list names them.",
        "step.parts",
    )
    cautions = f.rows(
        f.text("A caution.", "Put no load on a glued part for 24 h."), "What to take care of, the usual cautions.",
        "step.cautions",
    )  # fmt: skip
    stages = f.rows(Stage, "Of putting together and of taking apart: piece by piece, each with its picture.", _turns)


class NeededTool(Answered):
    """A tool that the steps take."""

    tool = f.text("The tool, as a shop calls it.", "drill bit", "name")
    size = f.text("Its size; null where any will do.", "7/16 in", none=True)
    quantity = f.whole("How many of them the steps need.", 1)
    use = f.text("What it is used for.", "38 holes for bolts; it reaches 3 1/2 in")


class Holes(NamedTuple):
    """Like holes in one line, in all parts of a mark."""

    line: int
    marked: Marked
    row: Row


def holes(drilling: Mapping[int, tuple[Marked, ...]]) -> Iterator[Holes]:
    """The holes of every mark that has any."""
    return (Holes(line, each, row) for line, drilled in drilling.items() for each in drilled for row in each.rows)


class Housed(NamedTuple):
    """Like housings in one line, in all parts of a mark."""

    line: int
    marked: Marked
    row: Channels


def housings(drilling: Mapping[int, tuple[Marked, ...]]) -> Iterator[Housed]:
    """The housings of every mark that has any."""
    return (Housed(line, each, row) for line, drilled in drilling.items() for each in drilled for row in each.housings)


def _parts(holes: Holes | Housed, out: QuoteWriting) -> int:
    """How many parts have them, of all the frames of the line."""
    return out.quote.request.lines[holes.line].quantity * len(holes.marked.parts)


def _diameter(holes: Any) -> str:
    return diameter_text(holes.row.diameter, holes.row.system)


class Drilled(Answered):
    """Like holes in one line, in one part and all that are like it."""

    line = f.whole("The line of the request, from 0.", 0)
    part = f.text("The letter of the cut list.", "C", "marked.letter")
    mark = f.text("The mark; the letter alone where all of its parts are drilled alike.", "C2", "marked.mark.name")
    quantity = f.whole("How many parts have the mark, of all the frames of the line.", 4, _parts)
    like = f.text(
        "The part as which they are laid out; the others are turned to match.", "left head post 2",
        lambda holes, _: holes.marked.parts[0],
    )  # fmt: skip
    purpose = f.text(
        "What the holes are for.", "bolt", "row.purpose", choices=["bolt", "tee nut", "screw", "pilot"]
    )  # fmt: skip
    diameter = f.length("How wide they are.", 11.1125, "7/16 in", "row.diameter", words=_diameter)
    depth = f.length("How deep they are; null where they go through.", 25.4, "1 in", "row.depth", none=True)
    into = f.text("The side they are drilled into, as the part stands in the furniture.", "left face", "row.side")
    along = f.text("The side that `places` are measured from.", "lower end", "row.along")
    places = f.rows(
        f.length("A distance.", 236.5375, "9 5/16 in"), "How far the middle of each is from there.", "row.places"
    )  # fmt: skip
    across = f.text("The side that `place` is measured from.", "head edge", "row.across")
    place = f.length("How far all of them are from there.", 14.2875, "9/16 in", "row.place")


class Housing(Answered):
    """Like housings in one line, in one part and all that are like it: channels that take the ends of other parts."""

    line = Drilled.line
    part = Drilled.part
    mark = Drilled.mark
    quantity = Drilled.quantity
    like = Drilled.like
    depth = f.length("How deep they are cut.", 12.7, "1/2 in", "row.deep")
    width = f.length("How far each reaches along `along`: as thick as what goes in.", 38.1, "1 1/2 in", "row.wide")
    length = f.length("How far each reaches across that.", 88.9, "3 1/2 in", "row.long")
    into = f.text("The side they are cut into, as the part stands in the furniture.", "right face", "row.side")
    along = f.text("The side that `places` are measured from.", "lower end", "row.along")
    places = f.rows(f.length("A distance.", 209.55, "8 1/4 in"), "How far from there each begins.", "row.places")
    across = f.text("The side that `place` is measured from.", "front edge", "row.across")
    place = f.length("How far from there all of them begin.", 0.0, "0 in", "row.place")
