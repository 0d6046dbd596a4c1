"""Fasteners: bolts and what goes on them, wood screws, joist hangers, straps; how long or wide each must be."""

from sawbill.trade.fasteners.bolts import (
    BOLT_PLAY,
    LOADED_EDGE,
    BoltEnd,
    BoltSize,
    TeeNut,
    bolt_length,
    bolt_play,
    bolt_sizes,
    find_bolt,
    thread_length,
)
from sawbill.trade.fasteners.hardware import (
    ITEMS,
    NUT_CAP,
    SLAT_STRAP,
    SLAT_STRAPS,
    STRAP,
    STRAP_BELOW,
    STRAP_PULL,
    Item,
)
from sawbill.trade.fasteners.joist_hangers import Hanger, find_hanger, hanger_for, hangers
from sawbill.trade.fasteners.listed import FastenerError
from sawbill.trade.fasteners.screws import (
    SCREW_COVER,
    ScrewSize,
    find_screw,
    screw_length,
    screw_sizes,
    short_screw,
)

__all__ = [
    "BOLT_PLAY",
    "ITEMS",
    "LOADED_EDGE",
    "NUT_CAP",
    "SCREW_COVER",
    "SLAT_STRAP",
    "SLAT_STRAPS",
    "STRAP",
    "STRAP_BELOW",
    "STRAP_PULL",
    "BoltEnd",
    "BoltSize",
    "FastenerError",
    "Hanger",
    "Item",
    "ScrewSize",
    "TeeNut",
    "bolt_length",
    "bolt_play",
    "bolt_sizes",
    "find_bolt",
    "find_hanger",
    "find_screw",
    "hanger_for",
    "hangers",
    "screw_length",
    "screw_sizes",
    "short_screw",
    "thread_length",
]
