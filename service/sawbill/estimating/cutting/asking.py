"""The pattern master asked of the helper process: the cheapest plan of whole boards over a list of patterns."""

from __future__ import annotations

import time
from collections.abc import Sequence

from sawbill.estimating.cutting.answers import Answer, Effort
from sawbill.estimating.cutting.greedy import Plan
from sawbill.estimating.cutting.helper import HELPER
from sawbill.estimating.cutting.problem import Pattern, Problem

_SHARE = 0.4  # of the time left that one question may take


def ask(problem: Problem, given: Sequence[Pattern], nodes: int, end: float) -> Answer | None:
    """The helper's answer, None when the clock ran out; nodes: of branch and bound; end: the emergency stop."""
    costs = [pattern.cost for pattern in given]
    seconds = end - time.monotonic()
    effort = Effort(nodes, _SHARE * seconds)
    answer: Answer | None = HELPER.ask("least", problem, given, costs, 0, [], problem.step, effort, seconds=seconds)
    return answer


def counted(given: Sequence[Pattern], answer: Answer | None) -> Plan | None:
    """The plan of an answer, if it gives one."""
    if answer is None or not answer.counts:
        return None
    return {pattern: count for pattern, count in zip(given, answer.counts, strict=True) if count}
