"""A comparison as JSON: the one mapping that the service and the command line both send. Needs no web framework."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from sawbill.answer.declared.rounded import share_used
from sawbill.answer.quote import ENGINE
from sawbill.making.rates import Minutes
from sawbill.prices.money import from_minor_units
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import Compared
from sawbill.quoting.comparing.comparison import Figures, Row
from sawbill.quoting.comparing.judging import CRITERIA, Judged, judge
from sawbill.trade import lengths
from sawbill.trade.lengths import System
from sawbill.trade.option import lengths_out

Json = dict[str, Any]
MONEY: Final = ("total", "each", "lumber", "hardware", "supplies", "trips", "tax")
FIGURES: Final = (
    *MONEY, "boards", "waste", "mass_kg", "longest_piece", "failed_checks", "worst_check",
    "worst_utilisation", "hands_on_minutes", "proof", "unreckoned",
)  # fmt: skip
"""The figures of a row, which are null where it has no quote."""


def comparison_json(compared: Compared, books: Sequence[PriceBook], rows: Sequence[Row]) -> Json:
    """Give a whole comparison as the JSON object of an answer."""
    judged = judge(rows, books, compared.wishes)
    return {
        **_about(compared, books),
        "counts": _counts(rows, len(judged)),
        "rows": [
            {**row_json(each.row, books, compared.common), **_judgement(each, compared, rows, books)}
            for each in judged
        ],
    }  # fmt: skip


def events(compared: Compared, books: Sequence[PriceBook], rows: Iterator[Row]) -> Iterator[Json]:
    """Tell a comparison as it is made: its start, every row in the order of the grid, and how they stand at the end."""
    of, made = len(compared.combinations), []
    yield {"event": "start", "rows": of, **_about(compared, books)}
    for row in rows:
        made.append(row)
        yield {"event": "row", "done": len(made), "of": of, "row": row_json(row, books, compared.common)}
    judged = judge(made, books, compared.wishes)
    standing = [
        {"row": each.row.combination.number, **_judgement(each, compared, made, books)} for each in judged
    ]  # fmt: skip
    yield {"event": "end", "counts": _counts(made, len(judged)), "rows": standing}


def row_json(row: Row, books: Sequence[PriceBook], common: Mapping[str, Any]) -> Json:
    """Give a row as it stands by itself; lengths in the system asked for, or the price book's."""
    asked = row.combination
    book = books[asked.book]
    return {
        "row": asked.number,
        "label": asked.label,
        "design": asked.design.name,
        "options": dict(asked.options),
        "left_out": list(asked.left_out),
        "price_book": book.name,
        "revision": book.revision,
        "quantity": asked.quantity,
        "status": row.status,
        "reasons": [{"code": reason.code, "detail": reason.detail} for reason in row.reasons],
        "currency": book.currency,
        **(dict.fromkeys(FIGURES) if row.figures is None else _figures(row.figures, book, common.get("units"))),
    }


def _figures(figures: Figures, book: PriceBook, units: System | None) -> Json:
    return {
        **{name: _money(getattr(figures, name), book) for name in MONEY},
        "boards": figures.boards,
        "waste": round(float(figures.waste), 4),
        "mass_kg": round(figures.mass_g / 1000, 1),
        "longest_piece": lengths_out(units or book.units)(figures.longest_piece),
        "failed_checks": figures.failed_checks,
        "worst_check": None if figures.worst_check is None else figures.worst_check.value,
        "worst_utilisation": share_used(figures.worst_utilisation),
        "hands_on_minutes": _minutes(figures.hands_on),
        "proof": figures.proof.value,
        "unreckoned": figures.unreckoned,
    }


def _judgement(judged: Judged, compared: Compared, rows: Sequence[Row], books: Sequence[PriceBook]) -> Json:
    difference = None
    if judged.difference:
        book, more = books[judged.row.combination.book], judged.difference
        amounts = [name for name, criterion in CRITERIA.items() if criterion.kind == "money"]
        difference = {
            **{name: _money(int(more[name]), book) if name in more else None for name in amounts},
            "boards": int(more["boards"]),
            "waste": round(float(more["waste"]), 4),
            "mass_kg": round(int(more["mass"]) / 1000, 1),
            "longest_piece_mm": lengths.millimetres(int(more["longest_piece"])),
            "failed_checks": int(more["failed_checks"]),
            "worst_utilisation": round(float(more["worst_utilisation"]), 3) if "worst_utilisation" in more else None,
            "unreckoned": int(more["unreckoned"]),
            "hands_on_minutes": {"least": int(judged.least_time_difference), "most": int(more["hands_on"])},
        }
    return {"best_in": list(judged.best_in), "dominated_by": judged.dominated_by, "difference": difference}


def _about(compared: Compared, books: Sequence[PriceBook]) -> Json:
    return {
        "engine": ENGINE,
        "price_books": [
            {
                "name": book.name,
                "revision": book.revision,
                "currency": book.currency,
                "prices_include_tax": book.prices_include_tax,
                "as_of": book.as_of.isoformat(),
                "sample": book.sample,
            }
            for book in books
        ],
        "judged_by": list(compared.wishes.judged_by),
        "baseline": compared.wishes.baseline,
    }


def _counts(rows: Sequence[Row], shown: int) -> Json:
    found = Counter(row.status for row in rows)
    statuses = {name: found[name] for name in ("quoted", "refused", "cannot_be_bought")}
    return {"rows": len(rows), "shown": shown, **statuses}


def _money(minor_units: int, book: PriceBook) -> str:
    return f"{from_minor_units(minor_units, book.decimals):f}"


def _minutes(time: Minutes) -> Json:
    return {"least": int(time.least), "most": int(time.most)}
