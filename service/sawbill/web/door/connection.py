"""One connection: requests read whole, one after the other, and answered by a thread each."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from email.utils import formatdate
from typing import Final

import h11

from sawbill.web.door.house import House
from sawbill.web.door.refusing import RefusedError, kind_of, refusal, response
from sawbill.web.door.request import Incoming, Presence
from sawbill.web.door.sending import Headers, LeftError

LONGEST_HEAD: Final = 64_000
"""How long the head of a request may be in all [bytes]."""
MOST_AHEAD: Final = 64_000
"""How much may be sent before what was asked is answered [bytes]; the rest waits on its way."""
_LOG: Final = logging.getLogger("sawbill.web.door")


class Connection(asyncio.Protocol):
    """A connection in the event loop."""

    def __init__(self, house: House) -> None:
        self._house, self.address = house, ""
        self._http = h11.Connection(h11.SERVER, max_incomplete_event_size=LONGEST_HEAD)
        self._loop = asyncio.get_running_loop()
        self._timer: asyncio.TimerHandle | None = None
        self._incoming: Incoming | None = None
        self._presence: Presence | None = None
        self._room = asyncio.Event()
        self._room.set()
        self._begun, self._line_ended, self._closing = False, False, False
        self._ahead, self._unread = 0, 0
        self._silent_since = self._loop.time()

    # ---- what the event loop tells

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Take in who connects, if there is room."""
        assert isinstance(transport, asyncio.Transport)
        self._transport = transport
        self._client = transport.get_extra_info("peername")
        self.address = self._client[0] if isinstance(self._client, tuple) else ""
        if self._house.guests.come(self):
            self._wait(self._house.times.head, self._too_late)
        else:
            self._refuse("busy")

    def data_received(self, data: bytes) -> None:
        """Read on."""
        if self._closing:
            return
        if self._incoming is None and not self._begun:
            self._begun = True
            self._wait(self._house.times.head, self._too_late)
        self._line_ended = self._line_ended or b"\n" in data
        if self._presence is not None:
            self._ahead += len(data)
            if self._ahead > MOST_AHEAD:  # until it is its turn; that he leaves is then not seen
                self._transport.pause_reading()
        self._http.receive_data(data)
        self._read_on()

    def _read_on(self) -> None:
        """Take up what was read, and refuse what is no request."""
        try:
            self._read()
        except h11.RemoteProtocolError as error:
            self._refuse(kind_of(error, line_ended=self._line_ended))
        except RefusedError as error:
            self._refuse(error.kind)

    def eof_received(self) -> bool:
        """Go on for a while for who has closed his side: he may still read."""
        if self._closing or (self._presence is None and self._incoming is None):
            return False
        if self._presence is None:
            self._refuse("too-slow")
        else:
            self._loop.call_later(self._house.times.lingering, self._presence.leave)
        return True

    def connection_lost(self, exc: Exception | None) -> None:
        """Let go of who has left."""
        self._stop_waiting()
        self._closing = True
        self._room.set()
        self._house.guests.leave(self)
        self._house.leaving.discard(self._transport)
        if self._presence is not None:
            self._presence.leave()

    def pause_writing(self) -> None:
        """Hold back what is not read at the other end, for a while, and hear nothing more meanwhile."""
        self._room.clear()
        self._transport.pause_reading()
        self._wait(self._house.times.reading, self._transport.abort)

    def resume_writing(self) -> None:
        """Go on: there is room again."""
        self._room.set()
        if self._closing:  # its own wait goes on
            self._transport.resume_reading()
            return
        self._stop_waiting()
        if self._presence is None:
            self._next()
        elif self._ahead <= MOST_AHEAD:
            self._transport.resume_reading()

    # ---- reading

    def _read(self) -> None:
        """Take up what was read, until there is a whole request, or nothing more for now. Raises RefusedError."""
        while self._presence is None and not self._closing:
            event = self._http.next_event()
            if event is h11.NEED_DATA:
                if self._incoming is not None and self._http.they_are_waiting_for_100_continue:
                    self._write(self._http.send(h11.InformationalResponse(status_code=100, headers=[])))
                return
            if event is h11.PAUSED or isinstance(event, h11.ConnectionClosed):
                return
            self._take(event)

    def _take(self, event: object) -> None:
        if isinstance(event, h11.Request):
            self._incoming = Incoming(event, self._house.most)
            self._incoming.check()
            self._wait(self._house.times.whole, self._too_late)
        elif isinstance(event, h11.Data):
            assert self._incoming is not None
            self._incoming.add(bytes(event.data))
        elif isinstance(event, h11.EndOfMessage):
            if event.headers:
                raise RefusedError("bad-request")
            self._ask()

    def _ask(self) -> None:
        """Have the request answered that is whole now."""
        assert self._incoming is not None
        presence = Presence()
        environ = self._incoming.environ(self._client, self._transport.get_extra_info("sockname"), presence)
        self._presence = presence
        self._stop_waiting()
        self._house.guests.speak(self)
        self._house.answer(self, environ, presence)

    # ---- answering, in the event loop

    def send(self, status: int, headers: Headers, data: bytes) -> None:
        """Send an answer, all of it."""
        self._head(status, headers, data)

    def begin(self, status: int, headers: Headers) -> None:
        """Send the head of an answer."""
        self._head(status, headers, b"")

    async def more(self, data: bytes) -> None:
        """Send more of a body, as soon as there is room. Raises LeftError."""
        await self._room.wait()
        if self._closing:
            raise LeftError
        self._write(self._http.send(h11.Data(data=data)))

    def end(self, *, well: bool) -> None:
        """End an answer; well: all of it was sent. Then read on, unless this was the last."""
        if self._closing:
            return
        self._presence = self._incoming = None
        self._begun = self._line_ended = False
        if not well or self._http.states[h11.SERVER] is not h11.SEND_BODY:
            self._transport.abort()
            return
        self._write(self._http.send(h11.EndOfMessage()))
        if self._http.states[h11.SERVER] is h11.MUST_CLOSE:  # as it was told; who was not may be asking already
            self._close()
            return
        self._http.start_next_cycle()
        self._house.guests.fall_silent(self)
        self._silent_since = self._loop.time()
        if self._room.is_set():
            self._next()

    def _next(self) -> None:
        """Go on with what was read already, or wait for it."""
        self._ahead = 0
        self._transport.resume_reading()
        self._wait(self._house.times.idle, self._too_late)
        self._read_on()

    def _head(self, status: int, headers: Headers, data: bytes) -> None:
        if self._closing or self._presence is None:
            return
        more = [("Date", formatdate(usegmt=True)), *([("Connection", "close")] if self._house.ending else [])]
        try:
            found = self._http.send(response(status, [*headers, *more])) or b""
            found += (self._http.send(h11.Data(data=data)) or b"") if data else b""
        except h11.LocalProtocolError:
            _LOG.exception("the application's answer is none")
            self._transport.abort()
        else:
            self._write(found)

    def _write(self, data: bytes | None) -> None:
        if data:
            self._transport.write(data)

    # ---- the end

    def _refuse(self, kind: str) -> None:
        """Send a problem in place of an answer, and close."""
        if self._closing:
            return
        _LOG.info("refused what came from %s: %s", self.address, kind)
        if self._http.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            status, headers, body = refusal(kind, self._house.most)
            self._write(self._http.send(response(status, headers)))
            self._write(self._http.send(h11.Data(data=body)))
        self._close()

    def _too_late(self) -> None:
        """End the wait for what does not come: who has sent a head is told."""
        if self._incoming is not None:
            self._refuse("too-slow")
        else:
            self._transport.abort()

    def silent_for(self) -> float:
        """How long nothing has been asked here [s]; 0 where a request is on its way, or is being answered."""
        busy = self._incoming is not None or self._presence is not None
        return 0.0 if busy else self._loop.time() - self._silent_since

    def close_silent(self) -> None:
        """Close it: it asks for nothing just now."""
        if self._presence is None:
            self._close()

    def _close(self) -> None:
        """Close, once the other side has read what was sent: what it still sends is thrown away."""
        self._closing = True
        self._house.guests.leave(self)
        if self._transport.can_write_eof():
            self._transport.write_eof()
        self._unread = self._transport.get_write_buffer_size()
        if self._unread:
            self._house.leaving.add(self._transport)
        self._wait(self._house.times.reading if self._unread else self._house.times.lingering, self._linger)

    def _linger(self) -> None:
        """Wait on for who still reads, and for nobody else."""
        left = self._transport.get_write_buffer_size()
        if self._unread and left < self._unread:
            self._unread = left
            self._wait(self._house.times.reading if left else self._house.times.lingering, self._linger)
        else:
            self._transport.abort()

    def _wait(self, seconds: float, then: Callable[[], None]) -> None:
        self._stop_waiting()
        self._timer = self._loop.call_later(seconds, then)

    def _stop_waiting(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
