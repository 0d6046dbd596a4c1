"""Answers as workbooks (Office Open XML, ISO/IEC 29500): sheets that people read, and a sheet for each table behind.

What a shopping list comes to is worked out by the workbook itself, from quantities and prices; what was worked out here
is stored beside each formula, for readers that do not compute.
"""

from __future__ import annotations

from collections.abc import Sequence

from sawbill.answer.columns import Json, Table
from sawbill.answer.forms.workbook.book import opened
from sawbill.answer.forms.workbook.buying import buying
from sawbill.answer.forms.workbook.opening import Front, heading_of, opening
from sawbill.answer.forms.workbook.picturing import Picture, pictures
from sawbill.answer.forms.workbook.programs import most_decimals, noted, programs
from sawbill.answer.forms.workbook.reading import READ, reading
from sawbill.answer.forms.workbook.selling import selling

__all__ = ["Front", "Picture", "heading_of", "pictures", "quote_workbook", "workbook_bytes"]


def workbook_bytes(
    tables: Sequence[Table], answer: Json, title: str, note: tuple[str, Sequence[str]] | None = None
) -> bytes:
    """Write tables of a quote or a catalogue, a sheet each; the same content gives the same bytes.

    note: what else there is to say, a line each, on a sheet of this name behind them.
    """
    filled = [(table, table.rows(answer)) for table in tables]
    with opened(title, answer, most_decimals(filled)) as book:
        programs(book, filled)
        if note is not None:
            noted(book, *note)
    return book.data


def quote_workbook(tables: Sequence[Table], answer: Json, front: Front) -> bytes:
    """Write a quote or a cutting plan: what people read, with these tables for programs hidden behind."""
    filled = [(table, table.rows(answer)) for table in tables]
    with opened(front.title, answer, most_decimals(filled)) as book:
        sheet = book.sheet("Quote")  # the first, though what it tells is worked out on the next
        sums = buying(book, answer, front.title)
        sums |= selling(book, answer, front.title, sums)
        opening(book, sheet, answer, front, sums)
        for each in READ:
            reading(book, each, answer, front.title)
        programs(book, filled, hidden=True)
    return book.data
