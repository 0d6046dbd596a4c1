"""How a shop cuts: every setting declared once, for a price book's [shop], a request's shop, and a query."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from sawbill.trade.declaring import headings
from sawbill.trade.declaring.kinds import Length, Share, Whole, YesNo
from sawbill.trade.declaring.members import asked, members_of
from sawbill.trade.lengths import FOOT, INCH, MM

MOST_OFFCUT_VALUE: Final = Decimal("0.5")
"""What an offcut may be worth at most: above, it would pay to buy boards for their offcuts (`cutting.Order.credit`)."""
MOST_EXTRA: Final = Decimal("0.1")
"""What may be spent at most on fewer set-ups (our own limit, no source)."""
MOST_SPARE: Final = 100


@dataclass(frozen=True, slots=True)
class Shop:
    """How the shop cuts [lengths in nm, shares of 1].

    A price book's ranges are wide enough for any saw and any lorry (our own limits, no source).
    """

    kerf: int = asked(
        Length(0, 10 * MM, in_book=(0, INCH)), "Wood lost to one cut, with its unit.", "1/8 in",
        label="Width of the saw cut",
    )  # fmt: skip
    end_trim: int = asked(
        Length(0, 150 * MM, in_book=(0, 12 * INCH)),
        "Wood lost at the end of a new board to square it, with its unit.", "1/2 in",
        label="Trim at a board's end",
    )  # fmt: skip
    rounding_step: int = asked(
        Length(MM // 10, 10 * MM, in_book=(MM // 10, INCH)),
        "The step that cut lengths are rounded to, with its unit.", "1/16 in",
        label="Lengths are rounded to", rare=True,
    )  # fmt: skip
    keep_offcut: int = asked(
        Length(0, 3000 * MM, in_book=(0, 20 * FOOT)), "The shortest leftover worth keeping, with its unit.", "12 in",
        label="Shortest leftover to keep", rare=True,
    )  # fmt: skip
    longest_board: int | None = asked(
        Length(300 * MM, 20_000 * MM, in_book=(FOOT, 100 * FOOT)),
        "The longest board that can be carried or stored, with its unit; unset: any.", "12 ft", None,
    )  # fmt: skip
    spare_boards: int = asked(
        Whole(0, MOST_SPARE), "Boards to buy beyond the plan, of each section; unset: 0.", 1, 0, always=True,
        rare=True,
    )  # fmt: skip
    offcut_value: Decimal = asked(
        Share(MOST_OFFCUT_VALUE),
        "What an offcut that is kept is worth, as a share of the lowest price per length of the boards that will do, "
        "0 % to 50 %; a plan may then cost more and leave larger offcuts, as its proof tells. It has no effect where "
        "stock on hand of a needed thickness may be cut. Unset: 0 %.", "25 %", Decimal(0),
        label="What an offcut is worth", rare=True,
    )  # fmt: skip
    extra_for_fewer_setups: Decimal = asked(
        Share(MOST_EXTRA),
        "How much more than the least may be paid for boards that are cut in fewer different ways, 0 % to 10 %; "
        "unset: 0 %.", "2 %", Decimal(0), label="More for fewer set-ups", rare=True,
    )  # fmt: skip
    no_slivers: bool = asked(
        YesNo(), "Whether no last cut may leave less than the saw's width; unset: no.", True, False,
        rare=True,
    )  # fmt: skip
    yard_cuts: bool = asked(
        YesNo(),
        "Whether boards longer than longest_board may be bought, to be cut at the yard into lengths that are not; "
        "unset: no.", True, False, label="Cuts at the yard", rare=True,
    )  # fmt: skip


SHOP: Final = members_of(Shop, headings.SHOP)
"""The settings by name."""
