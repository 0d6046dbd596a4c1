"""How much of what something bears is used, by which case, and the worst of it by rule."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import Case
from sawbill.checks.members import Member
from sawbill.checks.resistance.wood import Lasting, Standard
from sawbill.checks.statics.along import most_by
from sawbill.checks.statics.elimination import Floats
from sawbill.checks.statics.model import Solved
from sawbill.trade.frame import Part

ALIKE: Final = 1e-9
"""Of two that use as much, but for the last digits, the first is told."""


@dataclass(frozen=True, slots=True)
class Used:
    """How much is used of a rule, by which member, for how long; by which of its parts, None for all.

    row: of what was solved, a link or the first piece of a beam; shares: what the part takes in each of its pieces;
    column: which column of what was solved, -1 until it is looked up; then row is that very piece; void: whether what
    should bear it bears nothing, and `used` stands for that.
    """

    rule: str
    standard: Standard
    used: float
    member: Member
    lasting: Lasting
    row: int
    shares: tuple[float, ...] = (1.0,)
    part: Part | None = None
    column: int = -1
    void: bool = False


def first_most(used: Floats) -> tuple[int, ...]:
    """Where the most is, row by row the first of those alike."""
    flat = used.ravel()
    at = int(np.argmax(flat * (1 + ALIKE) >= flat.max()))
    return tuple(int(each) for each in np.unravel_index(at, used.shape))


class Columns:
    """The columns of what was solved in which the frame stands, those that last alike together."""

    def __init__(self, cases: Sequence[Case], solved: Solved) -> None:
        """Sort them; the cases follow one another anew for each way the frame may be as stiff."""
        self.cases, self.solved = cases, solved
        lasting: dict[Lasting, list[int]] = {}
        for column in np.flatnonzero(solved.stands).tolist():
            lasting.setdefault(self.case(column).lasting, []).append(column)
        self.of: Mapping[Lasting, NDArray[np.int64]] = {key: np.array(each) for key, each in lasting.items()}
        self.sag = [column for each in lasting.values() for column in each if self.case(column).sags]
        group = np.full(len(solved.stands), -1, np.int64)
        for number, these in enumerate(self.of.values()):
            group[these] = number
        self.moments, self.shears, self.forces, self.bent = (
            most_by(found, group, len(self.of)) for found in (solved.moments, solved.shears, solved.forces, solved.bent)
        )

    def case(self, column: int) -> Case:
        """The case of a column."""
        return self.cases[column % len(self.cases)]

    def most_of(self, found: Floats) -> list[float]:
        """The most of one row of all columns, up or down, by duration."""
        return [float(np.abs(found[these]).max()) for these in self.of.values()]

    def lasts(self, standard: Standard) -> Floats:
        """The factor of each duration by a standard, CD or kmod."""
        return np.array([each.cd if standard == "NDS" else each.kmod for each in self.of])

    def worst(self, uses: Iterable[Used]) -> Mapping[tuple[str, Standard], Used]:
        """The most of each rule by each standard, in the column where that is."""
        found: dict[tuple[str, Standard], Used] = {}
        for each in uses:
            known = found.get((each.rule, each.standard))
            if known is None or each.used > known.used * (1 + ALIKE):
                found[each.rule, each.standard] = each
        return {key: self._found(each) for key, each in found.items()}

    def _found(self, used: Used) -> Used:
        """The same, with the row and the column where it is."""
        if used.column >= 0:
            return used
        solved, these = self.solved, self.of[used.lasting]
        whole = {"bending": solved.moments, "shear": solved.shears, "net-section": solved.bent}.get(
            used.rule, solved.forces
        )
        sizes = np.abs(whole[used.row : used.row + len(used.shares), these]) * np.array(used.shares)[:, None]
        row, column = divmod(int(sizes.argmax()), len(these))
        return replace(used, row=used.row + row, column=int(these[column]))

    def fallen(self, paths: LoadPaths) -> Mapping[Member, str]:
        """What nothing holds in some case, one member a case, and what is going on then."""
        found: dict[str, Member] = {}
        for column in np.flatnonzero(~self.solved.stands).tolist():
            gone = self.solved.gone[:, column].tolist()
            member = next((each for each, falls in zip(paths.members, gone, strict=True) if falls), paths.members[0])
            found.setdefault(self.case(column).when, member)
        return {member: when for when, member in found.items()}
