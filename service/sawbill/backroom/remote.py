"""A room behind a socket: tasks are handed over, and answers come in any order."""

from __future__ import annotations

import os
import pickle
import socket
import threading
import time
from concurrent.futures import Future, InvalidStateError
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import count
from typing import Any, Final

from sawbill.backroom import wire
from sawbill.backroom.held import Held
from sawbill.backroom.task import Answer, GoneError, RoomError, Task, TookTooLongError
from sawbill.backroom.wire import Order

KNOCK_EVERY: Final = 0.05
"""How often to try to connect again, where the room has ended and another may be started [s]."""
PATIENCE: Final = 5.0
"""How long to try [s]."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """A task that was handed over; late: when its time is over on the monotonic clock [s]."""

    future: Future[Answer]
    order: Order | str
    late: float


class Remote:
    """A room where others do the tasks. Threads may share it; a forked process connects for itself."""

    def __init__(self, address: str | bytes) -> None:
        """Address: of the socket the room listens at."""
        self._address, self._numbers = address, count()
        self._begin_anew()

    def _begin_anew(self) -> None:
        self._owner, self._lock = os.getpid(), threading.Lock()
        self._line: socket.socket | None = None
        self._held = Held()
        self._asked: dict[int, _Asked] = {}

    def submit(self, task: Task) -> Future[Answer]:
        """Have a task done."""
        shared = tuple((each.key, each.packed) for each in task.shared)
        return self._hand_in(Order(task.work, shared, task.caller, task.label, int(task.rank), task.seconds))

    def hand_in(self, order: Order) -> Future[Answer]:
        """Have a task done that came as an order from elsewhere, with all that it shares."""
        return self._hand_in(order)

    def told(self) -> Future[Answer]:
        """Ask how many tasks and engines there are."""
        return self._hand_in("told")

    def _hand_in(self, order: Order | str) -> Future[Answer]:
        if self._owner != os.getpid():
            self._begin_anew()
        future: Future[Answer] = Future()
        number = next(self._numbers)
        late = time.monotonic() + (order.seconds if isinstance(order, Order) else 1.0)
        future.add_done_callback(lambda done: self._left(number) if done.cancelled() else None)
        with self._lock:
            self._asked[number] = _Asked(future, order, late)
            self._send(number, order)
        return future

    def _left(self, number: int) -> None:
        """Tell that nobody waits for an answer any more."""
        with self._lock:
            if self._asked.pop(number, None) is not None:
                self._send(number, None)

    def _send(self, number: int, order: Order | str | None) -> None:
        """Send a message; where the line is broken, whoever reads from it finds out and sends all again."""
        if self._line is None:
            try:
                self._line, self._held = wire.connect(self._address), Held()
            except OSError:
                self._line = wire.broken()
            threading.Thread(target=self._read, args=[self._line], name="sawbill-answers", daemon=True).start()
        with suppress(OSError):
            wire.send(self._line, self._message(number, order))

    def _message(self, number: int, order: Order | str | None) -> bytes:
        """Write a message; what the other end holds already is left out."""
        if isinstance(order, Order):
            new = self._held.lacking({key: packed for key, packed in order.shared if packed is not None})
            order = replace(order, shared=tuple((key, new.get(key)) for key, _ in order.shared))
        return pickle.dumps((number, order), pickle.HIGHEST_PROTOCOL)

    def _read(self, line: socket.socket) -> None:
        """In a thread: give answers to those who wait, as long as there is anybody to answer."""
        while True:
            try:
                while True:
                    self._answered(*pickle.loads(wire.receive(line)))  # from a process of our own user
            except (EOFError, OSError):
                line.close()
            connected = self._connected_again()
            if connected is None:
                return
            line = connected

    def _answered(self, number: int, outcome: bytes | RoomError) -> None:
        with self._lock:
            asked = self._asked.pop(number, None)
        if asked is None:
            return
        with suppress(InvalidStateError):  # cancelled in between
            if isinstance(outcome, bytes):
                asked.future.set_result(Answer(*pickle.loads(outcome[1:])))
            else:
                asked.future.set_exception(outcome)

    def _connected_again(self) -> socket.socket | None:
        """Connect again and hand in all that has no answer; None: nobody waits, or nobody is there."""
        until = time.monotonic() + PATIENCE
        while True:
            with self._lock:
                if not self._asked:
                    self._line = None
                    return None
                with suppress(OSError):
                    self._line, self._held = wire.connect(self._address), Held()
                    self._hand_in_again()
                    return self._line
                if time.monotonic() > until:
                    self._line = None
                    self._give_up(GoneError("there is no back room to ask"))
                    return None
                self._give_up(TookTooLongError("there is no back room to ask"), time.monotonic())
            time.sleep(KNOCK_EVERY)

    def _hand_in_again(self) -> None:
        assert self._line is not None
        for number, asked in self._asked.items():
            order: Any = asked.order
            if isinstance(order, Order):
                order = replace(order, seconds=max(0.0, asked.late - time.monotonic()))
            wire.send(self._line, self._message(number, order))

    def _give_up(self, error: RoomError, late: float | None = None) -> None:
        """End the wait of all, or of those whose time is over."""
        for number, asked in list(self._asked.items()):
            if late is None or asked.late <= late:
                del self._asked[number]
                with suppress(InvalidStateError):
                    asked.future.set_exception(error)
