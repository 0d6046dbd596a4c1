"""Frames that are refused for a bolt: what the refusal advises is done, and must do."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from sawbill.testing import reading
from sawbill.trade.design import Design, OptionFaultsError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import System
from sawbill.trade.lumber import section


def built(design: Design, written: Mapping[str, Any], system: System = "inch") -> Frame:
    """The frame asked for; where its wood is too narrow for its bolts, with the thinner ones that are advised."""
    try:
        return design.frame(written, reading(system))
    except OptionFaultsError as error:
        (fault,) = error.faults
        advised = re.search(r"choose a bolt_size of (.+?), or a section at least (.+?) wide", fault.message)
        assert advised, fault.message
        assert fault.option in written or fault.option == "bolt_size", fault
        return design.frame({**written, "bolt_size": advised[1]}, reading(system))


def too_narrow(design: Design, written: Mapping[str, Any], system: System = "inch") -> bool:
    """Whether a design refuses wood as too narrow for a bolt, whose distances want 5-1/2 of its diameters."""
    try:
        design.frame(written, reading(system))
    except OptionFaultsError as error:
        (fault,) = error.faults
        assert "bolt" in fault.message and "choose" in fault.message, fault
        return True
    return False


def width_of(name: str) -> int:
    """How wide a section is [nm]."""
    return section(name).width
