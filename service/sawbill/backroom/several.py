"""Many tasks at once, their answers in the order they were asked; and a room that is the process that asks."""

from __future__ import annotations

import pickle
import time
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future
from functools import lru_cache
from typing import Final

from sawbill.backroom.task import Answer, FullError, Room, Task

AGAIN: Final = 0.05
"""When to ask again where too many wait [s]."""


class Here:
    """A room in which whoever asks does the work himself: nothing is bounded, and nothing ended."""

    def submit(self, task: Task) -> Future[Answer]:
        """Do a task at once."""
        future: Future[Answer] = Future()
        began = time.perf_counter()
        try:
            value = task.function(tuple(_unpacked(each.packed) for each in task.shared), *task.arguments)
            future.set_result(Answer(value, time.perf_counter() - began))
        except Exception as error:
            future.set_exception(error)
        return future

    def told(self) -> Future[Answer]:
        """There is nothing to tell."""
        future: Future[Answer] = Future()
        future.set_result(Answer({}, 0.0))
        return future


def several(room: Room, tasks: Iterable[Task], ahead: int) -> Iterator[Answer]:
    """Have tasks done, and give their answers in order; ahead: how many are handed in before the first is answered.

    Where too many wait already, the first is refused, and those after it wait. Whoever asks no further ends the rest.
    Raises RoomError.
    """
    waiting: deque[tuple[Task, Future[Answer]]] = deque()
    first = True

    def next_answer() -> Answer:
        nonlocal first
        task, future = waiting.popleft()
        late = time.monotonic() + task.seconds
        while True:
            try:
                answer = future.result()
            except FullError:
                if first or time.monotonic() > late:
                    raise
                time.sleep(AGAIN)
                future = room.submit(task)
            else:
                first = False
                return answer

    try:
        for task in tasks:
            waiting.append((task, room.submit(task)))
            if len(waiting) >= ahead:
                yield next_answer()
        while waiting:
            yield next_answer()
    finally:
        for _, future in waiting:
            future.cancel()


@lru_cache(maxsize=8)
def _unpacked(packed: bytes) -> object:
    return pickle.loads(packed)  # packed by this process
