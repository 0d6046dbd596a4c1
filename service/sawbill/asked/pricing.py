"""What is to be reckoned on top of the purchase, and how far each of it may go."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from sawbill.making.rates import PHASES, Phase
from sawbill.trade.declaring.headings import WORK
from sawbill.trade.declaring.kinds import Number, Share, Word
from sawbill.trade.declaring.members import Group, Rows, asked, members_of

MOST_CONTINGENCY: Final = Decimal(1)
MOST_MARKUP: Final = Decimal(5)
MOST_MARGIN: Final = Decimal("0.9")
"""The greatest contingency and markup, each a share of the cost, and margin, a share of the price (our own limits)."""
LEAST_FACTOR: Final = Decimal(1)
MOST_FACTOR: Final = Decimal(20)
"""What materials may be multiplied by (our own limits, no source)."""
MOST_RATE: Final = Decimal(1_000_000)
"""The dearest hour [money] (our own limit, no source)."""


@dataclass(frozen=True, slots=True)
class Pricing:
    """What is reckoned on top of the purchase [shares of 1, money]; None: not asked for."""

    contingency: Decimal | None = asked(
        Share(MOST_CONTINGENCY),
        "What to set aside for materials that turn out bad or dearer, of the materials with their tax, 0 % to 100 %.",
        "10 %", None, rare=True,
    )  # fmt: skip
    labour_rate: Decimal | None = asked(
        Number(Decimal(0), MOST_RATE),
        "What an hour of work costs, as a plain number [the price book's currency].", "25.00", None,
        label="Price of an hour",
    )  # fmt: skip
    labour_for: tuple[Phase, ...] = asked(
        Rows(Word(*PHASES), len(PHASES), "A part of the work.", "finishing"),
        f"Which work the labour is of: {', '.join(PHASES)}; unset: making, which is all but these two.",
        ["making", "finishing"], ("making",), label="Hours that are charged", rare=True,
    )  # fmt: skip
    factor: Decimal | None = asked(
        Number(LEAST_FACTOR, MOST_FACTOR),
        "Sell for the materials times this, a plain number from 1 to 20.", "2.5", None,
        label="Materials times", rare=True,
    )  # fmt: skip
    markup: Decimal | None = asked(
        Share(MOST_MARKUP), "Sell for the cost and so much of the cost more, 0 % to 500 %.", "30 %", None
    )
    margin: Decimal | None = asked(
        Share(MOST_MARGIN), "Sell for so much that this share of the price is no cost, 0 % to 90 %.", "25 %", None,
        rare=True,
    )  # fmt: skip


NOTHING: Final = Pricing()
"""Where nothing is reckoned on top."""


def _once(phases: Iterable[Phase]) -> tuple[Phase, ...]:
    """Parts of the work, each once, in their order."""
    wanted = {*phases}
    return tuple(phase for phase in PHASES if phase in wanted)


PRICING: Final = Group(
    "PricingAsked",
    "What is reckoned on top of the purchase, all of it common practice; what is unset is not reckoned.",
    members_of(Pricing, WORK),
    lambda reader, at, given: Pricing(**given | {"labour_for": _once(given.get("labour_for", ("making",)))}),
)
