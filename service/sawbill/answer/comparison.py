"""The table of a comparison: one row a combination, a column for every option that was asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.answer import columns as c
from sawbill.answer.columns import CURRENCY, Column, Json, Reader, Table, columns
from sawbill.answer.declared.compared import JudgedRow
from sawbill.answer.declared.quoted.totals import SellingPrice
from sawbill.answer.forms.text import Layout, aligned, table_text

OPTION: Final = "option_"
"""What the name of an option's column begins with."""


@dataclass(frozen=True, slots=True)
class Some:
    """Which rows an answer has that has not all: from `first` to `last`, counted from 1, of so many.

    following: the address of those after them, if there are any.
    """

    first: int
    last: int
    of: int
    following: str | None

    @property
    def title(self) -> str:
        """Say which, as a title."""
        return (
            f"rows {self.first} to {self.last} of {self.of}" if self.first <= self.last else f"none of {self.of} rows"
        )

    @property
    def sentences(self) -> list[str]:
        """Say which, and where the next are."""
        which = f"Here are {self.title}."
        return [which] if self.following is None else [which, f"The next are at {self.following}"]


def _selling(method: str) -> Sequence[Column]:
    """A column of what a row may be sold for by one way."""

    def read(row: Json) -> str | None:
        prices = row.get("selling_prices") or ()
        return next((price["amount"] for price in prices if price["method"] == method), None)

    meaning = f"What it may be sold for by {method.replace('-', ' ')}, with the time midway; empty where not asked."
    return c.money(method.replace("-", "_"), meaning, "629.64", read)


_ASKED: Final = columns(
    c.of(JudgedRow.row), c.of(JudgedRow.label), c.of(JudgedRow.design, shown=False), c.of(JudgedRow.price_book),
    c.of(JudgedRow.quantity),
)  # fmt: skip
_FOUND: Final = columns(
    c.of(JudgedRow.status),
    c.text("reason", "Why there is no quote.", "mattress is …", lambda row: _reason(row)),
    c.of(JudgedRow.left_out, shown=False), c.of(JudgedRow.currency), c.of(JudgedRow.total), c.of(JudgedRow.each),
    c.of(JudgedRow.lumber), c.of(JudgedRow.hardware), c.of(JudgedRow.supplies, shown=False),
    c.of(JudgedRow.trips, shown=False), c.of(JudgedRow.tax, shown=False), c.of(JudgedRow.boards),
    c.of(JudgedRow.waste), c.of(JudgedRow.mass_kg), c.of(JudgedRow.longest_piece), c.of(JudgedRow.failed_checks),
    c.of(JudgedRow.worst_check), c.of(JudgedRow.hands_on_minutes), c.of(JudgedRow.proof, shown=False),
    c.of(JudgedRow.best_in), c.of(JudgedRow.dominated_by),
    c.number(
        "difference", "Of the total, less the baseline's.", -12.3, f"the column {CURRENCY}",
        lambda row: (row.get("difference") or {}).get("total"),
    ),
    c.of(JudgedRow.worst_utilisation), c.of(JudgedRow.unreckoned),
    c.of(JudgedRow.budget, "The total, and what is set aside beside it; empty where nothing is."),
    *(_selling(method) for method in SellingPrice.method.choices),
)  # fmt: skip


def comparison_table(answer: Json, options: Iterable[str] | None = None) -> Table:
    """Make the table of a comparison's JSON: its options stand between what was asked and found.

    options: their names, where the rows at hand are not all there are.
    """
    names = dict.fromkeys(options or (name for row in answer["rows"] for name in row["options"]))
    swept = [
        c.text(OPTION + name, f"The option {name}, as it was asked for.", "queen", _option(name)) for name in names
    ]  # fmt: skip
    joined = columns(_ASKED, *swept, _FOUND)
    return Table("comparison", "Comparison", "One row for each combination.", joined, _rows)


def comparison_text(answer: Json, layout: Layout = aligned, some: Some | None = None) -> str:
    """Write a comparison for a terminal and for plain reading: its table, and what there is to say of all rows."""
    counts, judged = answer["counts"], ", ".join(answer["judged_by"]).replace("_", " ")
    lacking = counts["refused"] + counts["cannot_be_bought"]
    lines = [f"{counts['shown']} of {counts['rows']} rows; {lacking} have no quote. Rows are judged by {judged}."]
    if some is not None:
        lines = [
            *some.sentences,
            f"Of all {counts['rows']} rows, {lacking} have no quote. Rows are judged by {judged}.",
        ]
    closing = "\n".join(lines)
    return f"{table_text(comparison_table(answer), answer, layout)}\n\n{closing}"


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
