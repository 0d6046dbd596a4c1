"""What the command `compare` does: its words read as the request that a POST would bring, its rows printed."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import nullcontext
from functools import partial
from typing import Any, Final

import click

from sawbill.answer.compared import comparison_json
from sawbill.answer.comparison import comparison_table, comparison_text
from sawbill.answer.csvform import csv_bytes
from sawbill.backroom import Room, Task, opened, packed, several
from sawbill.cutting.solver.helper import HELPER
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import Compared
from sawbill.quoting.comparing.comparison import Common, Figures, NoQuote, Question, Row, compare, in_turn
from sawbill.web.reckoning import readiness
from sawbill.web.reckoning.comparisons import row
from sawbill.web.work.comparing import AHEAD

FEW: Final = 4
"""Up to how many rows it is not worth to start processes."""
FOR_EVER: Final = 86_400.0


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
    combinations = compared.combinations
    if len(combinations) > FEW:
        readiness.load()
    with opened(prepare=HELPER.warm) if len(combinations) > FEW else nullcontext() as room:
        rows = compare(combinations, compared.common, books, in_turn if room is None else partial(_run, room))
        bar = click.progressbar(
            rows, length=len(combinations), label="Quoting", file=sys.stderr, hidden=not sys.stderr.isatty()
        )
        with bar as shown:
            return list(shown)


def _run(room: Room, _: object, common: Common, questions: Iterable[Question]) -> Iterator[Figures | NoQuote]:
    """Have rows worked out by as many processes as this machine has work for; here none is too late."""
    shared = [packed(str(place), book) for place, book in enumerate(common.books)]
    tasks = (
        Task(row, (dict(common.asked), line), (shared[place],), seconds=FOR_EVER) for place, line in questions
    )  # fmt: skip
    return (answer.value for answer in several(room, tasks, AHEAD))


def printed(compared: Compared, books: Sequence[PriceBook], rows: Sequence[Row], form: str) -> str:
    """Print a comparison as a table, as CSV or as JSON."""
    answer = comparison_json(compared, books, rows)
    if form == "json":
        return json.dumps(answer, ensure_ascii=False, indent=2) + "\n"
    if form == "csv":
        return csv_bytes(comparison_table(answer), answer).decode()
    return comparison_text(answer) + "\n"
