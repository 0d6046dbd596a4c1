"""What all connections of a process share, and how long each may take."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sawbill.web.door.guests import Guests
from sawbill.web.door.request import Presence
from sawbill.web.door.sending import Line


@dataclass(slots=True)
class Times:
    """How long who is connected may take [s].

    head: from when he connects, or has sent the first of a request, to the last of its head; whole: from there to the
    last of its body; idle: between two requests; lingering: who has closed his side is worked for no longer than this;
    reading: without reading anything of an answer.
    """

    head: float = 10.0
    whole: float = 15.0
    idle: float = 15.0
    lingering: float = 2.0
    reading: float = 30.0


@dataclass(slots=True)
class House:
    """What all connections of a process share.

    answer: has a request answered, in a thread; most: of a body [bytes]; leaving: who reads the last of one.
    """

    guests: Guests
    answer: Callable[[Line, dict[str, Any], Presence], None]
    most: int
    times: Times
    ending: bool = False
    leaving: set[asyncio.Transport] = field(default_factory=set)

    def sending(self) -> bool:
        """Whether something is yet to be sent to who leaves."""
        return any(each.get_write_buffer_size() for each in self.leaving)
