"""The table of a comparison: one row a combination, a column for every option that was asked for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from sawbill.answer import columns as c
from sawbill.answer.columns import CURRENCY, Json, Reader, Table, columns
from sawbill.answer.text import table_text

OPTION: Final = "option_"
"""What the name of an option's column begins with."""

_ASKED: Final = columns(
    c.whole("row", "Its number in the grid, from 0.", 0),
    c.text("label", "What it is called.", "slatted-bed"),
    c.text("design", "The design.", "slatted-bed", shown=False),
    c.text("price_book", "The price book.", "sample-inch"),
    c.whole("quantity", "How many are made.", 1),
)
_FOUND: Final = columns(
    c.text("status", "quoted, refused, or cannot_be_bought.", "quoted"),
    c.text("reason", "Why there is no quote.", "mattress is …", lambda row: _reason(row)),
    c.words("left_out", "Options that were swept, which its design does not have.", "rail", shown=False),
    c.text(CURRENCY, "The currency of the row's amounts (ISO 4217).", "USD"),
    c.money("total", "All that is spent.", "207.31"),
    c.money("each", "The total for one of the quantity.", "207.31"),
    c.money("lumber", "Boards.", "148.20"),
    c.money("hardware", "Fasteners and fittings.", "31.96"),
    c.money("supplies", "Glue and the like.", "14.50", shown=False),
    c.money("trips", "Trips to suppliers, and deliveries.", "9.00", shown=False),
    c.money("tax", "Tax.", "12.65", shown=False),
    c.whole("boards", "Boards to buy.", 14),
    c.number("waste", "What of the boards cut is of no more use, by volume.", 0.0522, "share of 1"),
    c.number("mass_kg", "The mass of one.", 61.4, "kg"),
    c.length("longest_piece", "The longest side of what is carried as one.", 2032, "80 in"),
    c.whole("failed_checks", "Checks that failed.", 0),
    c.text("worst_check", "How the worst check came out.", "warn"),
    c.whole("hands_on_least", "Time at work, at least.", 353, lambda row: _time(row, "least"), unit="min"),
    c.whole("hands_on_most", "Time at work, at most.", 906, lambda row: _time(row, "most"), unit="min"),
    c.text("proof", "How far it is proven that the lumber cannot cost less.", "proven", shown=False),
    c.words("best_in", "What no row like it has less of.", "total boards"),
    c.whole("dominated_by", "The first row like it that is nowhere worse, and somewhere better.", 3),
    c.number(
        "difference", "Of the total, less the baseline's.", -12.3, f"the column {CURRENCY}",
        lambda row: (row.get("difference") or {}).get("total"),
    ),
    c.number(
        "worst_utilisation", "The most that is used of what wood and bolts bear; above 1 it does not hold.", 0.749,
        "share of 1",
    ),
    c.whole("unreckoned", "Checks that could not be reckoned, for nobody knows what the wood bears.", 0),
)  # fmt: skip


def comparison_table(answer: Json) -> Table:
    """Make the table of a comparison's JSON: its options stand between what was asked and found."""
    names = dict.fromkeys(name for row in answer["rows"] for name in row["options"])
    swept = [
        c.text(OPTION + name, f"The option {name}, as it was asked for.", "queen", _option(name)) for name in names
    ]  # fmt: skip
    joined = columns(_ASKED, *swept, _FOUND)
    return Table("comparison", "Comparison", "One row a combination.", joined, _rows)


def comparison_text(answer: Json) -> str:
    """Write a comparison for a terminal and for plain reading: its table, and what there is to say of all rows."""
    counts, judged = answer["counts"], ", ".join(answer["judged_by"]).replace("_", " ")
    lacking = counts["refused"] + counts["cannot_be_bought"]
    closing = f"{counts['shown']} of {counts['rows']} rows; {lacking} have no quote. Dominated in: {judged}."
    return f"{table_text(comparison_table(answer), answer)}\n\n{closing}"


def _rows(answer: Json) -> Iterable[Json]:
    rows: Iterable[Json] = answer["rows"]
    return rows


def _option(name: str) -> Reader:
    return lambda row: option_text(row["options"].get(name))


def option_text(value: Any) -> str | None:
    """An option's value as one cell."""
    if isinstance(value, dict):
        return " x ".join(str(value[key]) for key in ("size", "width", "length", "thickness") if key in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return None if value is None else str(value)


def _reason(row: Json) -> str | None:
    return " ".join(reason["detail"] for reason in row["reasons"]) or None


def _time(row: Json, end: str) -> int | None:
    return None if row["hands_on_minutes"] is None else row["hands_on_minutes"][end]
