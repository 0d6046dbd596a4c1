"""The steps of making in their order, each with its people, time, parts and cautions.

Glue comes before the drill, so that one hole passes all glued layers in line. In a batch, set-ups (a stop, a fence,
a bit, glue and finish laid out) are counted once for a line of the request and everything else once for each of its
items; waiting is not multiplied, but for clamps that go from one glue-up to the next.
"""

from sawbill.making.steps.order import frame_steps
from sawbill.making.steps.parts import cut_step
from sawbill.making.steps.step import Step

__all__ = ["Step", "cut_step", "frame_steps"]
