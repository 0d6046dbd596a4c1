"""The solver of linear and integer programmes, made to keep quiet and to find the same every time."""

from __future__ import annotations

import highspy


class QuietSolver(highspy.Highs):
    """HiGHS without its banner, which it prints to standard output when its callbacks are switched on."""

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()
        for option, value in (
            ("output_flag", False),
            ("threads", 1),
            ("parallel", "off"),
            ("random_seed", 0),
            ("presolve", "off"),
            ("solver", "simplex"),
        ):
            self.setOptionValue(option, value)
