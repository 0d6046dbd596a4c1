"""Compiling the loops of the statics, or loading them, before anybody waits for a quote."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.statics.along import most_by
from sawbill.checks.statics.model import Model
from sawbill.trade.frame import Frame, Part, Placement, Resting
from sawbill.trade.lumber import section

_LONG: Final = 10**9


@cache
def make_ready() -> None:
    """Solve a board on two blocks, which takes all the loops."""
    wood = section("2x4")
    blocks = [
        Part(key, key, wood, _LONG, Placement((x, 0, 0), "y", "x"))
        for key, x in (("near", 0), ("far", 9 * _LONG // 10))
    ]
    board = Part("board", "board", wood, _LONG, Placement((0, 0, wood.thickness), "x", "y"))
    paths = LoadPaths(Frame((*blocks, board), (Resting(("board", "near")), Resting(("board", "far")))))
    middle = (paths.of["board"].high / 2,) * 2
    solved = Model(paths).solve({}, [{paths.of["board"]: [(*middle, 1.0)]}, {paths.of["board"]: [(0.0, 0.0, 1.0)]}])
    most_by(solved.moments, np.zeros(solved.moments.shape[1], np.int64), 1)
