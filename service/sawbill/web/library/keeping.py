"""The store that a service keeps things in, opened by each process for itself."""

from __future__ import annotations

import os
import threading

from sawbill.store import Store


class Keeper:
    """Opens the store once in each process, at its first use: a connection must not be forked."""

    def __init__(self, where: str | None) -> None:
        """Take where the store is, as `Store.open` does; None: nothing is kept."""
        self._where = where
        self._lock = threading.Lock()
        self._held: tuple[int, Store] | None = None

    @property
    def keeps(self) -> bool:
        """Whether there is a store at all."""
        return self._where is not None

    @property
    def store(self) -> Store:
        """The store of this process. Raises LookupError: nothing is kept."""
        if self._where is None:
            raise LookupError("this service stores nothing")
        with self._lock:
            if self._held is None or self._held[0] != os.getpid():
                self._held = os.getpid(), Store.open(self._where)
            return self._held[1]
