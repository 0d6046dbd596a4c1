"""A request answered by the application, in a thread: what it gives goes to the event loop whole, or piece by piece."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import CancelledError
from concurrent.futures import TimeoutError as LateError
from typing import Any, Final, Protocol

from sawbill.web.door.request import Presence

Headers = Sequence[tuple[str, str]]
SENDING: Final = 30.0
"""How long who is answered may read nothing [s]."""
_LOG: Final = logging.getLogger("sawbill.web.door")


class LeftError(OSError):
    """Who asked has left."""


class Line(Protocol):
    """Where an answer goes, in the event loop."""

    def send(self, status: int, headers: Headers, data: bytes) -> None:
        """Send an answer, all of it."""
        ...

    def begin(self, status: int, headers: Headers) -> None:
        """Send the head of an answer."""
        ...

    async def more(self, data: bytes) -> None:
        """Send more of a body, as soon as there is room. Raises LeftError."""
        ...

    def end(self, *, well: bool) -> None:
        """End an answer that was begun; well: all of it was sent."""
        ...


class Answering:
    """One answer of the application."""

    def __init__(self, loop: asyncio.AbstractEventLoop, line: Line, presence: Presence) -> None:
        self._loop, self._line, self._presence = loop, line, presence
        self._head: tuple[int, Headers] | None = None

    def answer(self, application: Callable[..., Iterable[bytes]], environ: dict[str, Any]) -> None:
        """Have the application answer; what it raises is logged, and ends the connection."""
        well = False
        try:
            body = application(environ, self._start)
            try:
                well = self._sent(body)
            finally:
                close = getattr(body, "close", None)
                if close is not None:
                    close()
        except (LeftError, LateError, CancelledError):
            _LOG.debug("who asked has left")
        except Exception:
            _LOG.exception("the application failed")
        finally:
            self._presence.end()
            environ.clear()  # it holds itself, by the request that was made of it, and with it all that was sent
            self._loop.call_soon_threadsafe(lambda: self._line.end(well=well))

    def _start(self, status: str, headers: Headers, exc_info: object = None) -> Callable[[bytes], None]:
        self._head = int(status.split()[0]), headers
        return _written

    def _sent(self, body: Iterable[bytes]) -> bool:
        """Send a body whose length is known at once, another piece by piece."""
        assert self._head is not None, "the application says how its answer begins before it gives the body"
        status, headers = self._head
        if status in (204, 304) or any(name.lower() == "content-length" for name, _ in headers):
            self._loop.call_soon_threadsafe(self._line.send, status, headers, b"".join(body))
            return True
        self._loop.call_soon_threadsafe(self._line.begin, status, headers)
        for piece in body:
            if piece:
                self._wait(piece)
        return True

    def _wait(self, piece: bytes) -> None:
        """Have a piece sent, and wait until it is. Raises LeftError; LateError: it is not read."""
        if self._presence.gone:
            raise LeftError
        asyncio.run_coroutine_threadsafe(self._line.more(piece), self._loop).result(SENDING)


def _written(_: bytes) -> None:
    raise NotImplementedError("the application gives its body, and writes nothing")
