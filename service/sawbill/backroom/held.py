"""What one side of a line holds of what tasks share; the other keeps the same list, and so knows what to hand over."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

MOST_HELD: Final = 8
"""How much is held, of what was used last."""


class Held:
    """What is held, by name."""

    def __init__(self) -> None:
        self.values: OrderedDict[str, Any] = OrderedDict()

    def use(self, keys: Iterable[str], new: Callable[[str], Any]) -> list[Any]:
        """Give what is held by these names; new: gives what is not held yet."""
        found = []
        for key in keys:
            if key not in self.values:
                self.values[key] = new(key)
            self.values.move_to_end(key)
            found.append(self.values[key])
        while len(self.values) > MOST_HELD:
            self.values.popitem(last=False)
        return found

    def lacking(self, given: Mapping[str, bytes]) -> dict[str, bytes]:
        """Note that the other side uses what is given, and tell what of it has to be handed over."""
        found: dict[str, bytes] = {}

        def hand_over(key: str) -> None:
            found[key] = given[key]

        self.use(given, hand_over)
        return found
