"""The stages of putting furniture together: which piece comes next, how it is joined, what to take care of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from sawbill.making import cautions as say
from sawbill.making.assembly import Placed
from sawbill.making.words import fasteners_text, listed
from sawbill.trade.frame import Bolted, Frame, Hung, Screwed
from sawbill.trade.lengths import System
from sawbill.trade.rolled import is_rolled


@dataclass(frozen=True, slots=True)
class Stage:
    """One piece, or pieces alike, in its turn. text: how it goes up; apart: how it comes off again."""

    placed: Placed
    text: str
    apart: str
    cautions: tuple[str, ...]
    apart_cautions: tuple[str, ...]

    @property
    def called(self) -> str:
        """What goes up, with how many there are of it."""
        return _called(self.placed)

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts that come with it, by key."""
        return self.placed.parts

    def marked(self, marks: Mapping[str, str]) -> tuple[tuple[str, int], ...]:
        """How many parts of each mark come with it; marks: by part."""
        return tuple(sorted(Counter(marks[key] for key in self.parts).items(), key=lambda each: _order(each[0])))


def stages(
    frame: Frame, placed: Sequence[Placed], units: System, heavy: Collection[str] = ()
) -> tuple[Stage, ...]:  # fmt: skip
    """The stages in their order; to take the frame apart they are gone through backwards.

    heavy: the names of pieces that are more than one person should lift.
    """
    bolted = [i for i, each in enumerate(placed) if any(isinstance(joint, Bolted) for joint in each.joins)]
    names, found = {key: each.name for each in placed for key in each.parts}, []
    for i, each in enumerate(placed):
        told: tuple[str, ...] = (say.LIFT,) if each.name in heavy else ()
        told += (say.STEADY,) if _stands_free(frame, placed, i) else ()
        last: tuple[str, ...] = (say.TIGHTEN,) if i == max(bolted, default=-1) else ()
        last += say.high_bed_cautions(frame) if i == len(placed) - 1 else ()
        found.append(
            Stage(each, _going_up(frame, each, names, units), _coming_off(frame, each, units), told + last, told)
        )
    return tuple(found)


def _order(mark: str) -> tuple[int, str]:
    """A to Z before AA, A2 before A10."""
    return len(mark), mark


def _stands_free(frame: Frame, placed: Sequence[Placed], turn: int) -> bool:
    """Whether a piece stands on the floor by itself until others are fastened to it."""
    mine, floor = set(placed[turn].parts), frame.bounds.low[2]
    stands = any(frame.boxes[key].low[2] == floor for key in mine)
    later = (joint for each in placed[turn + 1 :] for joint in each.joins)
    return stands and not placed[turn].joins and any(_fixed(joint) and mine & set(joint.parts) for joint in later)


def _going_up(frame: Frame, placed: Placed, names: Mapping[str, str], units: System) -> str:
    """How one piece goes up, in words; names: of the pieces, by part."""
    name, it = _called(placed), "them" if placed.count > 1 else "it"
    fixed = [joint for joint in placed.joins if _fixed(joint)]
    hung = [joint for joint in placed.joins if isinstance(joint, Hung)]
    carriers = {names[joint.parts[-1]] for joint in hung}
    onto = listed([each for each in placed.onto if each not in carriers])
    ways = []
    if hung:
        hangers = "hangers" if len(hung) > 1 else "hanger"
        ways.append(f"lower {it} into the {hangers} of {listed([each for each in placed.onto if each in carriers])}")
    if onto and fixed:
        ways.append(f"join {it} to {onto}")
    elif onto:
        ways.append(f"lay {it} on {onto}")
    how = ", and ".join(ways) or f"set {it} in place"
    how = f"unroll it, straps down, and {how}" if is_rolled(frame, placed.parts) else how
    return f"{name}: {how}{f', {fasteners_text(frame, fixed, units)}' if fixed else ''}"


def _coming_off(frame: Frame, placed: Placed, units: System) -> str:
    """How it comes off again."""
    taken = [joint for joint in placed.joins if _fixed(joint)]
    first = f"take out {fasteners_text(frame, taken, units, into=False)}, then " if taken else ""
    away = "roll it up, straps inside, and lift it away" if is_rolled(frame, placed.parts) else "lift away"
    return f"{_called(placed)}: {first}{away}"


def _called(placed: Placed) -> str:
    return f"{placed.count} x {placed.name}" if placed.count > 1 else placed.name


def _fixed(joint: object) -> bool:
    return isinstance(joint, Bolted | Screwed)
