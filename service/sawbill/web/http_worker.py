"""A worker of gunicorn as the service has it: it waits for nobody for ever, and leaves who comes to whoever is free.

A worker works out one quote after the other. What is asked of one that is at work waits, even while another has nothing
to do. So a worker takes in nobody while the last who came in is being answered, and whoever asked for much is to come
in anew for his next request: the system's queue of those who connect is one for all workers.
"""

from __future__ import annotations

import logging
import socket
import time
from contextlib import suppress
from functools import partial
from typing import Any, Final

from gunicorn.util import write_nonblock
from gunicorn.workers.gthread import ThreadWorker

from sawbill.web.refusing import refusal

READING: Final = 15
"""How long a request may take to come in [s]: beyond the solver's limit, for it says nothing of the work."""
WHOLE: Final = 300
"""How long a request may take until its last byte is sent [s]."""
SILENT: Final = 0.01
"""How long who came in may keep silent until the next may come in [s]: hardly longer than it takes to begin."""
PATIENT: Final = 0.25
"""How long the next waits outside while the last who came in is being answered, at most [s]."""
MUCH: Final = 0.02
"""From how long on an answer has taken much [s]: far beyond what is known already takes, below most quotes."""
_LOG: Final = logging.getLogger("sawbill.web.http_worker")


class Worker(ThreadWorker):  # type: ignore[misc]  # untyped
    """A worker whose threads wait for a request only so long: gunicorn's own timeout does not see them.

    What was not read in time ends where it is, and the application answers; what is not sent in time is cut off.
    """

    reading: float = READING
    whole: float = WHOLE

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._begun: dict[Any, float] = {}
        self._alone = self.cfg.workers == 1
        self._last: tuple[Any, float] | None = None

    def load_wsgi(self) -> None:
        """Load the application."""
        super().load_wsgi()
        if not self._alone:
            self.wsgi: Any = partial(_answer, self.wsgi)

    def enqueue_req(self, conn: Any) -> None:
        """Have a request handled, in a thread."""
        if not (self._alone or conn.initialized):
            self._last = conn, time.monotonic()
        super().enqueue_req(conn)

    def finish_request(self, conn: Any, fs: Any) -> None:
        """Go on with a connection whose request is handled."""
        if self._last is not None and self._last[0] is conn:
            self._last = None
        super().finish_request(conn, fs)

    def wait_for_and_dispatch_events(self, timeout: float) -> None:
        """Wait for what is to be done next, and begin it."""
        busy = self._busy_for()
        self.set_accept_enabled(self.alive and self.nr_conns < self.worker_connections)
        super().wait_for_and_dispatch_events(min(timeout, busy) if busy else timeout)

    def _busy_for(self) -> float:
        """How much longer the next has to wait outside [s], if nothing happens before."""
        if self._last is None:
            return 0.0
        conn, begun = self._last
        return max(0.0, begun + (PATIENT if conn.data_ready else SILENT) - time.monotonic())

    def set_accept_enabled(self, enabled: bool) -> None:
        """Begin or cease to accept; at the end the socket is closed at once, while requests that run are finished.

        Whoever connected to it afterwards would wait for them, in vain. A busy worker does not begin.
        """
        super().set_accept_enabled(enabled and self._busy_for() == 0)
        if not enabled and not self.alive:
            for listener in self.sockets:
                listener.close()

    def handle(self, conn: Any) -> Any:
        """Handle a request, in a thread, which also waits for the other side to close: not the one that accepts."""
        self._begun[conn] = time.monotonic()
        try:
            kept = super().handle(conn)
        finally:
            del self._begun[conn]
        if kept is False:
            with suppress(OSError):  # closed already
                conn.close(graceful=True)
            conn.close = _closed
        return kept

    def handle_error(self, req: Any, client: Any, addr: Any, exc: Exception) -> None:
        """Answer a request that cannot be read with a problem; what else goes wrong is gunicorn's to tell."""
        refused = refusal(exc)
        if refused is None:
            super().handle_error(req, client, addr, exc)
            return
        _LOG.info("refused what came from %s: %s", (addr or ("",))[0], type(exc).__name__)
        with suppress(OSError):
            write_nonblock(client, refused)

    def murder_pending(self) -> None:
        """Once a second, end what has waited too long."""
        super().murder_pending()
        now = time.monotonic()
        for conn, begun in list(self._begun.items()):
            if now - begun > self.reading:
                with suppress(OSError):
                    conn.sock.shutdown(socket.SHUT_RDWR if now - begun > self.whole else socket.SHUT_RD)


def _answer(app: Any, environ: Any, start_response: Any) -> Any:
    """Have the application answer; the connection is closed after an answer that took much."""
    begun = time.monotonic()
    answer = app(environ, start_response)
    if time.monotonic() - begun > MUCH:
        start_response.__self__.force_close()
    return answer


def _closed(graceful: bool = False) -> None:
    """Close a connection that is closed."""
