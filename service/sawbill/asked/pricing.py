"""What is to be reckoned on top of the purchase, and how far each of it may go."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

MOST_CONTINGENCY: Final = Decimal(1)
MOST_MARKUP: Final = Decimal(5)
MOST_MARGIN: Final = Decimal("0.9")
"""The greatest contingency and markup, each a share of the cost, and margin, a share of the price (our own limits)."""
LEAST_FACTOR: Final = Decimal(1)
MOST_FACTOR: Final = Decimal(20)
"""What materials may be multiplied by (our own limits, no source)."""
MOST_RATE: Final = Decimal(1_000_000)
"""The dearest hour [money] (our own limit, no source)."""

_NUMBER: Final = re.compile(r"\d{1,7}(?:\.\d{1,4})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Pricing:
    """What is reckoned on top of the purchase; None: not asked for.

    contingency: share of the materials to set aside; labour_rate: of an hour [money]; factor: what materials are
    multiplied by; markup: share of the cost that is added to it; margin: share of the price that is no cost.
    """

    contingency: Decimal | None = None
    labour_rate: Decimal | None = None
    factor: Decimal | None = None
    markup: Decimal | None = None
    margin: Decimal | None = None


def read_number(text: str) -> Decimal:
    """Read a plain number above or at zero, such as 25 or 2.5. Raises ValueError: it is written otherwise."""
    if _NUMBER.fullmatch(text.strip()) is None:
        raise ValueError("write a plain number, such as 25 or 2.5, with a point and no sign, unit or thousands mark")
    return Decimal(text.strip())
