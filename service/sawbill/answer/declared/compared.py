"""What a comparison answers: its rows with their figures, how they stand among each other, how many there are."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from operator import attrgetter
from typing import Any, NamedTuple

from sawbill import cutting
from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered, Field, Json, Writing
from sawbill.answer.declared.quoted.making import Minutes
from sawbill.answer.declared.quoted.totals import SellingPrice
from sawbill.answer.declared.rounded import kilograms, share, share_used
from sawbill.asked.pricing import NOTHING, Pricing
from sawbill.checks import finding
from sawbill.making import rates
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting import selling
from sawbill.quoting.comparing.comparison import Figures, Row
from sawbill.quoting.comparing.grid import Combination
from sawbill.quoting.comparing.judging import Judged
from sawbill.quoting.selling import contingency_of
from sawbill.trade.lengths import System, millimetres

_word = attrgetter("value")


class NoFigures:
    """The figures of a row that has no quote: whatever is asked of them is None."""

    def __getattr__(self, name: str) -> None:
        return None


@dataclass(frozen=True, slots=True)
class RowOf:
    """A row, its price book, and how it stands, if that is known; units: of its lengths, unset those of the book.

    pricing: what is reckoned on top of its purchase.
    """

    row: Row
    book: PriceBook
    units: System | None = None
    judged: Judged | None = None
    pricing: Pricing = NOTHING

    @property
    def budget(self) -> int | None:
        """The total, and what is set aside beside it [minor units]; None without a quote."""
        found = self.row.figures
        return None if found is None else found.total + contingency_of(self.pricing, found.total - found.trips)

    @property
    def selling_prices(self) -> tuple[selling.SellingPrice, ...]:
        """What it may be sold for, by each way that is asked for; none without a quote."""
        found = self.row.figures
        if found is None or self.budget is None:
            return ()
        paid = found.paid(self.pricing.labour_for)
        return selling.selling_prices(self.pricing, self.budget, paid, self.book.decimals)

    @property
    def out(self) -> Writing:
        """What writes its amounts and lengths."""
        return Writing(self.units or self.book.units, self.book.decimals)

    @property
    def asked(self) -> Combination:
        """What was asked."""
        return self.row.combination

    @property
    def figures(self) -> Figures | NoFigures:
        """What was found."""
        return self.row.figures or NoFigures()


def _known(write: Callable[[Any], object], name: str) -> Callable[[RowOf, Writing], object]:
    """Reads a figure and rounds it, if it is known."""

    def read(row: RowOf, _: Writing) -> object:
        found = getattr(row.figures, name)
        return None if found is None else write(found)

    return read


def _amount(meaning: str, example: str, read: f.Read | str) -> Field:
    return f.money(f"{meaning} [the currency of the row]; null without a quote.", example, read, none=True)


class RowReason(Answered):
    """Why a row has no quote."""

    code = f.text("A word for it that programs may go by; it stays the same in later versions.", "out-of-range")
    detail = f.text("What is wrong and what would be right.", "slat_gap is 1 km; it may be 1/2 in to 4 in")


class ComparedRow(Answered):
    """One combination: what was asked, and the figures of its quote, which are null where there is none."""

    row = f.whole("Its number in the grid, from 0.", 0, "asked.number")
    label = f.text("What it is called.", "slatted-bed", "asked.label")
    design = f.text("The design, by name.", "slatted-bed", "asked.design.name")
    options = f.free(
        "Its options, as they were asked for.", {"mattress": "queen"}, lambda row, _: dict(row.asked.options)
    )  # fmt: skip
    left_out = f.rows(
        f.text("An option.", "rail"), "Options that were swept, which its design does not have.", "asked.left_out"
    )  # fmt: skip
    price_book = f.text("The price book, by name.", "sample-inch", "book.name")
    revision = f.text("The revision of that price book.", "781ea1b956718b153a0c1f7e42d9b86c", "book.revision")
    quantity = f.whole("How many are made.", 1, "asked.quantity")
    status = f.text(
        "quoted; refused: the design or the price book cannot take these options; cannot_be_bought: the price book "
        "lacks something.", "quoted", "row.status", choices=["quoted", "refused", "cannot_be_bought"],
    )  # fmt: skip
    reasons = f.rows(RowReason, "Why there is no quote; empty where there is one.", "row.reasons")
    currency = f.text("The currency of the row's amounts (ISO 4217).", "USD", "book.currency")
    total = _amount("All that is spent", "207.31", "figures.total")
    each = _amount("The total for one of the quantity, rounded down", "207.31", "figures.each")
    lumber = _amount("Boards", "148.20", "figures.lumber")
    hardware = _amount("Fasteners and fittings, in whole packs", "31.96", "figures.hardware")
    supplies = _amount("Glue and the like, in whole containers", "14.50", "figures.supplies")
    trips = _amount("Trips to suppliers, and deliveries", "9.00", "figures.trips")
    tax = _amount("Tax; where the book's prices hold it, the part of them that is tax", "12.65", "figures.tax")
    boards = f.whole("How many boards are bought.", 14, "figures.boards", none=True)
    waste = f.number(
        "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover worth keeping "
        "[share of 1].", 0.0522, _known(share, "waste"), none=True,
    )  # fmt: skip
    mass_kg = f.number("The mass of one piece of furniture [kg].", 61.4, _known(kilograms, "mass_g"), none=True)
    longest_piece = f.length(
        "The longest side of what is carried as one.", 2032.0, "80 in", "figures.longest_piece", none=True
    )
    failed_checks = f.whole("How many checks failed.", 0, "figures.failed_checks", none=True)
    worst_check = f.text(
        "How the worst check that was made came out, in the order fail, unreckoned, warn, pass; not_checked where none "
        "was made; null without a quote. Checked for planning, not a certificate.", "warn",
        _known(_word, "worst_check"), none=True, choices=[status.value for status in finding.Status],
    )  # fmt: skip
    worst_utilisation = f.number(
        "The most that is used of what wood and bolts bear, rounded up [share of 1]: above 1 it does not hold; null "
        "without a quote, or where nobody knows how much something that carries bears.", 0.749,
        _known(share_used, "worst_utilisation"), none=True,
    )  # fmt: skip
    hands_on_minutes = f.group(Minutes, "All people's time at work together.", "figures.hands_on", none=True)
    proof = f.text(
        "How far it is proven that the lumber cannot cost less, as in a quote; null without one.", "proven",
        _known(_word, "proof"), none=True, choices=[status.value for status in cutting.Status],
    )  # fmt: skip
    unreckoned = f.whole(
        "Checks that could not be reckoned, for something carries and nobody knows how much it bears: such a row is "
        "the best of nothing, and outdoes none; null without a quote.", 0, "figures.unreckoned", none=True,
    )  # fmt: skip
    budget = f.money(
        "The total, and what is set aside beside it [the currency of the row]; null without a quote, or where nothing "
        "is.", "227.14", lambda row, _: None if row.pricing.contingency is None else row.budget, none=True,
    )  # fmt: skip
    selling_prices = f.rows(SellingPrice, "Selling prices, one for each method that pricing asks for.")

    @classmethod
    def written(cls, value: Any, out: Writing) -> Json:
        """Write it in its own currency and system."""
        return super().written(value, value.out)


class Difference(NamedTuple):
    """What a row is more than the baseline, by criterion; least_time: what its least time at work is more [min]."""

    more: Mapping[str, Fraction | int]
    least_time: Fraction

    @property
    def hands_on(self) -> rates.Minutes:
        """The time at work."""
        return rates.Minutes(self.least_time, Fraction(self.more["hands_on"]))


def _more(name: str, write: Callable[[Any], object] = int) -> Callable[[Difference, Writing], object]:
    """Reads what is more of something, if it is known."""
    return lambda difference, _: write(difference.more[name]) if name in difference.more else None


def _more_money(meaning: str, example: str, name: str) -> Field:
    return _amount(meaning, example, _more(name))


class RowDifference(Answered):
    """What a row is more than the baseline, less where it is negative."""

    total = _more_money("In the total; null too where the currencies differ, as all amounts are", "-12.30", "total")
    each = _more_money("In the total of one", "-12.30", "each")
    lumber = _more_money("In boards", "-10.00", "lumber")
    hardware = _more_money("In hardware", "0.00", "hardware")
    supplies = _more_money("In supplies", "0.00", "supplies")
    boards = f.whole("In boards to buy.", -2, _more("boards"))
    waste = f.number("In waste [share of 1].", -0.0213, _more("waste", share))
    mass_kg = f.number("In mass [kg].", 4.2, _more("mass", lambda more: kilograms(int(more))))
    longest_piece_mm = f.number("In the longest piece [mm].", 0.0, _more("longest_piece", millimetres))
    failed_checks = f.whole("In failed checks.", 0, _more("failed_checks"))
    worst_utilisation = f.number(
        "In the worst utilisation [share of 1]; null where either is not known.", 0.012,
        _more("worst_utilisation", lambda more: round(float(more), 3)), none=True,
    )  # fmt: skip
    unreckoned = f.whole("In checks that could not be reckoned.", 0, _more("unreckoned"))
    hands_on_minutes = f.group(Minutes, "In the time at work.", "hands_on")


def _difference(row: RowOf, _: Writing) -> Difference | None:
    judged = row.judged
    return Difference(judged.difference, judged.least_time_difference) if judged and judged.difference else None


class Judgement(Answered):
    """How a row stands among its like, those of its quantity and currency."""

    best_in = f.rows(
        f.text("A criterion.", "total"), "The criteria by which no other row like it is better, of those in which no "
        "check fails; empty where it has no others like it, and where one of its own checks fails or could not be "
        "reckoned.", "judged.best_in",
    )  # fmt: skip
    dominated_by = f.whole(
        "The first row that serves the same, at the same size, and is better in something that rows are judged by, and "
        "worse in nothing; what fails outdoes nothing that holds; null: there is none.", 3, "judged.dominated_by",
        none=True,
    )  # fmt: skip
    difference = f.group(
        RowDifference, "Less the baseline; null without one, or where either has no quote.", _difference, none=True
    )  # fmt: skip


class JudgedRow(ComparedRow, Judgement):
    """A row of a comparison."""


def _count(name: str) -> Callable[[Mapping[str, int], Writing], int]:
    return lambda counts, _: counts.get(name, 0)


class Counts(Answered):
    """How many rows there are."""

    rows = f.whole("How many combinations were asked for.", 40, _count("rows"))
    shown = f.whole("How many of them this answer has: those within the filter.", 38, _count("shown"))
    quoted = f.whole("How many have a quote.", 38, _count("quoted"))
    refused = f.whole("How many the design refuses.", 1, _count("refused"))
    cannot_be_bought = f.whole("How many cannot be bought from their price book.", 1, _count("cannot_be_bought"))
