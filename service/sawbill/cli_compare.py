"""What the command `compare` does: its words read as the request that a POST would bring, its rows printed."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from typing import Any

import click

from sawbill.estimating.compared import Compared
from sawbill.estimating.comparison import Row, compare, in_turn
from sawbill.estimating.crew import FEW, Crew
from sawbill.estimating.pricebook import PriceBook
from sawbill.sheets.comparison import comparison_table, comparison_text
from sawbill.sheets.csvform import csv_bytes
from sawbill.web.schemas.compared import comparison_json


def request_of(
    designs: Sequence[str],
    options: Mapping[str, str],
    quantities: str,
    bounds: Mapping[str, Mapping[str, str]],
    **others: Any,
) -> dict[str, Any]:
    """Write the JSON of a comparison; values with commas between; bounds: of each criterion by `least` and `most`.

    others: whatever else the JSON may hold; None or empty for what is not asked.
    """
    raw: dict[str, Any] = {
        "designs": list(designs),
        "options": {name: parts(text) for name, text in options.items()},
        "quantities": [int(text) if text.isdigit() else text for text in parts(quantities)],
    }
    filters: dict[str, dict[str, str]] = {}
    for end, limits in bounds.items():
        for name, text in limits.items():
            filters.setdefault(name, {})[end] = text
    more = {**others, "filter": filters}
    return raw | {name: value for name, value in more.items() if value or value == 0}


def parts(text: str) -> list[str]:
    """Take values apart that have commas between them."""
    return [part.strip() for part in text.split(",")]


def made(compared: Compared, books: Sequence[PriceBook]) -> list[Row]:
    """Make the rows, with a bar on the error stream where that is a terminal."""
    crew, combinations, run = Crew(), compared.combinations, in_turn
    if len(combinations) > FEW:
        crew.begin()
        run = crew.run
    rows = compare(combinations, compared.common, books, run)
    bar = click.progressbar(
        rows, length=len(combinations), label="Quoting", file=sys.stderr, hidden=not sys.stderr.isatty()
    )
    try:
        with bar as shown:
            return list(shown)
    finally:
        crew.close()


def printed(compared: Compared, books: Sequence[PriceBook], rows: Sequence[Row], form: str) -> str:
    """Print a comparison as a table, as CSV or as JSON."""
    answer = comparison_json(compared, books, rows)
    if form == "json":
        return json.dumps(answer, ensure_ascii=False, indent=2) + "\n"
    if form == "csv":
        return csv_bytes(comparison_table(answer), answer).decode()
    return comparison_text(answer) + "\n"
