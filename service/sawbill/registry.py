"""The designs on offer: ours and anybody's, found through the entry point group `sawbill.designs`."""

from __future__ import annotations

import copyreg
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.metadata import EntryPoint, entry_points
from typing import Final

from sawbill.trade.design import Design
from sawbill.version import VERSION

GROUP: Final = "sawbill.designs"


class BadDesignError(Exception):
    """A design that cannot be offered; the service does not start until it is mended or taken away."""


@cache
def designs() -> Mapping[str, Design]:
    """The designs on offer by name, in order. Raises BadDesignError: naming every design at fault."""
    return load(entry_points(group=GROUP))


def called(name: str) -> Design:
    """Give the design on offer of this name: how one that is sent to another process is found there."""
    return designs()[name]


copyreg.pickle(Design, lambda design: (called, (design.name,)))


def versions() -> dict[str, str]:
    """What has to be the same where quotes are to be the same, with its version: the engine, and whose designs."""
    found = {"sawbill": VERSION}
    for point in entry_points(group=GROUP):
        if point.dist is not None:
            found[point.dist.name] = point.dist.version
    return found


def load(points: Iterable[EntryPoint]) -> dict[str, Design]:
    """Load designs from entry points, each under the name it declares. Raises BadDesignError."""
    found: dict[str, Design] = {}
    faults: list[str] = []
    for point in sorted(points, key=lambda point: (point.name, point.value)):
        try:
            design = point.load()
        except Exception as error:  # anything a third party's module may raise when it is imported
            faults.append(f"design {point.name} ({point.value}) cannot be loaded: {error!r}")
            continue
        wrong = _faults(point, design, found)
        faults += [f"design {point.name} ({point.value}): {fault}" for fault in wrong]
        if not wrong:
            found[design.name] = design
    if faults:
        raise BadDesignError("\n".join(faults))
    return found


def _faults(point: EntryPoint, design: object, found: Mapping[str, Design]) -> list[str]:
    if not isinstance(design, Design):
        return [f"it is a {type(design).__name__}, not a Design"]
    try:
        faults = design.faults()
    except Exception as error:  # anything that is declared as something it is not
        return [f"its declaration cannot be read: {error!r}"]
    if design.name != point.name:
        faults.append(f"its entry point is called {point.name}, but its name is {design.name}")
    if design.name in found:
        faults.append("there is another design with this name")
    return faults
