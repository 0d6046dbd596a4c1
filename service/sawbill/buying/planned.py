"""Orders put to the cutting planner, and what it said of those it was asked before: beds of a kind share most of them.

Only what depends on nothing but the order is kept: neither what a clock has cut short, nor a draft that may be gone on
from, for going on changes it. Drafts are kept by each thread for itself: to finish one, its solver runs again, and that
is not for two at once.
"""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from sawbill import cutting
from sawbill.cutting import Draft, Infeasible, Order, Worths

_KEPT: Final = 128
_LARGE: Final = 12
"""From how many lengths on an order is not kept: its draft takes up to 1 MB, and is hardly asked for again. Beds have
fewer, and theirs take 0.1 to 0.3 MB: some tens of megabytes an engine."""


@dataclass(frozen=True, slots=True)
class _Question:
    """What the planner is asked; end: the emergency stop, which changes no answer that is kept."""

    order: Order
    enough: int | None = None
    brief: bool = False
    end: float = field(default=0.0, compare=False)


class _PassingError(Exception):
    """An answer that is not to be kept."""

    def __init__(self, answer: Draft | Infeasible | Worths) -> None:
        super().__init__()
        self.answer = answer


def draft(
    order: Order, end: float, enough: int | None = None, *, brief: bool = False, begun: Draft | None = None
) -> Draft | Infeasible:
    """The cheapest boards to cut an order from, as `cutting.draft` finds them."""
    if begun is not None or len(order.pieces) >= _LARGE:
        return cutting.draft(order, end, enough, brief=brief, begun=begun)
    try:
        return _THREAD.draft(_Question(order, enough, brief, end))
    except _PassingError as passing:
        assert not isinstance(passing.answer, Worths)
        return passing.answer


def worths(order: Order, end: float) -> Worths:
    """What pieces are worth, and boards at most, as `cutting.worths` finds it."""
    if len(order.pieces) >= _LARGE:
        return cutting.worths(order, end)
    try:
        return _worths(_Question(order, end=end))
    except _PassingError as passing:
        assert isinstance(passing.answer, Worths)
        return passing.answer


def _draft(asked: _Question) -> Draft | Infeasible:
    found = cutting.draft(asked.order, asked.end, asked.enough, brief=asked.brief)
    proven = found.proven if isinstance(found, Infeasible) else found.bound >= found.net
    if not proven or time.monotonic() > asked.end:
        raise _PassingError(found)
    return found


@lru_cache(maxsize=_KEPT)
def _worths(asked: _Question) -> Worths:
    found = cutting.worths(asked.order, asked.end)
    if time.monotonic() > asked.end:
        raise _PassingError(found)
    return found


class _Thread(threading.local):
    """The drafts of one thread."""

    def __init__(self) -> None:
        super().__init__()
        self.draft = lru_cache(maxsize=_KEPT)(_draft)


_THREAD: Final = _Thread()
