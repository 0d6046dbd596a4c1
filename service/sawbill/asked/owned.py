"""What the maker has already: boards, hardware and supplies, which are used before any are bought."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from sawbill.asked.faults import Pointer
from sawbill.asked.lines import HARDWARE, LONGEST, MOST_HARDWARE, SHORTEST, quantity
from sawbill.asked.reader import Reader
from sawbill.prices.pricebook import SUPPLIES
from sawbill.trade import design_values, lumber
from sawbill.trade.declaring.kinds import LengthGiven, Name, SectionName, Text, Word
from sawbill.trade.declaring.members import Group, Member, members
from sawbill.trade.declaring.reading import OptionError
from sawbill.trade.declaring.shown import show
from sawbill.trade.lumber import Section
from sawbill.trade.quantities import QuantityError, parse_quantity

MOST_OWNED: Final = 1_000_000
"""The most of one supply that a maker may say to have [ml, g or pieces] (our own limit, no source)."""


@dataclass(frozen=True, slots=True)
class OnHand:
    """Boards that the maker has: species and grade may be unknown; length [nm].

    design_values: what is told of their strength, a word of `trade.design_values.find_told`.
    """

    section: Section
    length: int
    quantity: int
    species: str | None = None
    grade: str | None = None
    design_values: str | None = None


def _on_hand(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> OnHand | None:
    known = {"quantity": 1, **given}
    return OnHand(**known) if {"section", "length"} <= given.keys() else None


_BOARDS: Final = "Boards that the maker has; the rows of an answer's leftovers may stand here as they are."
ON_HAND: Final = Group("OnHand", _BOARDS, members(
    Member("section", SectionName(), "Their section, by name.", "2x4", required=True),
    Member(
        "length", LengthGiven(SHORTEST, LONGEST), "The length of each that can be cut from, its ends square.",
        required=True,
    ),
    quantity("How many; unset: 1.", 5),
    Member("species", Name(lumber.find_species), "Their species, if known.", "SPF", nullable=True),
    Member("grade", Name(lumber.find_grade), "Their grade, if known.", "No.2", nullable=True),
    Member(
        "design_values", Name(design_values.find_told),
        "What is known of their strength beside their grade: as the column of a price book's lumber.", "C24",
        nullable=True,
    ),
), _on_hand)  # fmt: skip

OWNED_HARDWARE: Final = HARDWARE.but(
    "OwnedHardwareAsked", "Hardware that the maker has.",
    quantity("How many, for all lines together; unset: 1.", 12, MOST_HARDWARE),
)  # fmt: skip


def _supply(reader: Reader, at: Pointer, given: Mapping[str, Any]) -> tuple[str, int] | None:
    """A supply that the maker has, rounded down to whole [ml, g or pieces]."""
    item, raw = given.get("item"), given.get("amount")
    if item is None or raw is None:
        return None
    amount = reader.read((*at, "amount"), lambda name: _amount(name, raw, SUPPLIES[item]))
    return None if amount is None else (item, amount)


def _amount(name: str, raw: str, dimension: Literal["volume", "mass", "count"]) -> int:
    if dimension == "count":
        pieces = int(raw) if raw.isascii() and raw.isdigit() else raw
        if isinstance(pieces, int) and 1 <= pieces <= MOST_OWNED:
            return pieces
        may = f"it may be a whole number from 1 to {MOST_OWNED}"
        raise OptionError("out-of-range", f"{name} is {show(pieces)}; {may}")
    try:
        amount = parse_quantity(raw, dimension)
    except QuantityError as error:
        raise OptionError("not-an-amount", f"{name} is {show(raw)}: {error}") from None
    if not 1 <= amount <= MOST_OWNED:
        unit = "ml" if dimension == "volume" else "g"
        raise OptionError("out-of-range", f"{name} is {raw}; it may be 1 {unit} to {MOST_OWNED} {unit}")
    return int(amount)


OWNED_SUPPLY: Final = Group("OwnedSupplyAsked", "A supply that the maker has.", members(
    Member("item", Word(*SUPPLIES), "Which supply it is.", "wood glue", required=True),
    Member(
        "amount", Text(), "How much, with its unit; sandpaper by the sheet, as a plain number.", "200 ml",
        required=True, late=True,
    ),
), _supply)  # fmt: skip
