"""A workbook that is being written: its looks, its paper, and what all its sheets have alike."""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from sawbill.answer.columns import Json

LETTER: Final = 1
A4: Final = 9
"""Papers by their numbers in a workbook (ISO/IEC 29500-1, pageSetup, paperSize; from memory)."""
MARGIN: Final = 0.4
"""Of a printed page at its sides [in]."""
LINE: Final = 15
"""The height of one line [pt]."""
HEAD: Final = 1.4 * LINE
"""The height of what is set larger: the title of a part, a total [pt]."""
MADE: Final = datetime(2000, 1, 1)
"""The creation date, pinned: else it would be all that differs between two workbooks of one quote."""
_OPTIONS: Final = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}
_LOOKS: Final[Mapping[str, Mapping[str, Any]]] = {
    "head": {"bold": True, "bottom": 1, "align": "left", "indent": 1},
    "number head": {"bold": True, "bottom": 1, "align": "right"},
    "heads": {"bold": True, "bottom": 1, "align": "left", "indent": 1, "text_wrap": True},
    "number heads": {"bold": True, "bottom": 1, "align": "right", "text_wrap": True},
    "whole": {"num_format": "0"},
    "number": {"num_format": "0.0###"},
    "hours": {"num_format": "0.0"},
    "share": {"num_format": "0.0 %"},
    "flag": {"num_format": '"yes";"yes";"no"', "align": "left"},
    "text": {"num_format": "@", "text_wrap": True, "align": "left", "indent": 1},
    "step": {"num_format": "@", "text_wrap": True, "align": "left", "indent": 1, "bold": True},
    "date": {"num_format": "yyyy-mm-dd", "align": "left"},
    "title": {"bold": True, "font_size": 18},
    "part": {"bold": True, "font_size": 13, "bottom": 2},
    "part head": {"bold": True, "bottom": 2, "align": "right", "valign": "bottom"},
    "words": {"text_wrap": True, "align": "left"},
    "line": {"align": "left"},
    "label": {"align": "right"},
    "sum label": {"align": "right", "bold": True},
    "small": {"font_size": 9, "font_color": "#555555", "text_wrap": True, "align": "left"},
    "tick": {"border": 1},
}
"""How cells look; those of money are made for the currency at hand."""
_MONEY: Final[Mapping[str, Mapping[str, Any]]] = {
    "money": {},
    "asked money": {"bg_color": "#FFF3D6", "border": 1, "border_color": "#D9C9A3", "locked": False},
    "sum": {"bold": True, "top": 1},
    "total": {"bold": True, "top": 1, "bottom": 6, "font_size": 13},
}


class Book:
    """A workbook; `data`: its bytes, once it is written."""

    def __init__(self, made: Any, paper: int, decimals: int) -> None:
        self.data = b""
        self.paper: Final = paper
        self.decimals: Final = decimals
        self._made = made
        money = f"#,##0.{'0' * decimals}" if decimals else "#,##0"
        looks = {**_LOOKS, **{name: {"num_format": money, **look} for name, look in _MONEY.items()}}
        looks["asked share"] = {**_MONEY["asked money"], "num_format": "0.0## %"}
        looks["asked number"] = {**_MONEY["asked money"], "num_format": "0.0##"}
        looks["asked hours"] = {**_MONEY["asked money"], "num_format": "0.0"}
        looks["asked"] = {**_MONEY["asked money"], "num_format": "0"}
        self.looks: Final[Mapping[str, Any]] = {
            name: made.add_format({"valign": "top", **look}) for name, look in looks.items()
        }

    def sheet(self, name: str, header: str = "") -> Any:
        """Add a sheet that prints as wide as the paper; header: what stands above each printed page."""
        sheet = self._made.add_worksheet(name)
        sheet.set_paper(self.paper)
        sheet.set_margins(left=MARGIN, right=MARGIN)
        sheet.set_header(f"&L{header.replace('&', '&&')[:200]}" if header else "")
        sheet.set_footer("&L&A&R&P / &N")
        sheet.fit_to_pages(1, 0)
        return sheet


@contextmanager
def opened(title: str, answer: Json, decimals: int) -> Iterator[Book]:
    """Make a workbook, whose bytes are there once this ends; decimals: how many an amount has."""
    import xlsxwriter  # heavy, and needed by nothing else

    out = io.BytesIO()
    with xlsxwriter.Workbook(out, _OPTIONS) as made:
        made.set_properties({"title": title, "created": MADE})
        book = Book(made, LETTER if answer.get("units") == "inch" else A4, decimals)
        yield book
    book.data = out.getvalue()


def decimals_of(amount: Decimal) -> int:
    """How many decimals an amount is written with."""
    return max(0, -int(amount.as_tuple().exponent))
