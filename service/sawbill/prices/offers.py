"""What suppliers sell, and the columns of a price book that say it, each declared once.

A column is a member: from it come what a file may hold and how a cell is read (`prices.rows`), how it is written
(`pricebook.content`), and its description (`web.schemas`). Where what a cell may be depends on others, it is read by
hand: such a column is `late`, as is one that no field holds alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal

from sawbill.trade import design_values, fasteners, lumber
from sawbill.trade.declaring.kinds import Length, Name, SectionName, Share, Text, Whole, Word, YesNo
from sawbill.trade.declaring.members import NEEDED, Member, members
from sawbill.trade.lengths import FOOT, MM
from sawbill.trade.lumber import Section
from sawbill.trade.quantities import PriceUnit

Notes = tuple[tuple[str, str], ...]
"""What a row of a book has beside what is read of it: a column's name and its text, each."""
Dimension = Literal["volume", "mass", "count"]

SUPPLIES: Final[Mapping[str, Dimension]] = MappingProxyType(
    {
        "wood glue": "volume",
        "wood oil": "volume",
        "clear finish": "volume",
        "paint": "volume",
        "outdoor finish": "volume",
        "wood filler": "mass",
        "sandpaper": "count",
    }
)
"""What a book may sell beside lumber and hardware, and how each is measured."""


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells: the cost of one trip and of one delivery, and the least value of an order [money].

    delivery is None where the supplier does not deliver; tax_rate is None where the book's rate holds.
    """

    name: str
    trip: Decimal
    delivery: Decimal | None
    minimum_order: Decimal
    tax_rate: Decimal | None = None
    notes: Notes = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class LumberOffer:
    """One stock length of one section at one price.

    section: the size the board has (a measured size where the row gives one), length: as stated [nm],
    measured_length: as measured, where the row gives it [nm]; treated: whether against rot and insects;
    design_values: what the book tells of its strength, a word of `trade.design_values.find_told`, None for no more than
    its grade does;
    price: money for each `per`;
    each: money for one board [minor units]; least_quantity: boards from which the price holds;
    in_stock: boards there are, None for no limit (one number for all the offers of an item).
    """

    supplier: str
    item_code: str
    section: Section
    species: str
    grade: str
    length: int
    measured_length: int | None
    price: Decimal
    per: PriceUnit
    least_quantity: int
    in_stock: int | None
    each: int
    treated: bool = False
    design_values: str | None = None
    notes: Notes = field(default=(), compare=False)

    def __hash__(self) -> int:
        """Soon told: offers are looked up often, and few are alike in this."""
        return hash((self.item_code, self.length, self.each, self.least_quantity))

    @property
    def usable_length(self) -> int:
        """The length there is to cut from [nm]: as measured, else as stated."""
        return self.length if self.measured_length is None else self.measured_length


@dataclass(frozen=True, slots=True)
class HardwareOffer:
    """One pack of one fastener; length [nm], price: money for the pack, each: the same [minor units]."""

    supplier: str
    item_code: str
    item: str
    size: str
    length: int | None
    pack: int
    price: Decimal
    least_quantity: int
    in_stock: int | None
    each: int
    notes: Notes = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class SupplyOffer:
    """One container of a supply; amount [ml, g or pieces], label: the amount as it is written on it."""

    supplier: str
    item_code: str
    item: str
    amount: Fraction
    dimension: Dimension
    label: str
    price: Decimal
    least_quantity: int
    in_stock: int | None
    each: int
    notes: Notes = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class OwnSection:
    """A section that is a book's own; thickness, width [nm]; standard: by what it is of that size, empty: not told."""

    name: str
    thickness: int
    width: int
    standard: str = ""
    notes: Notes = field(default=(), compare=False)

    @property
    def section(self) -> Section:
        """The section itself, which has no nominal size."""
        return Section(self.name, self.thickness, self.width, None, None, "own", self.standard)


Columns = Mapping[str, Member]

LONGEST_NAME: Final = 80
LONGEST_CODE: Final = 40
MOST: Final = 1_000_000
"""The most pieces that a cell may count (our own limit, no source)."""
LONGEST_BOARD: Final = 100 * FOOT
LARGEST_SECTION: Final = 600 * MM
"""The thickest and widest that wood is (our own limit, no source)."""


class Money(Text):
    """An amount of the book's currency, as a plain number."""


def _sold(code: str, seller: str) -> tuple[Member, Member]:
    """Declare who sells a thing, and under what code."""
    return (
        Member("supplier", Text(LONGEST_NAME), "Who sells it.", seller, NEEDED, late=True),
        Member("item_code", Text(LONGEST_CODE), "The supplier's code for it.", code, NEEDED),
    )


def _terms(of: str, least: str, stock: str, there: str) -> tuple[Member, Member]:
    """Declare from how many on the price holds, and how many there are."""
    return (
        Member(
            "least_quantity", Whole(1, MOST), f"From how many {of} the price holds; absent: 1.", least, 1, always=True
        ),
        Member("in_stock", Whole(0, MOST), f"How many {there}there are; absent: no limit.", stock),
    )


SUPPLIERS: Final[Columns] = members(
    Member(
        "name", Text(LONGEST_NAME), "The supplier's name, as the rows of the tables give it.", "Yard A", NEEDED
    ),
    Member("trip", Money(), "What one trip costs [the book's currency].", "6.00", Decimal(0), always=True),
    Member("delivery", Money(), "What one delivery costs [the book's currency]; absent: there is none.", "59.00"),
    Member(
        "minimum_order", Money(),
        "What goods must come to before the supplier delivers, untaxed unless the prices include tax "
        "[the book's currency]; below it they are fetched by a trip.", "50.00", Decimal(0), always=True,
    ),
    Member("tax_rate", Share(Decimal(1)), "The tax rate, where not the book's.", "5 %"),
)  # fmt: skip
LUMBER: Final[Columns] = members(
    *_sold("A-204-08", "Yard A"),
    Member("section", SectionName(), "Its section, by name.", "2x4", NEEDED, late=True),
    Member("species", Name(lumber.find_species), "Its species.", "SPF", NEEDED),
    Member("grade", Name(lumber.find_grade), "Its grade.", "No.2", NEEDED),
    Member("length", Length(100 * MM, LONGEST_BOARD), "Its length, with its unit.", "8 ft", NEEDED),
    Member(
        "price", Money(), "The price [the book's currency] for what `per` says, above zero.", "4.28", NEEDED, late=True
    ),
    Member(
        "per", Word(*PriceUnit), "What the price is for: each, ft, m, board foot or m3.", "each", NEEDED, late=True
    ),
    *_terms("boards", "20", "6", ""),
    Member(
        "measured_thickness", Length(0, LONGEST_BOARD),
        "Its thickness as measured, with its unit; absent: the section's.", "1 1/2 in", late=True,
    ),
    Member(
        "measured_width", Length(0, LONGEST_BOARD), "Its width as measured, with its unit; absent: the section's.",
        "5 7/16 in", late=True,
    ),
    Member(
        "measured_length", Length(0, LONGEST_BOARD), "Its length as measured, with its unit; absent: as stated.",
        "96 1/2 in", late=True,
    ),
    Member(
        "treated", YesNo(), "Whether it is treated against rot and insects, yes or no; absent: no.", "yes", False
    ),
    Member(
        "design_values", Name(design_values.find_told),
        "What is known of its strength beside its grade: a strength class of EN 338 or a grade of strength; "
        "stress-rated, for boards graded by such rules; sorted, for those without knots over half of an edge; absent: "
        "no more than its grade says.", "C24",
    ),
)  # fmt: skip
SECTIONS: Final[Columns] = members(
    Member("name", Text(LONGEST_CODE), "What it is called, unlike any listed section.", "38x120", NEEDED),
    Member("thickness", Length(MM, LARGEST_SECTION), "How thick it is, with its unit.", "38 mm", NEEDED),
    Member("width", Length(MM, LARGEST_SECTION), "How wide it is, with its unit.", "120 mm", NEEDED, late=True),
    Member(
        "standard", Text(LONGEST_NAME), "By what standard or custom it is of that size; absent: not told.",
        "our sawmill", "",
    ),
)  # fmt: skip
HARDWARE: Final[Columns] = members(
    *_sold("HB38-500-10", "Corner Hardware"),
    Member("item", Word(*fasteners.ITEMS), "The piece of hardware.", "hex bolt", NEEDED, late=True),
    Member("size", Text(), "Its size, for an item that has one.", "3/8 in", NEEDED, nullable=True, late=True),
    Member(
        "length", Length(MM, 1000 * MM), "Its length with its unit, for an item that has one.", "5 in", NEEDED,
        nullable=True, late=True,
    ),
    Member("pack", Whole(1, MOST), "How many pieces are in one pack.", "10", NEEDED),
    Member("price", Money(), "The price of the pack [the book's currency], above zero.", "5.40", NEEDED, late=True),
    *_terms("packs", "3", "40", "packs "),
)  # fmt: skip
SUPPLY: Final[Columns] = members(
    *_sold("GL-08", "Corner Hardware"),
    Member("item", Word(*SUPPLIES), "The supply.", "wood glue", NEEDED, late=True),
    Member("amount", Text(), "What it holds, with its unit, or how many.", "8 fl oz", NEEDED, late=True),
    Member(
        "price", Money(), "The price of the container [the book's currency], above zero.", "5.29", NEEDED, late=True
    ),
    *_terms("containers", "3", "40", "containers "),
)  # fmt: skip
