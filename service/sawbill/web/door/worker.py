"""A worker of gunicorn as the service has it: an event loop for all who connect, and threads for their requests."""

from __future__ import annotations

import asyncio
import os
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import Any, Final

from gunicorn.workers.base import Worker

from sawbill.web.door.connection import Connection
from sawbill.web.door.guests import MOST, Guests
from sawbill.web.door.house import House, Times
from sawbill.web.door.request import Presence
from sawbill.web.door.sending import Answering, Line
from sawbill.web.door.welcome import Welcome

THREADS: Final = 160
"""How many requests a process answers at once; `sawbill.web.work.handing_in.MOST_AT_WORK` is less."""
SWITCH: Final = 0.0005
"""How long a thread computes until it is another's turn [s]: the one that hears everybody must not wait for many."""
HEALTH: Final = ("/healthz", "/readyz", "/metrics")
SPARE: Final = 4
"""What is answered however busy all others are, and how many of that at once."""
SILENT: Final = 1.0
"""How long who is connected may yet ask for something when the service is to end [s]."""


class Door(Worker):  # type: ignore[misc]  # untyped
    """Hears who connects."""

    times = Times()

    def run(self) -> None:
        """Serve until it is told to end, or the master has ended."""
        sys.setswitchinterval(SWITCH)
        self._threads = ThreadPoolExecutor(THREADS, "sawbill-request")
        self._spare = ThreadPoolExecutor(SPARE, "sawbill-health")
        asyncio.run(self._serve())
        for threads in (self._threads, self._spare):
            threads.shutdown(wait=False, cancel_futures=True)

    async def _serve(self) -> None:
        self._loop = asyncio.get_running_loop()
        config = self.wsgi.config
        house = House(_guests(by_address=config["BY_ADDRESS"]), self._answer, config["MAX_CONTENT_LENGTH"], self.times)
        welcome = Welcome([each.sock for each in self.sockets], lambda: Connection(house))
        welcome.open()
        while self.alive and self.ppid == os.getppid() and self.nr < self.max_requests:
            self.notify()
            await asyncio.sleep(0.1)
        house.ending = True
        await welcome.close()
        await self._end(house)

    async def _end(self, house: House) -> None:
        """Wait until all who ask are answered, and close those who do not."""
        late = self._loop.time() + float(self.cfg.graceful_timeout)
        while (len(house.guests) or house.sending()) and self._loop.time() < late:
            self.notify()
            for guest in house.guests.silent():
                if isinstance(guest, Connection) and guest.silent_for() > SILENT:
                    guest.close_silent()
            await asyncio.sleep(0.05)

    def _answer(self, line: Line, environ: dict[str, Any], presence: Presence) -> None:
        """Have a request answered, in a thread."""
        self.nr += 1
        with suppress(RuntimeError):  # it is ending
            threads = self._spare if environ["PATH_INFO"] in HEALTH else self._threads
            threads.submit(Answering(self._loop, line, presence).answer, self.wsgi, environ)


def _guests(*, by_address: bool) -> Guests:
    """Those who are connected; by_address: whether they come from their own addresses, and not all from a proxy's."""
    return Guests() if by_address else Guests(alike=MOST)
