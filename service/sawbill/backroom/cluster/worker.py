"""A machine of the cluster: it joins the scheduler, and has its batches done by a back room of its own."""

from __future__ import annotations

import asyncio
import logging
import pickle
import time
from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import CancelledError, Future
from threading import Lock
from typing import Any, Final, Never

from distributed import Worker, WorkerPlugin, get_worker

from sawbill.backroom.remote import Remote
from sawbill.backroom.task import Answer, RoomError
from sawbill.backroom.wire import Order

NAME: Final = "sawbill"
"""What our part of a worker is called there."""
MOST_LEFT: Final = 20_000
"""How many tasks that nobody waits for are remembered, for batches that have not come yet."""
AGAIN: Final = 1.0
"""When to look for the scheduler again [s]."""
LONGEST: Final = 30.0
"""How long a scheduler may take to let it join [s]."""
_LOG: Final = logging.getLogger("sawbill.backroom.cluster")
Numbered = tuple[str, Order]
Outcome = tuple[Any, float] | RoomError | None
"""What came of a task: its value and time [s], why it has none, or None: nobody waits for it."""


class Workshop(WorkerPlugin):
    """Our part of a worker: its back room, what is at work there, and what nobody waits for any more."""

    name = NAME

    def __init__(self, room: Remote, versions: Mapping[str, str]) -> None:
        self.versions = dict(versions)
        self._room, self._lock = room, Lock()
        self._left: OrderedDict[str, None] = OrderedDict()
        self._at_work: dict[str, Future[Answer]] = {}

    def do(self, number: str, order: Order) -> Outcome:
        """Have one task done, and tell what came of it; in a thread of the worker."""
        with self._lock:
            if number in self._left:
                return None
            future = self._at_work[number] = self._room.hand_in(order)
        try:
            answer = future.result()
            return answer.value, answer.seconds
        except RoomError as error:
            return error
        except CancelledError:
            return None
        finally:
            with self._lock:
                del self._at_work[number]

    def leave(self, numbers: Iterable[str]) -> None:
        """End tasks that nobody waits for, also those that are still to come."""
        with self._lock:
            self._left.update(dict.fromkeys(numbers))
            while len(self._left) > MOST_LEFT:
                self._left.popitem(last=False)
            ended = [self._at_work[each] for each in numbers if each in self._at_work]
        for future in ended:
            future.cancel()


def do(tasks: Sequence[Numbered], versions: Mapping[str, str], keys: Sequence[str], *shared: bytes) -> bytes | None:
    """On a worker: do the tasks of a batch; None: it is of other versions. keys: of what is shared, in its order."""
    workshop = _workshop(get_worker())
    if workshop.versions != versions:
        return None
    held = dict(zip(keys, shared, strict=True))
    outcomes = []
    for number, order in tasks:
        whole = tuple((key, held[key]) for key, _ in order.shared)
        outcomes.append(
            workshop.do(number, Order(order.work, whole, order.caller, order.label, order.rank, order.seconds))
        )
    return pickle.dumps(outcomes, pickle.HIGHEST_PROTOCOL)


def versions_of(dask_worker: Worker) -> dict[str, str]:
    """On a worker: tell what it is like."""
    return dict(_workshop(dask_worker).versions)


def leave(numbers: Sequence[str], dask_worker: Worker) -> None:
    """On a worker: end tasks that nobody waits for."""
    _workshop(dask_worker).leave(numbers)


def _workshop(worker: Worker) -> Workshop:
    found = worker.plugins[NAME]
    assert isinstance(found, Workshop)
    return found


def join(address: str, room: Remote, versions: Mapping[str, str], threads: int) -> Never:
    """Be a worker until this process ends: where the scheduler is lost, or not there yet, it is looked for again.

    threads: how many batches it has at once.
    """
    workshop = Workshop(room, versions)
    while True:
        try:
            asyncio.run(_member(address, workshop, threads))
        except (OSError, TimeoutError, asyncio.CancelledError) as error:
            _LOG.error("the scheduler at %s cannot be joined: %r", address, error)
        time.sleep(AGAIN)


async def _member(address: str, workshop: Workshop, threads: int) -> None:
    """Be a worker for as long as the scheduler is there. Raises OSError or TimeoutError: it is not."""
    async with Worker(address, nthreads=threads, plugins=(workshop,), death_timeout=LONGEST) as worker:
        _LOG.info("joined the scheduler at %s", address)
        await worker.finished()
