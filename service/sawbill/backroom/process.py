"""An engine as its owner has it: forked, asked, slowed and ended."""

from __future__ import annotations

import asyncio
import os
import pickle
import signal
import socket
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final

from sawbill.backroom import engine
from sawbill.backroom.held import Held
from sawbill.backroom.wire import Order

_TICK: Final = 1 / os.sysconf("SC_CLK_TCK")
SLOWED: Final = 15
"""How nice an engine is that has lost its seat (nice(2)): it goes on when nobody else wants the processor."""


class Engine:
    """A running engine; its owner has one thread, and an event loop in it."""

    def __init__(self, pid: int, line: socket.socket) -> None:
        self.pid, self.tasks, self.alive = pid, 0, True
        self._line, self._held = line, Held()

    @classmethod
    def start(cls, memory: int, prepare: Callable[[], None]) -> Engine:
        """Fork one: it has all that its owner has loaded."""
        own, theirs = socket.socketpair()
        owner = os.getpid()
        pid = os.fork()
        if pid == 0:
            engine.begin(theirs, owner, memory, prepare)
        theirs.close()
        with suppress(OSError):  # it does so itself: whoever is first
            os.setpgid(pid, pid)
        own.setblocking(False)
        return cls(pid, own)

    async def ask(self, order: Order) -> bytes:
        """Have it do a task, and give its answer as it came. Raises EOFError: it died; OSError."""
        self.tasks += 1
        given = {key: packed for key, packed in order.shared if packed is not None}
        new = self._held.lacking(given)
        loop = asyncio.get_running_loop()
        message = pickle.dumps((order.work, tuple(given), new), pickle.HIGHEST_PROTOCOL)
        await loop.sock_sendall(self._line, len(message).to_bytes(4, "big") + message)
        answer = await self._answer(loop)
        if answer[:1] == engine.SPENT:
            self.alive = False
        return answer

    async def _answer(self, loop: asyncio.AbstractEventLoop) -> bytes:
        length = int.from_bytes(await self._exactly(loop, 4), "big")
        return await self._exactly(loop, length)

    async def _exactly(self, loop: asyncio.AbstractEventLoop, count: int) -> bytes:
        found = bytearray()
        while len(found) < count:
            more = await loop.sock_recv(self._line, min(count - len(found), 1 << 18))
            if not more:
                raise EOFError
            found += more
        return bytes(found)

    def worked(self) -> float:
        """How much processor time it and what it has started have used [s]; where nobody can tell, without end."""
        with suppress(OSError, ValueError):
            started = Path(f"/proc/{self.pid}/task/{self.pid}/children").read_text().split()
            return sum(_used(each) for each in [str(self.pid), *started])
        return float("inf")

    def slow(self) -> None:
        """Let others go first, whatever it has started with it."""
        with suppress(OSError):
            os.setpriority(os.PRIO_PGRP, self.pid, SLOWED)

    def kill(self) -> None:
        """End it at once, and what it has started."""
        if self.alive or self._line.fileno() >= 0:
            self.alive = False
            for send in (os.killpg, os.kill):
                with suppress(OSError):
                    send(self.pid, signal.SIGKILL)
            self._line.close()


def _used(pid: str) -> float:
    """Processor time of a process [s]: of proc(5)'s stat, the 14th and 15th field."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) * _TICK
