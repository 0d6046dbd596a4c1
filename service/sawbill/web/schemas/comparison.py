"""A comparison: the shape of its request, and what its answer holds, field by field."""

from __future__ import annotations

from typing import Final

from marshmallow import fields

from sawbill.checks.finding import Status as Found
from sawbill.cutting import Status as Proven
from sawbill.quoting.comparing.asked import BASELINE, COMPARISON, DESIGN
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.answer import MinutesSchema, QuotedBookSchema
from sawbill.web.schemas.declared import schema_of
from sawbill.web.schemas.fields import Sent

ComparisonRequestSchema: Final = schema_of(COMPARISON)
ComparedDesignAskedSchema: Final = schema_of(DESIGN)
BaselineAskedSchema: Final = schema_of(BASELINE)


class RowReasonSchema(Sent):
    """Why a row has no quote."""

    code = sent.text("A stable word for it.", "out-of-range")
    detail = sent.text("What is wrong and what would be right.", "slat_gap is 1 km; it may be 1/2 in to 4 in")


def _amount(description: str, example: str) -> fields.String:
    text = f"{description} [the currency of the row]; null without a quote."
    return sent.text(text, example, none=True)


class RowDifferenceSchema(Sent):
    """What a row is more than the baseline, less where it is negative."""

    total = _amount("In the total; null too where the currencies differ, as all amounts are", "-12.30")
    each = _amount("In the total of one", "-12.30")
    lumber = _amount("In boards", "-10.00")
    hardware = _amount("In hardware", "0.00")
    supplies = _amount("In supplies", "0.00")
    boards = sent.whole("In boards to buy.", -2)
    waste = sent.number("In waste [share of 1].", -0.0213)
    mass_kg = sent.number("In mass [kg].", 4.2)
    longest_piece_mm = sent.number("In the longest piece [mm].", 0.0)
    failed_checks = sent.whole("In failed checks.", 0)
    unreckoned = sent.whole("In checks that could not be reckoned.", 0)
    worst_utilisation = sent.number(
        "In the worst utilisation [share of 1]; null where either is not known.", 0.012, none=True
    )
    hands_on_minutes = sent.group(MinutesSchema, "In the time at work.")


class ComparedRowSchema(Sent):
    """One combination: what was asked, and the figures of its quote, which are null where there is none."""

    row = sent.whole("Its number in the grid, from 0.", 0)
    label = sent.text("What it is called.", "slatted-bed")
    design = sent.text("The design.", "slatted-bed")
    options = fields.Dict(
        required=True,
        metadata={"description": "Its options, as they were asked for.", "examples": [{"mattress": "queen"}]},
    )
    left_out = sent.rows(sent.text("An option.", "rail"), "Options that were swept, which its design does not have.")
    price_book = sent.text("The price book.", "sample-inch")
    revision = sent.text("Its revision.", "781ea1b956718b153a0c1f7e42d9b86c")
    quantity = sent.whole("How many are made.", 1)
    status = sent.text(
        "quoted; refused: the design or the price book cannot take these options; cannot_be_bought: the price book "
        "lacks something.", "quoted", choices=["quoted", "refused", "cannot_be_bought"],
    )  # fmt: skip
    reasons = sent.rows(RowReasonSchema, "Why there is no quote; empty where there is one.")
    currency = sent.text("The currency of the row's amounts (ISO 4217).", "USD")
    total = _amount("All that is spent", "207.31")
    each = _amount("The total for one of the quantity, rounded down", "207.31")
    lumber = _amount("Boards", "148.20")
    hardware = _amount("Fasteners and fittings, in whole packs", "31.96")
    supplies = _amount("Glue and the like, in whole containers", "14.50")
    trips = _amount("Trips to suppliers, and deliveries", "9.00")
    tax = _amount("Tax; where the book's prices hold it, the part of them that is tax", "12.65")
    boards = sent.whole("Boards to buy.", 14, none=True)
    waste = sent.number(
        "Of the boards cut, by volume, what ends in no part, blank to be ripped or leftover worth keeping "
        "[share of 1].", 0.0522, none=True,
    )  # fmt: skip
    mass_kg = sent.number("The mass of one [kg].", 61.4, none=True)
    longest_piece = sent.length("The longest side of what is carried as one.", 2032.0, "80 in", none=True)
    failed_checks = sent.whole("Checks that failed.", 0, none=True)
    worst_check = sent.text(
        "How the worst check came out, in the order fail, unreckoned, warn, not_checked, pass; null without a quote, "
        "or where nothing was looked at. Checked for planning, not a certificate.",
        "warn", none=True, choices=[status.value for status in Found],
    )  # fmt: skip
    worst_utilisation = sent.number(
        "The most that is used of what wood and bolts bear, rounded up [share of 1]: above 1 it does not hold; null "
        "without a quote, or where nobody knows how much something that carries bears.", 0.749, none=True,
    )  # fmt: skip
    hands_on_minutes = sent.group(MinutesSchema, "All people's time at work together.", none=True)
    proof = sent.text(
        "How far it is proven that the lumber cannot cost less, as in a quote; null without one.",
        "proven", none=True, choices=[status.value for status in Proven],
    )  # fmt: skip
    unreckoned = sent.whole(
        "Checks that could not be reckoned, for something carries and nobody knows how much it bears: such a row is "
        "the best of nothing, and outdoes none; null without a quote.", 0, none=True,
    )  # fmt: skip


class JudgementSchema(Sent):
    """How a row stands among its like, those of its quantity and currency."""

    best_in = sent.rows(sent.text("A criterion.", "total"), "What no row like it has less of; empty for a lone one.")
    dominated_by = sent.whole(
        "The first row like it that is nowhere worse in what rows are judged by, and somewhere better; null: there is "
        "none.", 3, none=True,
    )  # fmt: skip
    difference = sent.group(
        RowDifferenceSchema, "Less the baseline; null without one, or where either has no quote.", none=True
    )  # fmt: skip


class JudgedRowSchema(ComparedRowSchema, JudgementSchema):
    """A row of a comparison."""


class CountsSchema(Sent):
    """How many rows there are."""

    rows = sent.whole("In the grid.", 40)
    shown = sent.whole("Told here: within the filter.", 38)
    quoted = sent.whole("With a quote.", 38)
    refused = sent.whole("Refused.", 1)
    cannot_be_bought = sent.whole("That cannot be bought.", 1)


class ComparisonSchema(Sent):
    """A comparison."""

    engine = sent.text("The version of the engine.", "0.10.0")
    price_books = sent.rows(QuotedBookSchema, "The price books, in the order asked.")
    judged_by = sent.rows(sent.text("A criterion.", "total"), "By what a row can outdo another.")
    baseline = sent.whole("The row that others are held against, if any.", 0, none=True)
    counts = sent.group(CountsSchema, "How many rows there are.")
    rows = sent.rows(JudgedRowSchema, f"The rows, at most {MOST_ROWS}, filtered and sorted.")
