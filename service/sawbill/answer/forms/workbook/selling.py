"""What furniture may be sold for, worked out by the workbook from the shopping list, the hours and the shares asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final, NamedTuple

from sawbill.answer.columns import Json
from sawbill.answer.forms.workbook.book import HEAD, LINE, Book
from sawbill.answer.forms.workbook.buying import Sums

SHEET: Final = "Selling"
WIDTHS: Final = (44, 14, 14, 14, 14)
"""Of its columns [characters]: what it is, what it is reckoned by, with the least time, midway, with the most."""
COLUMNS: Final = "CDE"
ENDS: Final = ("least", "amount", "most")
"""The keys of an amount by the time it takes, in the order of those columns."""


class _Way(NamedTuple):
    """A way to reckon a price: its words, the key of what it is reckoned by, and its formula from cost and that."""

    words: str
    by: str
    formula: Callable[[str, str, str], str]


_WAYS: Final = {
    "materials-times-factor": _Way("Materials times", "factor", lambda materials, _, by: f"{materials}*{by}"),
    "materials-and-labour": _Way("Materials and labour", "", lambda materials, labour, _: f"{materials}+{labour}"),
    "cost-plus-markup": _Way(
        "Cost and a markup, of the cost", "markup", lambda materials, labour, by: f"({materials}+{labour})*(1+{by})"
    ),
    "cost-and-margin": _Way(
        "Cost and a margin, of the price", "margin",
        lambda materials, labour, by: f"({materials}+{labour})/(1-{by})",
    ),
}  # fmt: skip


def selling(book: Book, answer: Json, header: str, sums: Sums) -> Sums:
    """Write the sheet where something is reckoned on top of the purchase, and tell where its sums are."""
    by = answer.get("pricing")
    if not by:
        return {}
    sheet = book.sheet(SHEET, header)
    for i, width in enumerate(WIDTHS):
        sheet.set_column(i, i, width)
    sheet.write_string(0, 0, "What it may be sold for", book.looks["title"])
    sheet.set_row(0, 2 * LINE)
    hint = "Reckoned from the shopping list. Change what is tinted: prices follow. Sales tax is in no price."
    sheet.write_string(1, 0, hint, book.looks["line"])
    written = _Selling(book, sheet, answer, by)
    written.costs(sums)
    written.prices()
    sheet.print_area(0, 0, written.row - 1, len(WIDTHS) - 1)
    return {"contingency": f"{SHEET}!D{written.aside}", "budget": f"{SHEET}!D{written.budget}"}


class _Selling:
    """The sheet being written. row: the next one, from 0; others: rows as they are written in addresses, from 1."""

    def __init__(self, book: Book, sheet: Any, answer: Json, by: Json) -> None:
        self.book, self.sheet, self.answer, self.by, self.row = book, sheet, answer, by, 3
        self.aside = self.budget = self.hours = self.rate = 0

    def costs(self, sums: Sums) -> None:
        """Write materials, and labour where it has a rate."""
        totals, labour = self.answer["totals"], self.answer["labour"]
        self._heads(f"Costs [{self.answer['price_book']['currency']}]", "By")
        total = self._line("Materials, as the shopping list has them", [f"={sums['total']}"], [totals["total"]])
        share = self.by["contingency"] or 0
        rounded = f"=ROUND(B{self.row + 1}*(D{total}-{sums['trips']}),{self.book.decimals})"
        self.aside = self._line("Set aside, of the materials", [rounded], [totals["contingency"]], share, "asked share")
        self.budget = self._line("Both", [f"=D{total}+D{self.aside}"], [totals["budget"]])
        if labour is None:
            return
        least, most = (self.by["minutes"][end] / 60 for end in ("least", "most"))
        self.hours = self.row + 1
        self._label("Hours at work")
        for column, value in ((2, least), (4, most)):
            self.sheet.write_number(self.row, column, value, self.book.looks["asked hours"])
        middle = f"=(C{self.hours}+E{self.hours})/2"
        self.sheet.write_formula(self.row, 3, middle, self.book.looks["hours"], (least + most) / 2)
        self.row += 1
        self.rate = self.row + 1
        formulas = [f"=ROUND(B{self.rate}*{each}{self.hours},{self.book.decimals})" for each in COLUMNS]
        amounts = [labour[end] for end in ENDS]
        self._line("Labour, at what an hour costs", formulas, amounts, float(labour["rate"]), "asked money")

    def prices(self) -> None:
        """Write the price by each way that was asked for."""
        if not self.answer["selling_prices"]:
            return
        self._heads(f"Prices [{self.answer['price_book']['currency']}]", "By")
        for price in self.answer["selling_prices"]:
            way = _WAYS[price["method"]]
            at = self.row + 1
            formulas = [
                f"=ROUND({way.formula(f'D{self.budget}', self._labour(each), f'B{at}')},{self.book.decimals})"
                for each in COLUMNS
            ]
            look = "asked share" if way.by in ("markup", "margin") else "asked number"
            by = self.by[way.by] if way.by else None
            self._line(way.words, formulas, [price[end] for end in ENDS], by, look)

    def _labour(self, column: str) -> str:
        return f"B{self.rate}*{column}{self.hours}" if self.rate else "0"

    def _heads(self, title: str, by: str) -> None:
        self.row += self.row > 3
        for i, words in enumerate((title, by, "At least", "Midway", "At most")):
            self.sheet.write_string(self.row, i, words, self.book.looks["part" if i == 0 else "part head"])
        self.sheet.set_row(self.row, HEAD)
        self.row += 1

    def _label(self, words: str) -> None:
        self.sheet.write_string(self.row, 0, words, self.book.looks["line"])

    def _line(
        self, words: str, formulas: Sequence[str], amounts: Sequence[str], by: float | None = None, look: str = ""
    ) -> int:
        """Write amounts, midway alone where there is but one, and give the row as an address has it."""
        self._label(words)
        if by is not None:
            self.sheet.write_number(self.row, 1, by, self.book.looks[look])
        columns = range(2, 5) if len(formulas) > 1 else [3]
        for column, formula, amount in zip(columns, formulas, amounts, strict=True):
            self.sheet.write_formula(self.row, column, formula, self.book.looks["money"], float(amount))
        self.row += 1
        return self.row
