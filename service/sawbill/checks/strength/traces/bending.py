"""A section that is bent, written out: the stress, what the wood bears, the share of it."""

from __future__ import annotations

from sawbill.checks.resistance.wood import Graded, Lasting
from sawbill.checks.strength.beams import Layer
from sawbill.checks.strength.calculation import Calculation
from sawbill.checks.strength.traces import ec5, nds


def write_bending(
    sheet: Calculation, wood: Graded, layer: Layer, span: float, lasting: Lasting, moment: str
) -> None:  # fmt: skip
    """Write how much a moment, in symbols, uses of a layer in a wood; its section modulus S is there."""
    if wood.standard == "NDS":
        sheet.reckon("fb", "bending stress", f"{moment} / S", "MPa", "NDS", "3.3.2")
        nds.bending(sheet, wood, layer, span, lasting)
        sheet.reckon("used", "share used", "fb / Fb'", "share of 1")
    else:
        sheet.reckon("sm", "bending stress", f"{moment} / S", "MPa", "EC5", "6.1.6")
        ec5.bending(sheet, wood, layer, span, lasting)
        sheet.reckon("used", "share used", "sm / fm'", "share of 1")
