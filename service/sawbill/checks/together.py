"""Every check a frame is held against, in the order in which a quote lists them."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from sawbill.checks.beds.bed import check_beds
from sawbill.checks.beds.high_beds import check_high_beds
from sawbill.checks.carrying import check_carrying
from sawbill.checks.finding import Finding
from sawbill.checks.material import check_material
from sawbill.checks.room import check_room
from sawbill.checks.site import Site, check_told
from sawbill.checks.strength import Loaded, Reckoned, strength_of
from sawbill.checks.tipping import check_tipping
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Materials

_NOWHERE: Final = Site()
_UNKNOWN: Final[Materials] = MappingProxyType({})


def check_frame(
    frame: Frame, site: Site = _NOWHERE, materials: Materials = _UNKNOWN, loaded: Loaded | None = None
) -> list[Finding]:
    """Every finding on a frame as it stands, where it is to stand, and in the wood that is cut for its parts.

    loaded: the frame under its cases there, where that is known from before.
    """
    loaded = Loaded(frame, site) if loaded is None else loaded
    return [
        *_of_sizes(frame, site, materials),
        *(strength_of(loaded.in_wood(materials)) if loaded.cases else ()),
        *_of_masses(frame, site, materials),
        *check_told(site),
    ]


def check_quickly(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    """The findings that take hardly longer than the frame itself: all but those of its strength."""
    return [*_of_sizes(frame, site, materials), *_of_masses(frame, site, materials)]


def check_wood(reckoned: Reckoned, site: Site, materials: Materials) -> list[Finding]:
    """The findings that depend on the wood that is cut, but for what pieces weigh."""
    frame = reckoned.paths.frame
    return [
        *check_material(frame, site, materials), *strength_of(reckoned), *check_tipping(frame, site, materials)
    ]  # fmt: skip


def _of_sizes(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    return [*check_beds(frame), *check_high_beds(frame), *check_material(frame, site, materials)]


def _of_masses(frame: Frame, site: Site, materials: Materials) -> list[Finding]:
    return [
        *check_tipping(frame, site, materials), *check_carrying(frame, site, materials), *check_room(frame, site),
    ]  # fmt: skip
