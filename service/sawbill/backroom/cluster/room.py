"""The side of who asks: tasks wait here, fairly, go to the cluster in batches, and again where a worker is lost."""

from __future__ import annotations

import asyncio
import atexit
import logging
import os
import pickle
import threading
import time
import uuid
from collections import Counter, OrderedDict, deque
from collections.abc import AsyncIterator, Mapping
from concurrent.futures import CancelledError, Future, InvalidStateError
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from itertools import count
from typing import Any, Final

from distributed import Client, KilledWorker

from sawbill.backroom.cluster import worker
from sawbill.backroom.held import MOST_HELD
from sawbill.backroom.task import Answer, FullError, GoneError, RoomError, Task, TookTooLongError
from sawbill.backroom.waiting import Waiting
from sawbill.backroom.wire import Order

BATCH: Final = 10
"""How many tasks a batch has at most: an empty one costs some 12 ms, as long as half a row."""
AHEAD: Final = 2
"""How many batches a thread of a worker has in hand: the one at work, and the next."""
LINGER: Final = 0.005
"""How long the first task waits for others to make a batch with [s]."""
LOOK_EVERY: Final = 0.5
"""How often to look which workers there are, and whose time is over [s]."""
PATIENCE: Final = 5.0
"""How long the scheduler may take to answer before it counts as lost [s]."""
MOST_WAITING: Final = 4_000
MOST_OF_ONE: Final = 1_000
"""How many tasks of one rank may wait in a process, and how many of those may be one caller's."""
_LOG: Final = logging.getLogger("sawbill.backroom.cluster")


@dataclass(eq=False, slots=True)
class _Turn:
    """A task. late: when its time is over on the monotonic clock [s]; batch: what it is in, once it is on its way."""

    number: str
    task: Task
    future: Future[Answer]
    late: float
    batch: asyncio.Task[None] | None = None


class Cluster:
    """A room whose tasks workers of a cluster do. Threads may share it; a forked process connects for itself."""

    def __init__(self, address: str, versions: Mapping[str, str]) -> None:
        """Address: of the scheduler; versions: what a worker must be like, by name."""
        self._address, self._versions = address, dict(versions)
        self._owner, self._lock = 0, threading.Lock()
        self._sender: _Sender | None = None

    def submit(self, task: Task) -> Future[Answer]:
        """Have a task done."""
        future: Future[Answer] = Future()
        with self._lock_of_this_process():
            if self._sender is None:
                self._sender = _Sender(self._address, self._versions)
                atexit.register(self.end)
            self._sender.submit(task, future)
        return future

    def told(self) -> Future[Answer]:
        """Tell how many tasks and workers there are."""
        future: Future[Answer] = Future()
        sender = self._sender
        future.set_result(Answer(sender.told() if sender is not None else {}, 0.0))
        return future

    def end(self) -> None:
        """Leave the cluster: what has no answer gets none."""
        with self._lock_of_this_process():
            sender, self._sender = self._sender, None
        atexit.unregister(self.end)
        if sender is not None:
            sender.end()

    def _lock_of_this_process(self) -> threading.Lock:
        if self._owner != os.getpid():
            self._owner, self._lock, self._sender = os.getpid(), threading.Lock(), None
        return self._lock


class _Sender:
    """What runs in a thread of its own, in one event loop."""

    def __init__(self, address: str, versions: Mapping[str, str]) -> None:
        self._address, self._versions = address, dict(versions)
        self._name, self._numbers = uuid.uuid4().hex, count()
        self._waiting: Waiting[_Turn] = Waiting(MOST_WAITING, MOST_OF_ONE)
        self._again: deque[_Turn] = deque()
        self._on_the_way: dict[str, _Turn] = {}
        self._batches: set[asyncio.Task[None]] = set()
        self._left: list[str] = []
        self._workers: dict[str, int] = {}
        self._refused: set[str] = set()
        self._books: OrderedDict[str, Any] = OrderedDict()
        self._loop = asyncio.new_event_loop()
        self._news, self._ending = asyncio.Event(), False
        self._running = self._loop.create_task(self._run())
        self._thread = threading.Thread(target=self._work, name="sawbill-cluster", daemon=True)
        self._thread.start()

    def _work(self) -> None:
        with suppress(asyncio.CancelledError):
            self._loop.run_until_complete(self._running)

    def end(self) -> None:
        """Leave the cluster, and wait until that is done."""
        self._ending = True
        self._loop.call_soon_threadsafe(self._running.cancel)
        self._thread.join(PATIENCE)

    def submit(self, task: Task, future: Future[Answer]) -> None:
        """Have a task done; from any thread."""
        turn = _Turn(f"{self._name}-{next(self._numbers)}", task, future, time.monotonic() + task.seconds)
        self._loop.call_soon_threadsafe(self._add, turn)
        future.add_done_callback(
            lambda done: self._loop.call_soon_threadsafe(self._leave, turn) if done.cancelled() else None
        )

    def told(self) -> dict[str, int]:
        """Tell how many of what there are."""
        return {
            "waiting": len(self._waiting) + len(self._again), "working": len(self._on_the_way),
            "workers": len(self._workers), "refused": len(self._refused),
        }  # fmt: skip

    def _add(self, turn: _Turn) -> None:
        try:
            self._waiting.add(turn, turn.task.caller, turn.task.rank)
            self._news.set()
        except FullError as error:
            _fail(turn, error)

    def _leave(self, turn: _Turn) -> None:
        """Let go of a task that nobody waits for, wherever it is."""
        self._waiting.drop(turn, turn.task.caller, turn.task.rank)
        if turn in self._again:
            self._again.remove(turn)
        if turn.batch is not None:
            self._left.append(turn.number)
            self._news.set()

    async def _run(self) -> None:
        """Be connected as long as this process lives; whatever has no answer goes out again after a loss."""
        while not self._ending:
            try:
                async with _joined(self._address) as client:
                    await self._serve(client)
            except asyncio.CancelledError:
                _LOG.debug("a wait was ended")
            except Exception as error:  # whatever keeps it from being there, a certificate that is missing among it
                _LOG.error("the cluster's scheduler at %s is not there: %r", self._address, error)
            self._end_late()
            await asyncio.sleep(LOOK_EVERY)

    async def _serve(self, client: Client) -> None:
        """Send batches until the scheduler is lost. Raises OSError or TimeoutError then."""
        looked = -LOOK_EVERY
        self._workers, self._refused = {}, set()
        try:
            while not self._ending:
                if time.monotonic() - looked >= LOOK_EVERY:
                    await self._look(client)
                    looked = time.monotonic()
                with suppress(TimeoutError):
                    await asyncio.wait_for(self._news.wait(), LOOK_EVERY)
                    await asyncio.sleep(LINGER)
                self._news.clear()
                await self._tell_left(client)
                if client.status != "running":  # what is given to a client while it joins again may never be done
                    raise OSError("the connection was lost")
                self._send(client)
        finally:
            await self._take_back()

    async def _look(self, client: Client) -> None:
        """See which workers there are, ask new ones what they are like, and end what is late."""
        found = await asyncio.wait_for(client.nthreads(), PATIENCE)  # type: ignore[no-untyped-call]  # it has no types
        new = [each for each in found if each not in self._workers and each not in self._refused]
        lost = set(self._workers) - set(found)
        self._refused &= set(found)
        self._workers = {each: threads for each, threads in found.items() if each in self._workers}
        if new:
            like = await asyncio.wait_for(client.run(worker.versions_of, workers=new, on_error="return"), PATIENCE)
            for each in new:
                self._judge(each, found[each], like.get(each))
        if lost and not self._workers:
            await self._take_back()  # they were for workers that will not come again
        self._end_late()
        self._news.set()

    def _judge(self, address: str, threads: int, like: Any) -> None:
        """Take a worker that is as this process is, and refuse another by name."""
        if like == self._versions:
            self._workers[address] = threads
            return
        self._refused.add(address)
        other = "it is no worker of ours" if not isinstance(like, dict) else _difference(like, self._versions)
        _LOG.error("the worker at %s gets no work: %s", address, other)

    def _end_late(self) -> None:
        """Tell whose time is over; what is on its way is ended where it is."""
        now = time.monotonic()
        for turn in [*self._waiting, *self._again, *self._on_the_way.values()]:
            if turn.late < now and not turn.future.done():
                was = turn.batch is not None
                self._leave(turn)
                _fail(turn, TookTooLongError("it was ended") if was else FullError("its turn did not come in time"))

    def _send(self, client: Client) -> None:
        """Send batches as long as workers have few."""
        threads = sum(self._workers.values())
        while len(self._batches) < threads * AHEAD:
            size = -(-(len(self._waiting) + len(self._again)) // threads)
            turns = [turn for turn in (self._next() for _ in range(min(BATCH, size))) if turn is not None]
            if not turns:
                return
            batch = asyncio.ensure_future(self._batch(client, turns))
            self._batches.add(batch)
            for turn in turns:
                turn.batch, self._on_the_way[turn.number] = batch, turn
            batch.add_done_callback(self._batches.discard)

    def _next(self) -> _Turn | None:
        """Take whose turn it is: first those that have been on their way before."""
        if self._again:
            return self._again.popleft()
        return self._waiting.next(Counter(turn.task.caller for turn in self._on_the_way.values()))

    async def _batch(self, client: Client, turns: list[_Turn]) -> None:
        """Have a batch done, and give its answers to those who wait."""
        keys = {each.key: each.packed for turn in turns for each in turn.task.shared}
        outcomes: list[Any] | GoneError | None = None
        try:
            shared = [self._book(client, key, packed) for key, packed in keys.items()]
            tasks = [(turn.number, _order(turn)) for turn in turns]
            future = client.submit(
                worker.do, tasks, self._versions, list(keys), *shared, key=f"rows-{turns[0].number}-{uuid.uuid4().hex}",
                workers=list(self._workers), allow_other_workers=False, priority=-int(turns[0].task.rank), pure=False,
            )  # fmt: skip
            packed = await future
            outcomes = pickle.loads(packed) if packed is not None else None  # from a worker that was looked at
        except KilledWorker as error:
            outcomes = GoneError(str(error))
        except (CancelledError, asyncio.CancelledError, OSError, TimeoutError, KeyError) as error:
            _LOG.warning("a batch of %d goes out again: %r", len(turns), error)
        except Exception as error:
            _LOG.exception("a batch of %d came to nothing", len(turns))
            outcomes = GoneError(repr(error))
        for i, turn in enumerate(turns):
            turn.batch = None
            self._on_the_way.pop(turn.number, None)
            if outcomes is None:
                self._go_again(turn)
            else:
                _give(turn, outcomes if isinstance(outcomes, GoneError) else outcomes[i])
        self._news.set()

    def _go_again(self, turn: _Turn) -> None:
        if not turn.future.done():
            self._again.append(turn)

    def _book(self, client: Client, key: str, packed: bytes) -> Any:
        """Have what is shared at the cluster once, from where its workers hand it on; made anew where it is lost."""
        if key not in self._books:
            self._books[key] = client.submit(bytes, packed, key=f"shared-{self._name}-{key}-{uuid.uuid4().hex}")
        self._books.move_to_end(key)
        while len(self._books) > MOST_HELD:
            self._books.popitem(last=False)
        return self._books[key]

    async def _tell_left(self, client: Client) -> None:
        """Have workers end what nobody waits for."""
        left, self._left = self._left, []
        if left and self._workers:
            call = client.run(worker.leave, left, workers=list(self._workers), on_error="ignore")
            await asyncio.wait_for(call, PATIENCE)

    async def _take_back(self) -> None:
        """Have all that is on its way go out again."""
        batches = list(self._batches)
        for batch in batches:
            batch.cancel()
        self._books.clear()
        await asyncio.gather(*batches, return_exceptions=True)


@asynccontextmanager
async def _joined(address: str) -> AsyncIterator[Client]:
    client = Client(address, asynchronous=True, timeout=PATIENCE, set_as_default=False)  # type: ignore[no-untyped-call]
    try:
        async with client:
            yield client
    finally:
        await client.close()  # type: ignore[no-untyped-call]  # what could not join is left open by theirs


def _order(turn: _Turn) -> Order:
    """Write a task for the room of a worker; what it shares comes beside it."""
    task, keys = turn.task, tuple((each.key, None) for each in turn.task.shared)
    seconds = max(0.0, turn.late - time.monotonic())
    return Order(task.work, keys, task.caller, task.label, int(task.rank), seconds)


def _give(turn: _Turn, outcome: worker.Outcome) -> None:
    """Give what came of a task; None: nobody waits for it."""
    if isinstance(outcome, RoomError):
        _fail(turn, outcome)
    elif outcome is not None:
        with suppress(InvalidStateError):  # cancelled in between
            turn.future.set_result(Answer(*outcome))


def _fail(turn: _Turn, error: RoomError) -> None:
    with suppress(InvalidStateError):
        turn.future.set_exception(error)


def _difference(found: Mapping[str, str], needed: Mapping[str, str]) -> str:
    """Say in what a worker is another, by name."""
    names = sorted(name for name in {*found, *needed} if found.get(name) != needed.get(name))
    return "; ".join(
        f"it has {name} {found.get(name, 'not at all')}, and needs {needed.get(name, 'none')}" for name in names
    )
