"""Who knocks is let in by the event loop, and nobody who was let in is lost when it is to stop."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Sequence
from typing import Final

AT_ONCE: Final = 64
"""How many are let in at most before those who are in already are heard again."""
PAUSE: Final = 0.5
"""How long nobody is let in when the system has no more room for connections [s]."""


class Welcome:
    """Lets in whoever connects to some sockets, and gives each a protocol.

    `asyncio.Server` drops a connection that it has accepted, and not yet taken over, at the moment it is closed.
    """

    def __init__(self, sockets: Sequence[socket.socket], protocol: Callable[[], asyncio.Protocol]) -> None:
        self._sockets, self._protocol = sockets, protocol
        self._loop = asyncio.get_running_loop()
        self._coming: set[asyncio.Task[object]] = set()
        self._open = False

    def open(self) -> None:
        """Begin to let in."""
        self._open = True
        for each in self._sockets:
            each.setblocking(False)
            self._hear(each)

    async def close(self) -> None:
        """Let in nobody more, close the sockets, and wait until all who were let in have their protocols."""
        self._open = False
        for each in self._sockets:
            self._loop.remove_reader(each.fileno())
            each.close()
        if self._coming:
            await asyncio.wait(self._coming)

    def _hear(self, each: socket.socket) -> None:
        if self._open:
            self._loop.add_reader(each.fileno(), self._let_in, each)

    def _let_in(self, each: socket.socket) -> None:
        for _ in range(AT_ONCE):
            try:
                connection, _ = each.accept()
            except (BlockingIOError, InterruptedError, ConnectionAbortedError):
                return
            except OSError:  # no more files, or no more memory
                self._loop.remove_reader(each.fileno())
                self._loop.call_later(PAUSE, self._hear, each)
                return
            coming = self._loop.create_task(self._loop.connect_accepted_socket(self._protocol, connection))
            self._coming.add(coming)
            coming.add_done_callback(self._come)

    def _come(self, coming: asyncio.Task[object]) -> None:
        self._coming.discard(coming)
        if not coming.cancelled():
            coming.exception()  # who has left meanwhile is nobody's fault
