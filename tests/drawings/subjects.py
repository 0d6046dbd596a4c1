"""Furniture to draw in tests, with letters as the cut list gives them."""

from __future__ import annotations

from collections import defaultdict
from functools import cache

from sawbill.drawings.subject import Subject
from sawbill.estimating.takeoff import Line, take_off
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.trade.boxes import AXES
from sawbill.trade.frame import Bolted, Frame, Screwed
from sawbill.trade.lengths import STEP, System

NAMES = tuple(designs())


def letters(frame: Frame, system: System) -> dict[str, str]:
    cuts = take_off([Line("", 1, frame=frame)], STEP[system]).cut_list
    return {key: cut.id for cut in cuts for key in cut.keys}


def of(frame: Frame, title: str, system: System = "inch") -> Subject:
    return Subject(title, frame, letters(frame, system), system)


@cache
def subject(name: str, system: System = "inch") -> Subject:
    """A design with its defaults."""
    design = designs()[name]
    return of(design.frame({}, reading(system)), design.title, system)


def marked(plain: Subject) -> Subject:
    """The same with letters of their own for parts that are drilled differently, as they lie in the frame."""
    drilled: dict[str, set[tuple[object, ...]]] = defaultdict(set)
    for joint in plain.frame.joints:
        if isinstance(joint, Bolted | Screwed):
            for place, key in enumerate(joint.parts):
                low = plain.frame.boxes[key].low
                axis = AXES.index(joint.axis)
                at = tuple(joint.head[k] - low[k] for k in range(3) if k != axis)
                drilled[key].add((place, joint.size, joint.axis, joint.toward, at, len(joint.parts)))
    kinds: dict[str, list[frozenset[tuple[object, ...]]]] = defaultdict(list)
    labels = {}
    for key, letter in plain.labels.items():
        holes = frozenset(drilled[key])
        if holes not in kinds[letter]:
            kinds[letter].append(holes)
        labels[key] = f"{letter}{kinds[letter].index(holes) + 1}"
    return Subject(plain.title, plain.frame, labels, plain.system)
