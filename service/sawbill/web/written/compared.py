"""The page of a comparison, of one that was just made or of some rows of one that a job made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from sawbill.answer.columns import Json
from sawbill.answer.comparison import Some, option_text
from sawbill.answer.declared.proposed import quote_address
from sawbill.trade.lengths import System
from sawbill.web.http.media import HTML
from sawbill.web.written import render

_OF_ROWS: Final = ("designs", "options", "price_books", "quantities", "sort", "filter", "judge_by", "baseline")
"""What a request for a comparison says of its rows; the rest of it is asked of each of their quotes."""


@dataclass(frozen=True, slots=True)
class Leads:
    """Where the page leads: by its headings and rows to the same comparison sorted or held otherwise, if it can be made
    anew; by its rows to their quotes, where an address says all that was asked of them."""

    quotes: Mapping[int, str]
    sorts: Mapping[str, str] = field(default_factory=dict)
    baselines: Mapping[int, str] = field(default_factory=dict)
    later: str | None = None


def comparison_page(
    answer: Json, units: System, language: str, path: str, leads: Leads, *, asked: Mapping[str, str],
    query: str = "", sort: str = "", some: Some | None = None,
) -> str:  # fmt: skip
    """Write the page; asked: what is asked of all rows; query: of its address; some: which rows it has, if not all."""
    rows = answer["rows"]
    currencies = list(dict.fromkeys(row["currency"] for row in rows))
    return render.page(
        "comparison.html",
        language,
        comparison=answer,
        units=units,
        options=list(dict.fromkeys(name for row in rows for name in row["options"])),
        option_text=option_text,
        currency=currencies[0] if len(currencies) == 1 else None,
        several_quantities=any(row["quantity"] != 1 for row in rows),
        several_books=len(answer["price_books"]) > 1,
        asked=asked,
        leads=leads,
        sort=sort,
        some=some,
        query=query,
        path=path,
    )


def of_a_job(answer: Json, raw: Mapping[str, Any]) -> Leads:
    """Find the quotes of the rows that a job made of a request."""
    common = {name: value for name, value in raw.items() if name not in _OF_ROWS}
    quotes = {}
    for row in answer["rows"]:
        pinned = f"{row['price_book']}@{row['revision']}"
        named = next((name for name in (pinned, row["price_book"]) if name in raw["price_books"]), None)
        address = named and quote_address(row["design"], named, row["options"], row["quantity"], common)
        if address:
            quotes[row["row"]] = address.replace("/quote?", f"/quote.{HTML.suffix}?")
    return Leads(quotes)
