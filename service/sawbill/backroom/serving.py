"""The back room's own process: it takes tasks from those who connect, and has its engines do them.

It has one thread, so that it can fork engines at any time. What somebody asked ends when he leaves. It ends when it is
told to, or when its owner has ended, as soon as nobody is connected any more.
"""

from __future__ import annotations

import asyncio
import gc
import os
import pickle
import signal
import socket
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Any, Final, Never

from sawbill.backroom import engine, wire
from sawbill.backroom.held import Held
from sawbill.backroom.pool import Pool
from sawbill.backroom.task import FailedError, GoneError, Limits, RoomError, TooLargeError
from sawbill.backroom.wire import Order

LOOK_EVERY: Final = 0.1
"""How often it looks whether its owner is still there [s]."""
GRACE: Final = 35.0
"""How long it waits for those connected when it is to end [s]: longer than whoever asks gives his requests."""


def serve(
    listener: socket.socket, limits: Limits, prepare: Callable[[], None], owner: int, beat: Callable[[], None]
) -> Never:
    """In a forked child: serve until it is to end, and give a beat at each look that it does."""
    end = 1
    try:
        for number in (signal.SIGHUP, signal.SIGCHLD, signal.SIGUSR1, signal.SIGUSR2, signal.SIGQUIT, signal.SIGWINCH):
            signal.signal(number, signal.SIG_DFL)
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        gc.freeze()
        engine.keep_only(listener)
        asyncio.run(_Room(listener, Pool(limits, prepare), owner, beat).run())
        end = 0
    finally:
        os._exit(end)


class _Room:
    """What runs in the event loop."""

    def __init__(self, listener: socket.socket, pool: Pool, owner: int, beat: Callable[[], None]) -> None:
        self._listener, self._pool, self._owner, self._beat = listener, pool, owner, beat
        self._connected = 0
        self._ending = asyncio.Event()

    async def run(self) -> None:
        """Serve until it is to end, and nobody is connected any more."""
        loop = asyncio.get_running_loop()
        loop.add_signal_handler(signal.SIGTERM, self._ending.set)
        loop.add_signal_handler(signal.SIGCHLD, _reap)
        self._pool.fill()
        self._listener.setblocking(False)
        server = await asyncio.start_unix_server(self._talk, sock=self._listener)
        while not self._ending.is_set() and os.getppid() == self._owner:
            self._beat()
            with suppress(TimeoutError):
                await asyncio.wait_for(self._ending.wait(), LOOK_EVERY)
        late = loop.time() + GRACE
        while self._connected and loop.time() < late:
            self._beat()
            await asyncio.sleep(LOOK_EVERY / 2)
        server.close()
        self._pool.empty()
        _reap(0)

    async def _talk(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """Take the tasks of one who connected, and give their answers, in any order."""
        self._connected += 1
        tasks: dict[int, asyncio.Task[None]] = {}
        held = Held()
        try:
            wire.check_peer(writer.get_extra_info("socket"))
            while True:
                number, order = pickle.loads(await wire.read(reader))  # from a process of our own user
                if order is None:
                    if number in tasks:
                        tasks.pop(number).cancel()
                    continue
                if isinstance(order, Order):
                    given = dict(order.shared)
                    whole = zip(given, held.use(given, given.__getitem__), strict=True)
                    order = replace(order, shared=tuple(whole))
                tasks[number] = asyncio.ensure_future(self._do(number, order, writer))
                tasks[number].add_done_callback(partial(_forget, tasks, number))
        except (EOFError, OSError):
            pass
        finally:
            self._connected -= 1
            for task in tasks.values():
                task.cancel()
            writer.close()

    async def _do(self, number: int, order: Order | str, writer: asyncio.StreamWriter) -> None:
        with suppress(OSError):
            if isinstance(order, str):
                outcome: Any = engine.DONE + pickle.dumps((self._pool.told(), 0.0))
            else:
                outcome = await self._outcome(order)
            wire.write(writer, pickle.dumps((number, outcome), pickle.HIGHEST_PROTOCOL))
            await writer.drain()

    async def _outcome(self, order: Order) -> bytes | RoomError:
        """Have a task done, once more where its engine died of something else than itself."""
        for again in (True, False):
            try:
                answer = await self._pool.run(order)
            except GoneError as error:
                if not again:
                    return error
            except RoomError as error:
                return error
            else:
                if answer[:1] == engine.SPENT:
                    return TooLargeError("it took too much memory")
                return FailedError(answer[1:].decode()) if answer[:1] == engine.FAILED else answer
        raise AssertionError


def _forget(tasks: dict[int, asyncio.Task[None]], number: int, _: object) -> None:
    tasks.pop(number, None)


def _reap(how: int = os.WNOHANG) -> None:
    with suppress(ChildProcessError):
        while os.waitpid(-1, how)[0]:
            pass
