"""Plain numbers and shares as they are written: 25, 2.5, 8.25 %."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

_NUMBER: Final = re.compile(r"\d{1,7}(?:\.\d{1,4})?", re.ASCII)
_PERCENT: Final = re.compile(r"(\d{1,3}(?:\.\d{1,4})?)\s*%", re.ASCII)


def parse_number(text: str) -> Decimal:
    """Read a plain number above or at zero, such as 25 or 2.5. Raises ValueError: it is written otherwise."""
    if _NUMBER.fullmatch(text.strip()) is None:
        raise ValueError("write a plain number, such as 25 or 2.5, with a point and no sign, unit or thousands mark")
    return Decimal(text.strip())


def parse_percent(text: str) -> Decimal:
    """Read a share written in percent; 8.25 % is 0.0825. Raises ValueError: it is written otherwise."""
    match = _PERCENT.fullmatch(text.strip())
    if match is None:
        raise ValueError("write it in percent with its sign, such as 8.25 %")
    return (Decimal(match[1]) / 100).normalize()


def percent_text(share: Decimal) -> str:
    """Write a share in percent; 0.0825 is 8.25 %."""
    return f"{(share * 100).normalize():f} %"
