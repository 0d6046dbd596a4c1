"""Furniture to draw in tests, with letters as the cut list gives them."""

from __future__ import annotations

from functools import cache

from sawbill.asked.lines import Line
from sawbill.buying.takeoff import take_off
from sawbill.drawings.subject import Subject
from sawbill.making.marks import marks
from sawbill.making.operations import operations
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import STEP, System

NAMES = tuple(designs())


def of(frame: Frame, title: str, system: System = "inch", step: int | None = None) -> Subject:
    """Furniture with the marks of its parts."""
    cuts = take_off([Line("", 1, frame=frame)], step or STEP[system]).cut_list
    letters = {key: cut.id for cut in cuts for key in cut.keys}
    told = marks(frame, operations(frame).laid_out, letters)
    return Subject(title, frame, {key: mark.name for key, mark in told.items()}, system)


@cache
def subject(name: str, system: System = "inch", step: int | None = None) -> Subject:
    """A design with its defaults; step: of the shop [nm]."""
    design = designs()[name]
    return of(design.frame({}, reading(system, step)), design.title, system, step)
