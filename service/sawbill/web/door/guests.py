"""Who is connected: so many in all, so many from one address; the longest silent gives way to whoever comes."""

from __future__ import annotations

from collections import OrderedDict
from typing import Final, Protocol

MOST: Final = 1_000
"""How many may be connected to one process."""
MOST_ALIKE: Final = 200
"""How many of those from one address, where it is that of who asks."""


class Guest(Protocol):
    """A connection. address: where it comes from."""

    address: str

    def close_silent(self) -> None:
        """Close it: it asks for nothing just now."""
        ...


class Guests:
    """The connections of a process; those that ask for nothing are told apart, the longest silent first."""

    def __init__(self, most: int = MOST, alike: int = MOST_ALIKE) -> None:
        self._most, self._alike = most, alike
        self._all: set[Guest] = set()
        self._silent: OrderedDict[Guest, None] = OrderedDict()
        self._by_address: dict[str, int] = {}

    def __len__(self) -> int:
        return len(self._all)

    def come(self, guest: Guest) -> bool:
        """Take one in, and whether there was room or room could be made."""
        if self._by_address.get(guest.address, 0) >= self._alike and not self._make_room(guest.address):
            return False
        if len(self._all) >= self._most and not self._make_room(None):
            return False
        self._all.add(guest)
        self._by_address[guest.address] = self._by_address.get(guest.address, 0) + 1
        self._silent[guest] = None
        return True

    def speak(self, guest: Guest) -> None:
        """Note that one has asked for something, and is to be answered."""
        self._silent.pop(guest, None)

    def fall_silent(self, guest: Guest) -> None:
        """Note that one has been answered."""
        if guest in self._all:
            self._silent[guest] = None

    def leave(self, guest: Guest) -> None:
        """Note that one has gone."""
        if guest in self._all:
            self._all.remove(guest)
            self._silent.pop(guest, None)
            left = self._by_address.pop(guest.address) - 1
            if left:
                self._by_address[guest.address] = left

    def silent(self) -> list[Guest]:
        """Those who ask for nothing."""
        return list(self._silent)

    def _make_room(self, address: str | None) -> bool:
        """Close the connection that has been silent longest, of an address or of all; whether there is one."""
        for guest in self._silent:
            if address in (None, guest.address):
                self.leave(guest)
                guest.close_silent()
                return True
        return False
