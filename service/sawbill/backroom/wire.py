"""How messages go between processes: their length in four bytes, then so many bytes."""

from __future__ import annotations

import asyncio
import os
import socket
import struct
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final

_LENGTH: Final = struct.Struct("!I")
_CREDENTIALS: Final = struct.Struct("3i")
"""struct ucred (Linux, unix(7)): process, user and group."""


@dataclass(frozen=True, slots=True)
class Order:
    """A task on its way to an engine.

    work: its function and arguments, which only an engine unpacks; shared: None for what the other end holds.
    """

    work: bytes
    shared: tuple[tuple[str, bytes | None], ...]
    caller: str
    label: str
    rank: int
    seconds: float


class UnknownPeerError(OSError):
    """The other end of a socket is another user's."""


def send(line: socket.socket, message: bytes) -> None:
    """Send a message. Raises OSError."""
    line.sendall(_LENGTH.pack(len(message)) + message)


def receive(line: socket.socket) -> bytes:
    """Wait for a message. Raises EOFError: none will come; OSError."""
    return _exactly(line, _LENGTH.unpack(_exactly(line, _LENGTH.size))[0])


def _exactly(line: socket.socket, count: int) -> bytes:
    found = bytearray()
    while len(found) < count:
        more = line.recv(min(count - len(found), 1 << 20))
        if not more:
            raise EOFError
        found += more
    return bytes(found)


def write(writer: asyncio.StreamWriter, message: bytes) -> None:
    """Send a message, as soon as it can go."""
    writer.write(_LENGTH.pack(len(message)))
    writer.write(message)


async def read(reader: asyncio.StreamReader) -> bytes:
    """Wait for a message. Raises EOFError: none will come; OSError."""
    (count,) = _LENGTH.unpack(await reader.readexactly(_LENGTH.size))
    return await reader.readexactly(count)


def listen() -> socket.socket:
    """Listen for those of this user on this machine: on Linux under a name without a file, which nothing can remove."""
    listener = socket.socket(socket.AF_UNIX)
    name = f"sawbill-{os.getpid()}-{os.urandom(16).hex()}"
    if sys.platform == "linux":
        listener.bind(f"\0{name}")
    else:
        path = f"/tmp/{name}"
        listener.bind(path)
        Path(path).chmod(0o600)
    listener.listen(128)
    return listener


def connect(address: str | bytes) -> socket.socket:
    """Connect to who listens. Raises OSError: nobody does, or somebody else."""
    line = socket.socket(socket.AF_UNIX)
    try:
        line.connect(address)
        check_peer(line)
    except OSError:
        line.close()
        raise
    return line


def broken() -> socket.socket:
    """A line whose other end is gone."""
    own, other = socket.socketpair()
    other.close()
    return own


def check_peer(line: socket.socket) -> None:
    """See that the other end is this user's: what it sends is believed. Raises UnknownPeerError. On Linux only."""
    if sys.platform != "linux":
        return
    _, user, _ = _CREDENTIALS.unpack(line.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, _CREDENTIALS.size))
    if user not in (os.getuid(), 0):
        raise UnknownPeerError("the other end of a socket of the back room is another user's")
