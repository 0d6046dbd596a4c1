"""Every step that a frame takes, in the order of the shop."""

from __future__ import annotations

from sawbill.making.job import Job
from sawbill.making.steps import joining, parts
from sawbill.making.steps.step import Step


def frame_steps(job: Job) -> tuple[Step, ...]:
    """Every step from the first mark to taking apart; a step with nothing to do is left out."""
    makers = (
        parts.cut,
        parts.rip,
        parts.house,
        parts.glue,
        parts.drill,
        parts.ease,
        parts.sand,
        parts.finish,
        joining.join,
        joining.strap_slats,
        joining.assemble,
        joining.tie,
        joining.take_apart,
    )
    return tuple(step for make in makers for step in make(job))
