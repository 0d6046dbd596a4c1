"""A request as it was read, held against what may be asked, and as WSGI has it (PEP 3333)."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any, Final
from urllib.parse import unquote_to_bytes

import h11

from sawbill.web.door.refusing import LONGEST_ADDRESS, LONGEST_HEADER, MOST_HEADERS, RefusedError

LEFT: Final = "sawbill.left"
"""Where the environment of a request has the `Presence` of who asks."""


class Presence:
    """Whether who asks is still there; who works for him may be told when he is not."""

    def __init__(self) -> None:
        self.gone = False
        self._told: set[Callable[[], object]] = set()

    def when_gone(self, told: Callable[[], object]) -> None:
        """Have a function called when he has left, at once if he has."""
        self._told.add(told)
        if self.gone:
            told()

    def leave(self) -> None:
        """Tell that he has left."""
        self.gone = True
        for told in list(self._told):
            told()

    def forget(self, told: Callable[[], object]) -> None:
        """Tell this one no more."""
        self._told.discard(told)

    def end(self) -> None:
        """Let go of whom to tell: there is nothing more to do for him."""
        self._told = set()


@dataclass(slots=True)
class Incoming:
    """A request that comes in: its head, and its body as far as it is there."""

    head: h11.Request
    most: int
    pieces: list[bytes] = field(default_factory=list)
    length: int = 0

    def check(self) -> None:
        """See that its head is as heads may be. Raises RefusedError."""
        head = self.head
        line = len(head.method) + len(head.target) + len(b"  HTTP/1.1")
        if line > LONGEST_ADDRESS:
            raise RefusedError("address-too-long")
        if len(head.headers) > MOST_HEADERS or any(len(a) + len(b) > LONGEST_HEADER for a, b in head.headers):
            raise RefusedError("headers-too-large")
        if head.http_version not in (b"1.0", b"1.1"):
            raise RefusedError("bad-request")
        given = self._given(b"content-length")
        if given and self._given(b"transfer-encoding"):
            raise RefusedError("bad-request")
        if any(each.lower() != b"100-continue" for each in self._given(b"expect")):
            raise RefusedError("expectation-failed")
        if given and int(given[0]) > self.most:
            raise RefusedError("too-large")

    def add(self, data: bytes) -> None:
        """Take in more of its body. Raises RefusedError: it is too large."""
        self.pieces.append(data)
        self.length += len(data)
        if self.length > self.most:
            raise RefusedError("too-large")

    def _given(self, name: bytes) -> list[bytes]:
        return [value for each, value in self.head.headers if each == name]

    def environ(self, client: Any, server: Any, presence: Presence) -> dict[str, Any]:
        """Give it as WSGI has it. Raises RefusedError: its target is none."""
        path, _, query = self._target().partition(b"?")
        host, port = server[:2] if isinstance(server, tuple) else ("localhost", 0)
        environ: dict[str, Any] = {
            "REQUEST_METHOD": self.head.method.decode("latin-1"),
            "SCRIPT_NAME": "",
            "PATH_INFO": unquote_to_bytes(path).decode("latin-1"),
            "RAW_URI": self.head.target.decode("latin-1"),
            "QUERY_STRING": query.decode("latin-1"),
            "SERVER_NAME": host,
            "SERVER_PORT": str(port),
            "SERVER_PROTOCOL": f"HTTP/{self.head.http_version.decode('latin-1')}",
            "REMOTE_ADDR": client[0] if isinstance(client, tuple) else "",
            "REMOTE_PORT": str(client[1]) if isinstance(client, tuple) else "",
            "wsgi.version": (1, 0),
            "wsgi.url_scheme": "http",
            "wsgi.input": BytesIO(b"".join(self.pieces)),
            "wsgi.errors": sys.stderr,
            "wsgi.multithread": True,
            "wsgi.multiprocess": True,
            "wsgi.run_once": False,
            LEFT: presence,
        }
        return environ | self._headers()

    def _headers(self) -> dict[str, str]:
        """The headers; of a name with an underscore none, for it would be taken for another's."""
        found: dict[str, str] = {}
        for name, value in self.head.headers:
            if b"_" in name or name == b"transfer-encoding":
                continue
            key = name.decode("latin-1").upper().replace("-", "_")
            key = key if key in ("CONTENT_TYPE", "CONTENT_LENGTH") else f"HTTP_{key}"
            text = value.decode("latin-1")
            found[key] = f"{found[key]},{text}" if key in found else text
        if self.length or "CONTENT_LENGTH" in found:
            found["CONTENT_LENGTH"] = str(self.length)
        return found

    def _target(self) -> bytes:
        """The path and query of its target, which may be a whole address (RFC 9112, section 3.2)."""
        target = self.head.target
        if target.startswith(b"/"):
            return target
        for scheme in (b"http://", b"https://"):
            if target.lower().startswith(scheme):
                _, slash, rest = target[len(scheme) :].partition(b"/")
                return slash + rest or b"/"
        if target == b"*" and self.head.method == b"OPTIONS":
            return b"*"
        raise RefusedError("bad-request")
