"""A comparison, declared: what the service and the command line both send. Needs no web framework."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.compared import ComparedRow, Counts, JudgedRow, Judgement, RowOf
from sawbill.answer.declared.fields import PLAIN, Answered, Json
from sawbill.answer.declared.quoted.totals import QuotedBook
from sawbill.answer.quote import ENGINE
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import Compared
from sawbill.quoting.comparing.comparison import Row
from sawbill.quoting.comparing.grid import MOST_ROWS, MOST_SWEPT
from sawbill.quoting.comparing.judging import Judged, judge


@dataclass(frozen=True)
class MadeComparison:
    """A comparison, as far as it is made."""

    compared: Compared
    books: Sequence[PriceBook]
    made: Sequence[Row] = ()

    def row(self, row: Row) -> RowOf:
        """A row, as it stands by itself."""
        book, units = self.books[row.combination.book], self.compared.common.get("units")
        return RowOf(row, book, units, pricing=self.compared.pricing)

    @cached_property
    def rows(self) -> list[RowOf]:
        """The rows within the filter, in the order asked for, each with how it stands."""
        return [replace(self.row(each.row), judged=each) for each in judge(self.made, self.books, self.compared.wishes)]

    @property
    def counts(self) -> Mapping[str, int]:
        """How many rows there are."""
        return {"rows": len(self.made), "shown": len(self.rows), **Counter(row.status for row in self.made)}


class Started(Answered):
    """A comparison before its rows are made."""

    engine = f.text("The version of Sawbill that made it.", "0.11.0", lambda *_: ENGINE)
    price_books = f.rows(QuotedBook, "The price books, in the order asked.", "books")
    judged_by = f.rows(
        f.text("A criterion.", "total"), "What to judge rows by.", "compared.wishes.judged_by"
    )  # fmt: skip
    baseline = f.whole("The row that others are held against, if any.", 0, "compared.wishes.baseline", none=True)


class Comparison(Started):
    """A comparison."""

    counts = f.group(Counts, "How many rows there are.")
    rows = f.rows(JudgedRow, f"The rows, at most {MOST_ROWS}, of a job {MOST_SWEPT}, filtered and sorted.")


def comparison_json(compared: Compared, books: Sequence[PriceBook], rows: Sequence[Row]) -> Json:
    """Give a whole comparison as the JSON object of an answer."""
    return Comparison.written(MadeComparison(compared, books, rows), PLAIN)


def comparison_without_rows(compared: Compared, books: Sequence[PriceBook], counts: Mapping[str, int]) -> Json:
    """Give what a comparison says beside its rows; counts: how many rows of each kind."""
    started = Started.written(MadeComparison(compared, books), PLAIN)
    return {**started, Comparison.counts.key: Counts.written(counts, PLAIN), Comparison.rows.key: []}


def judged_json(compared: Compared, books: Sequence[PriceBook], judged: Judged) -> Json:
    """Give one row of a comparison, with how it stands."""
    row = MadeComparison(compared, books).row(judged.row)
    return JudgedRow.written(replace(row, judged=judged), PLAIN)


def events(compared: Compared, books: Sequence[PriceBook], rows: Iterator[Row]) -> Iterator[Json]:
    """Tell a comparison as it is made: its start, every row in the order of the grid, and how they stand at the end."""
    of, made = len(compared.combinations), list[Row]()
    comparison = MadeComparison(compared, books, made)
    yield {"event": "start", "rows": of, **Started.written(comparison, PLAIN)}
    for row in rows:
        made.append(row)
        told = ComparedRow.written(comparison.row(row), PLAIN)
        yield {"event": "row", "done": len(made), "of": of, "row": told}
    standing = [{"row": each.asked.number, **Judgement.written(each, each.out)} for each in comparison.rows]
    yield {"event": "end", "counts": Counts.written(comparison.counts, PLAIN), "rows": standing}
