"""What a row came to as text, exact, to be held or kept: JSON, fractions as text."""

from __future__ import annotations

import json
from dataclasses import asdict
from fractions import Fraction
from typing import Any, Final

from sawbill import cutting
from sawbill.checks.finding import Status
from sawbill.making.rates import Minutes
from sawbill.quoting.comparing.comparison import Figures, Reason, Row
from sawbill.quoting.comparing.grid import Combination

_TIMES: Final = ("hands_on", "finishing", "taking_apart")


def figures_text(figures: Figures) -> str:
    """Write figures."""
    times = {name: [time.least, time.most] for name in _TIMES for time in [getattr(figures, name)]}
    return json.dumps({**asdict(figures), **times}, default=str, separators=(",", ":"))


def figures_read(text: str | bytes) -> Figures:
    """Read figures."""
    return _figures(json.loads(text))


def row_text(row: Row) -> str:
    """Write what a row came to, in one line; what it asked is in the grid."""
    if row.figures is not None:
        return figures_text(row.figures)
    reasons = [[reason.code, reason.detail] for reason in row.reasons]
    return json.dumps({"status": row.status, "reasons": reasons}, separators=(",", ":"))


def row_read(text: str | bytes, combination: Combination) -> Row:
    """Read what a row came to."""
    held = json.loads(text)
    if "status" in held:
        return Row(combination, None, held["status"], tuple(Reason(*each) for each in held["reasons"]))
    return Row(combination, _figures(held))


def _figures(held: dict[str, Any]) -> Figures:
    check, used = held["worst_check"], held["worst_utilisation"]
    return Figures(**{
        **held,
        "waste": Fraction(held["waste"]),
        "worst_check": None if check is None else Status(check),
        "worst_utilisation": None if used is None else Fraction(used),
        **{name: Minutes(*map(Fraction, held[name])) for name in _TIMES},
        "proof": cutting.Status(held["proof"]),
    })  # fmt: skip
