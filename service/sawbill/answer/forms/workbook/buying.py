"""The shopping list of a workbook: each amount is quantity times price, and the total follows from them.

It is laid out as one goes: supplier by supplier, each with its trip. Taxes are rounded once for each rate, as they are
charged.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any, Final

from sawbill.answer import records
from sawbill.answer.columns import Json
from sawbill.answer.forms.workbook.book import HEAD, LINE, Book

SHEET: Final = "Buying"
KINDS: Final = {"lumber": "Lumber", "hardware": "Hardware", "supply": "Supplies"}
"""What the kinds of goods are called."""
COLUMNS: Final = (
    ("", 3), ("Quantity", 10), ("What", 48), ("Code", 18), ("Kind", 11), ("Price of one", 14), ("Amount", 14),
)  # fmt: skip
"""The columns, each with its width [characters]."""
TICK, QUANTITY, WHAT, CODE, KIND, PRICE, AMOUNT = range(len(COLUMNS))
_FIRST: Final = 4
"""The row of the first supplier, from 0: above it are the title, a hint and the headings."""

Sums = dict[str, str]
"""Where each cost is worked out, by its name: an address that other sheets read."""


def buying(book: Book, answer: Json, header: str) -> Sums:
    """Write the sheet, and tell where its sums are."""
    currency = answer["price_book"]["currency"]
    sheet = book.sheet(SHEET, header)
    for i, (name, width) in enumerate(COLUMNS):
        sheet.set_column(i, i, width)
        sheet.write_string(3, i, name, book.looks["number head" if i in (QUANTITY, PRICE, AMOUNT) else "head"])
    sheet.write_string(0, 0, "Shopping list", book.looks["title"])
    sheet.set_row(0, 2 * LINE)
    hint = f"Amounts in {currency}. Change a price or a quantity in a tinted cell: amounts and total follow."
    sheet.write_string(1, 0, hint, book.looks["line"])
    sheet.repeat_rows(3)
    sheet.freeze_panes(4, 0)
    written = _List(book, sheet, answer)
    written.sums()
    sheet.print_area(0, 0, written.row, AMOUNT)
    return written.found


class _List:
    """The list being written. row: the next one, from 0; found: where sums are; goods: of each supplier, the rows."""

    def __init__(self, book: Book, sheet: Any, answer: Json) -> None:
        self.book, self.sheet, self.answer, self.row = book, sheet, answer, _FIRST
        self.found: Sums = {}
        self.goods: dict[str, tuple[int, int]] = {}
        self.spent: dict[str, Decimal] = {}
        self.trips: list[int] = []
        by_supplier: defaultdict[str, list[Json]] = defaultdict(list)
        for row in answer["shopping_list"]:
            by_supplier[row["supplier"]].append(row)
        visits = {visit["supplier"]: visit for visit in answer["trips"]}
        for supplier in sorted(by_supplier, key=lambda name: ([*visits, name].index(name), name)):
            self._supplier(supplier, by_supplier[supplier], visits.get(supplier))

    def _supplier(self, name: str, rows: Sequence[Json], visit: Json | None) -> None:
        """Write what is bought of one supplier, and how it comes home."""
        for i in range(len(COLUMNS)):
            self.sheet.write_blank(self.row, i, None, self.book.looks["part"])
        self.sheet.write_string(self.row, 0, name, self.book.looks["part"])
        self.sheet.set_row(self.row, HEAD)
        first = self.row + 1
        for self.row, row in enumerate(rows, first):
            self._goods(row)
        self.goods[name] = first, self.row
        self.spent[name] = sum((Decimal(row["amount"]) for row in rows), Decimal(0))
        self.row += 1
        self._sum("Goods", f"=SUM({_range(AMOUNT, first, self.row - 1)})", self.spent[name], "sum")
        if visit and Decimal(visit["amount"]):
            self.trips.append(self.row)
            self._label("Delivery" if visit["by"] == "delivery" else "Trip")
            self.sheet.write_number(self.row, AMOUNT, float(visit["amount"]), self.book.looks["asked money"])
            self.row += 1
        self.row += 1

    def _goods(self, row: Json) -> None:
        looks, at = self.book.looks, self.row
        spare = f", {row['spare']} of them spare" if row.get("spare") else ""
        self.sheet.write_blank(at, TICK, None, looks["tick"])
        self.sheet.write_number(at, QUANTITY, row["quantity"], looks["asked"])
        self.sheet.write_string(at, WHAT, records.what(row) + spare, looks["text"])
        self.sheet.write_string(at, CODE, row["item_code"], looks["text"])
        self.sheet.write_string(at, KIND, KINDS[row["kind"]], looks["text"])
        self.sheet.write_number(at, PRICE, float(row["each"]), looks["asked money"])
        formula = f"=ROUND({cell(QUANTITY, at)}*{cell(PRICE, at)},{self.book.decimals})"
        self.sheet.write_formula(at, AMOUNT, formula, looks["money"], float(row["amount"]))

    def sums(self) -> None:
        """Write what all comes to."""
        totals, included = self.answer["totals"], self.answer["price_book"]["prices_include_tax"]
        for i in range(len(COLUMNS)):
            self.sheet.write_blank(self.row, i, None, self.book.looks["part"])
        self.sheet.write_string(self.row, 0, "What it comes to", self.book.looks["part"])
        self.sheet.set_row(self.row, HEAD)
        self.row += 1
        last = max((last for _, last in self.goods.values()), default=_FIRST)
        kinds, amounts = _range(KIND, _FIRST, last), _range(AMOUNT, _FIRST, last)
        adds = []
        for name, words in zip(("lumber", "hardware", "supplies"), KINDS.values(), strict=True):
            if name in totals:
                adds.append(self._cost(name, words, f'=SUMIF({kinds},"{words}",{amounts})'))
        trips = "+".join(cell(AMOUNT, row) for row in self.trips)
        adds.append(self._cost("trips", "Trips and deliveries", f"={trips or 0}"))
        taxes = [*self._taxes(included=included)]
        if not included:
            adds += taxes
        formula = f"=ROUND(SUM({','.join(cell(AMOUNT, row) for row in adds)}),{self.book.decimals})"
        self.sheet.set_row(self.row, HEAD)
        self._cost("total", "Total", formula, "total")
        self.row -= 1  # of the last row

    def _taxes(self, *, included: bool) -> Iterator[int]:
        """Write the tax of each rate, and tell their rows; as one amount where it is not known how it was reckoned."""
        words, totals = "Tax, in the prices" if included else "Tax", self.answer["totals"]
        by_rate = rates(self.answer, self.goods)
        amounts = {
            rate: tax(sum((self.spent[each] for each in of), Decimal(0)), rate, self.book.decimals, included=included)
            for rate, of in by_rate.items()
        }
        if sum(amounts.values()) != Decimal(totals["tax"]):
            self._label(f"{words}, as it was quoted")
            self.sheet.write_number(self.row, AMOUNT, float(totals["tax"]), self.book.looks["asked money"])
            self.found["tax"] = f"{SHEET}!{cell(AMOUNT, self.row)}"
            self.row += 1
            yield self.row - 1
            return
        first = self.row
        for rate, of in by_rate.items():
            rated = f"{words} of {', '.join(of)}" if len(by_rate) > 1 else words
            self.sheet.write_number(self.row, PRICE, float(rate), self.book.looks["asked share"])
            taxed = "+".join(f"SUM({_range(AMOUNT, *self.goods[each])})" for each in of)
            share = cell(PRICE, self.row) if not included else f"{cell(PRICE, self.row)}/(1+{cell(PRICE, self.row)})"
            formula = f"=ROUND(({taxed})*{share},{self.book.decimals})"
            self._sum(rated, formula, amounts[rate], "money", at=KIND)
            yield self.row - 1
        self.found["tax"] = f"SUM({SHEET}!{_range(AMOUNT, first, self.row - 1)})"

    def _cost(self, name: str, words: str, formula: str, look: str = "money") -> int:
        """Write one of the costs, remember where, and tell its row."""
        self.found[name] = f"{SHEET}!{cell(AMOUNT, self.row)}"
        self._sum(words, formula, Decimal(self.answer["totals"][name]), look)
        return self.row - 1

    def _sum(self, words: str, formula: str, value: Decimal, look: str, at: int = PRICE) -> None:
        self._label(words, at)
        self.sheet.write_formula(self.row, AMOUNT, formula, self.book.looks[look], float(value))
        self.row += 1

    def _label(self, words: str, at: int = PRICE) -> None:
        self.sheet.write_string(self.row, at, words, self.book.looks["label"])


def rates(answer: Json, bought: Mapping[str, object]) -> dict[Decimal, list[str]]:
    """Who charges which rate of tax; quotes of older engines do not tell."""
    found: defaultdict[Decimal, list[str]] = defaultdict(list)
    for visit in answer["trips"]:
        if visit["supplier"] in bought and "tax_rate" in visit:
            found[Decimal(str(visit["tax_rate"]))].append(visit["supplier"])
    return dict(found)


def tax(goods: Decimal, rate: Decimal, decimals: int, *, included: bool) -> Decimal:
    """The tax on goods, or in them, rounded half up."""
    exact = goods * rate / (1 + rate) if included else goods * rate
    return exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def cell(column: int, row: int) -> str:
    """A cell's address, from column and row counted from 0."""
    return f"{chr(ord('A') + column)}{row + 1}"


def _range(column: int, first: int, last: int) -> str:
    return f"{cell(column, first)}:{cell(column, last)}"
