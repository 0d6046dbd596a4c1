"""The quotes made last, so that a sheet that asks for one quote's values cell by cell has it made once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import Final

MOST: Final = 64
"""How many are held."""
MOST_BYTES: Final = 200_000
"""The largest that is held [bytes]."""


@dataclass(frozen=True, slots=True)
class Made:
    """A quote as the bytes of its JSON, and the title of its price book.

    lasting: whether the same request gives the same again, which is not so where a clock ended the search.
    """

    data: bytes
    title: str
    lasting: bool


class Recent:
    """Quotes by what they were made from, request, revision and engine; what is used least goes first."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, Made] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: str) -> Made | None:
        """Give a quote, if it is held."""
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
            return self._held.get(key)

    def put(self, key: str, made: Made) -> None:
        """Hold a quote, unless a clock cut it or it is very large."""
        if not made.lasting or len(made.data) > MOST_BYTES:
            return
        with self._lock:
            self._held[key] = made
            self._held.move_to_end(key)
            while len(self._held) > MOST:
                self._held.popitem(last=False)
