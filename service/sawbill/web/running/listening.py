"""The socket that the service listens on: shared with a successor, handed over by whoever started it, left in order.

When a socket is closed, the system resets whoever has connected and was not accepted yet. So newcomers are turned away
first: they knock again after a second, and find the successor on the port, or nobody.
"""

from __future__ import annotations

import ctypes
import os
import socket
import struct
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Any, Final

from gunicorn.arbiter import Arbiter
from gunicorn.systemd import SD_LISTEN_FDS_START

from sawbill.backroom.starting import Keeper
from sawbill.web.running.metrics import Process

SETTLE: Final = 0.5
"""How long those who have begun to connect may take over it [s]: beyond a way around the world and back."""
ACCEPTED: Final = 2.0
"""How long until the last who has connected is accepted [s], at most."""

_ATTACH_FILTER: Final = 26
"""SO_ATTACH_FILTER (Linux, asm-generic/socket.h), which Python does not name."""
_NO_NEWCOMERS: Final = b"".join(
    struct.pack("HBBI", *step)
    for step in (
        (0x30, 0, 0, 13),  # load the flags: RFC 9293, section 3.1, the header's 14th byte
        (0x54, 0, 0, 0x12),  # of them SYN and ACK
        (0x15, 0, 1, 0x02),  # SYN alone: the first of a connection
        (0x06, 0, 0, 0),  # is dropped
        (0x06, 0, 0, 0xFFFF_FFFF),  # all else is let through
    )
)
"""A program for the system's socket filter (Linux, Documentation/networking/filter.rst; opcodes of linux/bpf_common.h).
"""


class NotSharedError(Exception):
    """A port cannot be shared; the message says what would be right."""


class Master(Arbiter):  # type: ignore[misc]  # untyped
    """Gunicorn's master, which lets the workers accept all who have connected before it ends.

    It sees to the back room as well, which is started before the workers, and again where it was killed or is stuck.
    """

    def __init__(self, app: Any, keeper: Keeper | None = None, stuck: Callable[[Process], None] | None = None) -> None:
        """Stuck: is told which process stood still, and was ended."""
        super().__init__(app)
        self._keeper, self._stuck = keeper, stuck

    def manage_workers(self) -> None:
        """See that there are as many workers as there are to be, and a back room."""
        if self._keeper is not None:
            before = self._keeper.stuck
            self._keeper.see_to_it()
            if self._keeper.stuck > before:
                self._tell_stuck("back room")
        super().manage_workers()

    def murder_workers(self) -> None:
        """End workers that have stood still for too long, and tell how many they were."""
        before = self._aborted()
        super().murder_workers()
        for _ in range(self._aborted() - before):
            self._tell_stuck("worker")

    def _aborted(self) -> int:
        return sum(worker.aborted for worker in self.WORKERS.values())

    def _tell_stuck(self, process: Process) -> None:
        if self._stuck is not None:
            self._stuck(process)

    def stop(self, graceful: bool = True) -> None:
        """End the workers, and everything with them."""
        if graceful and self._alone():
            _leave(self.LISTENERS)
        super().stop(graceful)

    def _alone(self) -> bool:
        """Whether the socket is this service's own: one that was handed over stays open, and nobody is reset."""
        return not self.systemd and self.reexec_pid == self.master_pid == 0


def shared(host: str, port: int) -> socket.socket:
    """Bind a socket to a port that others, started so by the same user, are bound to or will be.

    Raises NotSharedError.
    """
    bound = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    try:
        for option in (socket.SO_REUSEADDR, socket.SO_REUSEPORT):
            bound.setsockopt(socket.SOL_SOCKET, option, 1)
        bound.bind((host, port))
    except OSError as error:
        bound.close()
        remedy = "the service that listens there must have been started with --share-port, by the same user"
        raise NotSharedError(f"port {port} of {host} cannot be shared: {error.strerror}; {remedy}") from error
    return bound


def handed_over() -> list[str]:
    """Give the addresses of the sockets that whoever started this process handed over, as systemd does.

    They are where others reach the service, whatever it was told to bind to. A socket in the file system is its path.
    """
    if os.environ.get("LISTEN_PID") != str(os.getpid()):
        return []
    return [_address(SD_LISTEN_FDS_START + number) for number in range(int(os.environ.get("LISTEN_FDS", "0")))]


def _address(number: int) -> str:
    with socket.socket(fileno=os.dup(number)) as held:
        name = held.getsockname()
    return str(name[0] if isinstance(name, tuple) else name)


def _leave(listeners: Sequence[Any]) -> None:
    """Turn newcomers away, and wait until all who have connected are accepted."""
    for listener in listeners:
        _turn_away(listener)
    begun = time.monotonic()
    while (passed := time.monotonic() - begun) < ACCEPTED:
        if passed > SETTLE and not any(listener.get_backlog() > 0 for listener in listeners):
            break
        time.sleep(0.02)


def _turn_away(listener: Any) -> None:
    """Let nobody begin to connect any more: the system drops the attempt, which is made again. On Linux only."""
    if sys.platform != "linux":
        return
    program = ctypes.create_string_buffer(_NO_NEWCOMERS, len(_NO_NEWCOMERS))
    steps = len(_NO_NEWCOMERS) // struct.calcsize("HBBI")
    with suppress(OSError):  # where filters are not allowed, some may be reset
        listener.setsockopt(socket.SOL_SOCKET, _ATTACH_FILTER, struct.pack("HP", steps, ctypes.addressof(program)))
