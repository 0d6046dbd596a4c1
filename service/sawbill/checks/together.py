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
from sawbill.checks.strength import Loaded, strength_of
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
        *check_beds(frame),
        *check_high_beds(frame),
        *check_material(frame, site, materials),
        *(strength_of(loaded.in_wood(materials)) if loaded.cases else ()),
        *check_tipping(frame, site, materials),
        *check_carrying(frame, site, materials),
        *check_room(frame, site),
        *check_told(site),
    ]
