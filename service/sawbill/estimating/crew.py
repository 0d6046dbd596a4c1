"""A crew: processes beside this one that answer questions, as many at once as there are processors.

Answers do not depend on who gives them, nor on when; they come in the order of the questions. A process that dies is
made good: what it was asked is answered here. The processes end with their owner, however it ends.
"""

from __future__ import annotations

import os
import pickle
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import lru_cache
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from multiprocessing.reduction import ForkingPickler
from types import MappingProxyType
from typing import Any, Final, TypeVar

from sawbill.estimating.cutting.helper import HELPER

Shared = TypeVar("Shared")
Item = TypeVar("Item")
Result = TypeVar("Result")

MOST_PROCESSES: Final = 4
AHEAD: Final = 8
"""Questions given out for each process, so that one that takes long leaves the others enough to go on with."""
FEW: Final = 4
"""Up to how many questions it is not worth to hand out."""
_LOADED: Final = ["sawbill.estimating.comparison", "sawbill.estimating.cutting.planner"]


def _proxy(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(content)


ForkingPickler.register(MappingProxyType, lambda proxy: (_proxy, (dict(proxy),)))  # a price book holds some


def _nothing() -> None:
    """Do nothing."""


class Crew:
    """The processes of one owner, started at the first need or ahead of it; threads may share it."""

    def __init__(self, size: int | None = None) -> None:
        """Size: how many processes; one for each processor that may be used unless given, up to MOST_PROCESSES."""
        self.size = size or min(MOST_PROCESSES, _processors())
        self._lock = threading.Lock()
        self._held: tuple[int, ProcessPoolExecutor] | None = None

    def begin(self, first: Callable[[], None] = _nothing) -> None:
        """Start the processes ahead of the first need; they share what this one has loaded, for it is forked.

        To be called while there is one thread. first: what each does first, to let go of what it inherits.
        """
        with self._lock:
            pool = ProcessPoolExecutor(self.size, get_context("fork"), initializer=_start, initargs=(first,))
            pool.submit(_nothing)  # a pool starts its processes, all of them if it forks, for its first task
            self._held = os.getpid(), pool

    def run(
        self, function: Callable[[Shared, Item], Result], shared: Shared, items: Iterable[Item]
    ) -> Iterator[Result]:
        """Answer questions by a function of a module; shared: what all of them need, handed over once.

        What raises does so where its answer would have come; those not yet begun are then dropped.
        """
        packed = bytes(ForkingPickler.dumps(shared))
        waiting: deque[tuple[Item, Future[Result] | None]] = deque()

        def next_answer() -> Result:
            item, future = waiting.popleft()
            try:
                return function(shared, item) if future is None else future.result()
            except BrokenProcessPool:
                self.close()
                return function(shared, item)

        try:
            for item in items:
                waiting.append((item, self._give_out(function, packed, item)))
                if len(waiting) == self.size * AHEAD:
                    yield next_answer()
            while waiting:
                yield next_answer()
        finally:
            for _, future in waiting:
                if future is not None:
                    future.cancel()

    def close(self) -> None:
        """End the processes, if there are any; the next question starts others."""
        with self._lock:
            held, self._held = self._held, None
        if held is not None and held[0] == os.getpid():
            held[1].shutdown(wait=False, cancel_futures=True)

    def _give_out(self, function: Callable[..., Result], packed: bytes, item: object) -> Future[Result] | None:
        """Give a question to a process; None: there is none to take it."""
        try:
            return self._pool().submit(_answer, function, packed, item)
        except (BrokenProcessPool, RuntimeError, OSError, ImportError, ValueError):
            # Ended, also by another thread in between; or the system cannot have one.
            self.close()
            return None

    def _pool(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._held is None or self._held[0] != os.getpid():  # a forked child has none of its own
                context = get_context("forkserver")
                context.set_forkserver_preload(_LOADED)
                pool = ProcessPoolExecutor(self.size, context, initializer=_start, initargs=(_nothing,))
                self._held = os.getpid(), pool
            return self._held[1]


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _start(first: Callable[[], None]) -> None:
    """In a process of the crew: its owner decides about the terminal's signals, and it ends with its owner."""
    first()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_follow_owner, daemon=True).start()


def _follow_owner() -> None:
    owner = parent_process()
    if owner is not None:
        wait([owner.sentinel])
        os._exit(0)


def _answer(function: Callable[[Any, Any], Result], packed: bytes, item: object) -> Result:
    HELPER.warm()  # it loads its solver while the first question is begun
    return function(_unpacked(packed), item)


@lru_cache(maxsize=4)
def _unpacked(packed: bytes) -> Any:
    return pickle.loads(packed)  # packed by our own owner
