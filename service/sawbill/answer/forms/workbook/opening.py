"""The first sheet of a workbook: what is built, with its picture, what it costs and takes, and how it was checked."""

from __future__ import annotations

import io
import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from sawbill.answer.columns import Json
from sawbill.answer.forms.workbook.book import HEAD, LINE, Book
from sawbill.answer.forms.workbook.picturing import Picture
from sawbill.answer.forms.workbook.programs import lines_of
from sawbill.answer.records import COSTS
from sawbill.trade.measures import converted

WIDTHS: Final = (38, 11, 15, 15, 15, 15)
"""Of its columns [characters]."""
WIDE: Final = 700
TALL: Final = 380
"""How much room pictures have [pixels of a screen, 96 an inch]."""
_ROW: Final = 20
"""How tall a row is [pixels]."""
NO_PICTURE: Final = "No picture: what makes pictures in pixels is not installed where this was made (sawbill[png])."
NO_CERTIFICATE: Final = (
    "Checked for planning, which is no certificate. Local codes and licensed practice come before what is said here."
)
BEHIND: Final = (
    "Every table of the quote stands behind these sheets, hidden, under the name and with the columns that programs "
    "know: right-click a tab and show it. They hold the quote as it was made, and follow no change."
)
WORDS: Final[Mapping[str, str]] = {
    "pass": "hold", "not_checked": "were not made", "unreckoned": "could not be reckoned", "warn": "want a look",
    "fail": "do not hold",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Front:
    """What the first sheet says beside the quote.

    book: the title of its price book; made: the day it was kept, if it was; pictures: None where what makes them is not
    installed.
    """

    title: str
    book: str = ""
    made: date | None = None
    pictures: Sequence[Picture] | None = ()


def heading_of(answer: Json) -> str:
    """What a quote is of: the labels of its lines."""
    return ", ".join(dict.fromkeys(line["label"] for line in answer["lines"]))


def opening(book: Book, sheet: Any, answer: Json, front: Front, sums: Mapping[str, str]) -> None:
    """Write the sheet; sums: where the shopping list works out each cost."""
    for i, width in enumerate(WIDTHS):
        sheet.set_column(i, i, width)
    sheet.write_string(0, 0, front.title, book.looks["title"])
    sheet.set_row(0, 2 * LINE)
    written = _Front(book, sheet, answer)
    written.heading(front)
    written.pictures(front.pictures)
    written.furniture()
    written.costs(sums)
    written.shares()
    written.times()
    written.notes()
    sheet.fit_to_pages(1, 1)
    sheet.print_area(0, 0, written.row, len(WIDTHS) - 1)


class _Front:
    """The sheet being written; row: the next one, from 0."""

    def __init__(self, book: Book, sheet: Any, answer: Json) -> None:
        self.book, self.sheet, self.answer, self.row = book, sheet, answer, 1

    def heading(self, front: Front) -> None:
        """Say whose prices it has, and of when."""
        told = self.answer["price_book"]
        self._pair("Prices of", front.book or told["name"])
        self._pair("As of", date.fromisoformat(told["as_of"]))
        if front.made:
            self._pair("Kept on", front.made)
        self._pair("Prices are a sample, invented", told["sample"])

    def pictures(self, pictures: Sequence[Picture] | None) -> None:
        """Show the furniture, or say why it is not shown."""
        if pictures is None:
            self.row += 1
            self._line(NO_PICTURE)
            return
        if not pictures:
            return
        beside = min(2, len(pictures))
        wide, tall = WIDE // beside, TALL // -(-len(pictures) // 2)
        for first in range(0, len(pictures), beside):
            self.row += 1
            deep = 0.0
            for i, picture in enumerate(pictures[first : first + beside]):
                w, h = picture.pixels
                scale = min(wide / w, tall / h)
                deep = max(deep, h * scale)
                at = {"x_offset": i * wide + (wide - w * scale) / 2, "x_scale": scale, "y_scale": scale}
                told = {"image_data": io.BytesIO(picture.data), "description": picture.title, **at}
                self.sheet.insert_image(self.row, 0, f"picture-{first + i + 1}.png", told)
            self.row += math.ceil(deep / _ROW)

    def furniture(self) -> None:
        """Say what is built, and how large it is."""
        frames = self.answer.get("frames", ())
        if not frames:
            return
        self._part("What is built", "How many", "Length", "Width", "Height", f"Mass of one [{self._mass_unit()}]")
        for frame in frames:
            sizes = [frame["size"][each]["text"] for each in ("length", "width", "height")]
            self._row(frame["label"], frame["quantity"], *sizes, self._mass(frame["mass_kg"]))

    def costs(self, sums: Mapping[str, str]) -> None:
        """Say what it costs, as the shopping list works it out."""
        totals, included = self.answer["totals"], self.answer["price_book"]["prices_include_tax"]
        self._part(f"What it costs [{self.answer['price_book']['currency']}]")
        for name in COSTS:
            if name in totals and name in sums:
                words = "Tax, in the prices" if included and name == "tax" else name.capitalize()
                look = "total" if name == "total" else "money"
                self.sheet.write_string(self.row, 0, words, self.book.looks["line"])
                self.sheet.write_formula(self.row, 1, f"={sums[name]}", self.book.looks[look], float(totals[name]))
                self.sheet.set_row(self.row, HEAD if name == "total" else LINE)
                self.row += 1

    def shares(self) -> None:
        """Say what each line bears, where there are several."""
        shares = self.answer.get("shares", ())
        if len(shares) < 2 and not any(share["quantity"] > 1 for share in shares):
            return
        self._part("Shares, as quoted", "How many", "Its share", "Each")
        for share in shares:
            self._row(share["label"], share["quantity"], Decimal(share["total"]), Decimal(share["each"]))

    def times(self) -> None:
        """Say how long it takes."""
        names = {
            "hands_on_minutes": "Until it stands, all people together", "finishing_minutes": "On its finish",
            "taking_apart_minutes": "To take it apart again", "elapsed_minutes": "In all, waiting included",
        }  # fmt: skip
        told = {words: self.answer.get(name) for name, words in names.items()}
        if not any(span and span["most"] for span in told.values()):
            return
        self._part("How long it takes [hours]", "At least", "At most")
        for words, span in told.items():
            if span and span["most"]:
                self._row(words, *(round(span[end] / 60, 1) for end in ("least", "most")))

    def notes(self) -> None:
        """Say what else there is to know, and where to find it."""
        self._part("To know")
        for line in self._told():
            self._line(line)
        self.row -= 1

    def _told(self) -> Iterator[str]:
        load, checks = self.answer.get("load_home"), self.answer.get("checks", ())
        if load and load["longest"]:
            yield (
                f"Boards to fetch: {self._mass(load['mass_kg'])} {self._mass_unit()}, the longest "
                f"{load['longest']['text']}."
            )
        if checks:
            counted = Counter(check["status"] for check in checks)
            told = ", ".join(f"{counted[status]} {words}" for status, words in WORDS.items() if counted[status])
            yield f"Of {len(checks)} checks {told}: see the sheet Checking. {NO_CERTIFICATE}"
        proof = self.answer["proof"]
        amount = f"{self.answer['price_book']['currency']} {proof['gap']}"
        least = "proven to be the least" if not float(proof["gap"]) else f"at most {amount} above the least"
        yield f"What the boards cost is {least}. Sawbill {self.answer['engine']}."
        yield BEHIND

    def _mass_unit(self) -> str:
        return converted(Decimal(0), "kg", self.answer["units"])[1]

    def _mass(self, kilograms: float) -> float:
        return float(round(converted(Decimal(str(kilograms)), "kg", self.answer["units"])[0], 1))

    def _pair(self, words: str, value: Any) -> None:
        self.sheet.write_string(self.row, 0, words, self.book.looks["line"])
        if isinstance(value, bool):
            self.sheet.write_boolean(self.row, 1, value, self.book.looks["flag"])
        elif isinstance(value, date):
            self.sheet.write_datetime(self.row, 1, value, self.book.looks["date"])
        else:
            self.sheet.write_string(self.row, 1, value, self.book.looks["line"])
        self.row += 1

    def _part(self, title: str, *heads: str) -> None:
        self.row += 1
        for i in range(len(WIDTHS)):
            self.sheet.write_blank(self.row, i, None, self.book.looks["part"])
        self.sheet.write_string(self.row, 0, title, self.book.looks["part"])
        for i, head in enumerate(heads, 1):
            self.sheet.write_string(self.row, i, head, self.book.looks["part head"])
        self.sheet.set_row(self.row, HEAD)
        self.row += 1

    def _row(self, name: str, *cells: str | int | float | Decimal) -> None:
        self.sheet.write_string(self.row, 0, name, self.book.looks["words"])
        for i, value in enumerate(cells, 1):
            if isinstance(value, str):
                self.sheet.write_string(self.row, i, value, self.book.looks["label"])
            else:
                look = "money" if isinstance(value, Decimal) else "whole" if isinstance(value, int) else "number"
                self.sheet.write_number(self.row, i, float(value), self.book.looks[look])
        self.sheet.set_row(self.row, LINE * lines_of(name, WIDTHS[0] - 2))
        self.row += 1

    def _line(self, text: str) -> None:
        self.sheet.merge_range(self.row, 0, self.row, len(WIDTHS) - 1, text, self.book.looks["words"])
        self.sheet.set_row(self.row, LINE * lines_of(text, sum(WIDTHS) - 8))
        self.row += 1
