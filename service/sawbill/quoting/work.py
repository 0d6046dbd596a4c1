"""The work of a request: the steps of every line in turn, the tools for all of them, and the time they take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from sawbill.asked.request import Request
from sawbill.buying.takeoff import CutLine, TakeOff
from sawbill.making import cautions
from sawbill.making.drilling import Drilled
from sawbill.making.job import Job
from sawbill.making.rates import PHASES, Minutes, Phase, Rates, rates_with
from sawbill.making.steps import Step, cut_step, frame_steps
from sawbill.making.tools import SAWING, Tool, frame_tools, together
from sawbill.quoting.quote import Quote
from sawbill.trade.lengths import System


@dataclass(frozen=True, slots=True)
class LineStep:
    """A step, and the line of the request that it makes, counted from 0; its times are whole minutes."""

    line: int
    step: Step
    hands_on: Minutes
    waiting: Minutes


@dataclass(frozen=True)
class Work:
    """Everything there is to do, in order.

    drilling: of every line with a frame, the marks of its parts and their holes.
    """

    steps: tuple[LineStep, ...]
    drilling: Mapping[int, tuple[Drilled, ...]]
    tools: tuple[Tool, ...]

    @cached_property
    def times(self) -> Mapping[Phase, Minutes]:
        """All people's time at work together, in each phase [min]."""
        return {phase: _sum(each.hands_on for each in self.steps if each.step.phase == phase) for phase in PHASES}

    @property
    def hands_on(self) -> Minutes:
        """The time at work until it stands, but for its finish [min]."""
        return self.times["making"]

    @cached_property
    def waiting(self) -> Minutes:
        """The time in which nobody works [min]."""
        return _sum(each.waiting for each in self.steps)

    @cached_property
    def elapsed(self) -> Minutes:
        """How long it takes until it stands with its finish, each step with as many people as it takes [min]."""
        steps = (each for each in self.steps if not each.step.apart)
        return _sum(each.hands_on * Fraction(1, each.step.people) + each.waiting for each in steps)

    def paid(self, phases: Iterable[Phase]) -> Minutes:
        """The time at work in some phases together [min]."""
        return _sum(self.times[phase] for phase in phases)


def work_for(quote: Quote, units: System) -> Work:
    """Work out the steps of what is quoted; lengths in their words are in the asked system."""
    most = quote.request.site.one_person
    heavy = {
        summary.line: [piece.name for piece in summary.carried_pieces if piece.mass_g > most]
        for summary in quote.frames
    }
    return work_of(quote.request, quote.take_off, heavy, units)


def work_of(request: Request, off: TakeOff, heavy: Mapping[int, Iterable[str]], units: System) -> Work:
    """Work out the steps of a request; lengths in their words are in the asked system.

    heavy: of a line, the names of the carried pieces that are more than one person should lift.
    """
    rates = rates_with(dict(request.rates))
    cuts: dict[int, list[CutLine]] = {}
    for cut in off.cut_list:
        cuts.setdefault(cut.line, []).append(cut)
    steps: list[LineStep] = []
    drilled: dict[int, tuple[Drilled, ...]] = {}
    tools: list[Tool] = []
    for number, line in enumerate(request.lines):
        mine = cuts.get(number, [])
        if line.frame is not None:
            ids = {key: cut.id for cut in mine for key in cut.keys}
            job = Job(line.frame, line.quantity, ids, rates, units, frozenset(heavy.get(number, ())))
            made: Sequence[Step] = frame_steps(job)
            drilled[number] = job.drilling
            tools += frame_tools(job)
        else:
            made = [_own_parts(mine, rates, units)] if mine else []
            tools += SAWING if mine else ()
        steps += (LineStep(number, step, step.hands_on.whole(), step.waiting.whole()) for step in made)
    return Work(tuple(steps), drilled, together(tools))


def _sum(times: Iterable[Minutes]) -> Minutes:
    return sum(times, Minutes())


def _own_parts(cuts: Sequence[CutLine], rates: Rates, units: System) -> Step:
    """Own parts are cut; what becomes of them only their maker knows."""
    settings = len({(cut.section.name, cut.length) for cut in cuts})
    pieces = sum(cut.quantity for cut in cuts)
    short = any(cut.length < cautions.SHORT for cut in cuts)
    return cut_step([cut.id for cut in cuts], pieces, settings, rates, units, short=short)
