"""Answers written in a form other than their JSON: what takes long where they are large."""

from __future__ import annotations

import base64
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from sawbill.answer.columns import Column, Json, Table, plain
from sawbill.answer.comparison import Some, comparison_table, comparison_text
from sawbill.answer.forms.csvform import csv_bytes
from sawbill.answer.forms.jsonform import json_bytes, table_json
from sawbill.answer.forms.text import quote_text, table_text
from sawbill.answer.forms.workbook import Front, Picture, heading_of, quote_workbook, workbook_bytes
from sawbill.answer.proposal import best_table, tables_of
from sawbill.answer.proposed import proposal_text
from sawbill.answer.tables import ALL, TABLES
from sawbill.answer.told import for_reader, numbered
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lengths import System
from sawbill.web.http.languages import ENGLISH
from sawbill.web.http.media import CSV, HTML, TABLE_FORMS, TXT, XLSX
from sawbill.web.written import render
from sawbill.web.written.asking.questions import Questions
from sawbill.web.written.compared import comparison_page, of_a_job


@dataclass(frozen=True, slots=True)
class Look:
    """How an answer is to be written: the suffix of its form, its address without that, and the query of others.

    bom: whether a CSV begins with a byte order mark; opened: the part of the query that opens a stored quote without a
    token, which the links of its page carry on; alone: whether a page is a file by itself, which has its style in it
    and leads nowhere; language: of a page.
    """

    suffix: str
    path: str = ""
    query: tuple[tuple[str, str], ...] = ()
    bom: bool = False
    opened: str = ""
    alone: bool = False
    language: str = ENGLISH


@dataclass(frozen=True, slots=True)
class Title:
    """What a page of a quote says beside it: the title of its price book, its design by name and title, the request.

    proposals: what else may be proposed, in words, each with its address; kept: whether it is a stored quote; keeps:
    whether it can become one; label: of the quote; day: when it was kept, if it was (ISO 8601); asked_by: the form that
    asks for another; change: where that form is, if not here.
    """

    book: str
    design: str = ""
    heading: str = ""
    asked: tuple[tuple[str, str], ...] = ()
    proposals: tuple[tuple[str, str], ...] = ()
    kept: bool = False
    keeps: bool = False
    label: str = ""
    day: str = ""
    asked_by: Questions | None = None
    change: str | None = None


def quote(
    _: Sequence[PriceBook], data: bytes, look: Look, title: Title, pictures: bytes = b"[]"
) -> bytes | str:  # fmt: skip
    """Write a whole quote as a workbook of all its tables, as text, or as a page with pictures of its furniture."""
    answer: Json = json.loads(data)
    if look.suffix == XLSX.suffix:
        return quote_workbook(ALL, answer, _front(answer, title, pictures))
    if look.suffix == TXT.suffix:
        return f"{title.label}\n\n" * bool(title.label) + quote_text(answer) + "\n"
    return render.page(
        "quote.html",
        look.language,
        quote=answer,
        sources=numbered(answer),
        title=title.book,
        design=title.design,
        heading=_heading(answer, title),
        asked=dict(title.asked),
        proposals=title.proposals,
        kept=title.kept and not look.opened and not look.alone,
        keeps=title.keeps and not look.alone,
        questions=title.asked_by,
        change="#change" if title.asked_by else f"{title.change}#change" if title.change else None,
        query=list(look.query),
        path=look.path,
        pictures=json.loads(pictures),
        drawings=_drawings(answer, look.opened),
        alone=look.alone,
    )


def _heading(answer: Json, title: Title) -> str:
    return title.label or title.heading or heading_of(answer)


def _front(answer: Json, title: Title, pictures: bytes) -> Front:
    found = json.loads(pictures)
    shown = found and [Picture(each["title"], base64.b64decode(each["png"])) for each in found]
    day = date.fromisoformat(title.day) if title.day else None
    return Front(_heading(answer, title), title.book, day, shown)


def _drawings(answer: Json, opened: str) -> list[tuple[str, list[Json]]]:
    """The links to drawings, line by line, those of the whole quote last; opened: as of a `Look`."""
    found: dict[int | None, list[Json]] = {}
    for row in answer.get("drawings", ()):  # quotes of older engines have none
        joined = "&" if "?" in row["address"] else "?"
        row = {**row, "address": f"{row['address']}{joined}{opened}" if opened else row["address"]}
        found.setdefault(row["line"], []).append(row)
    return [("" if line is None else answer["lines"][line]["label"], rows) for line, rows in found.items()]


def plan(_: Sequence[PriceBook], data: bytes, look: Look) -> bytes | str:
    """Write a cutting plan as a workbook of those of a quote's tables that it has, or as text."""
    answer: Json = json.loads(data)
    if look.suffix == XLSX.suffix:
        tables = [table for table in ALL if any(True for _ in table.records(answer))]
        return quote_workbook(tables, answer, Front("Cutting plan"))
    return quote_text(answer) + "\n"


def one_table(_: Sequence[PriceBook], data: bytes, look: Look, name: str) -> bytes | str:
    """Write one table of a quote."""
    return table(TABLES[name], json.loads(data), look)


def comparison(
    _: Sequence[PriceBook], data: bytes, look: Look, units: System, asked: bytes = b"{}", some: Some | None = None
) -> bytes | str:
    """Write a comparison as a table, as text or as a page; units: whose paper it is printed on.

    asked: the request that it is of, as JSON, for a page; some: which rows, if not all.
    """
    answer: Json = {**json.loads(data), "units": units}
    if look.suffix == TXT.suffix:
        return comparison_text(answer, some=some) + "\n"
    of = comparison_table(answer)
    if some is not None and look.suffix == XLSX.suffix:
        return workbook_bytes([of], answer, of.title, (some.title, some.sentences))
    if look.suffix == HTML.suffix:
        leads, query = of_a_job(answer, json.loads(asked)), urlencode(look.query)
        return comparison_page(answer, units, look.language, look.path, leads, asked={}, query=query, some=some)
    return table(of, answer, look)


def proposal(_: Sequence[PriceBook], data: bytes, look: Look, units: System) -> bytes | str:
    """Write a proposal as a workbook of all its tables, as the table of the best, or as text; units: as above."""
    answer: Json = json.loads(data)
    if look.suffix == TXT.suffix:
        return proposal_text(dict(answer), units) + "\n"
    if look.suffix == XLSX.suffix:
        return workbook_bytes(tables_of(answer), {**answer, "units": units}, "Proposal")
    return table(best_table(answer), answer, look)


def table(of: Table, answer: Json, look: Look) -> bytes | str:
    """Write a table of a quote, a comparison or a catalogue."""
    if look.suffix == CSV.suffix:
        return csv_bytes(of, answer, bom=look.bom)
    if look.suffix == XLSX.suffix:
        return workbook_bytes([of], answer, of.title)
    if look.suffix == TXT.suffix:
        return table_text(of, answer) + "\n"
    if look.suffix == HTML.suffix:
        return _page(of, answer, look)
    return json_bytes(table_json(of, answer))


def _page(of: Table, answer: Json, look: Look) -> str:
    of = for_reader(of, answer.get("units", "metric"))
    rows = [[plain(cell) for cell in row] for row in of.rows(answer)]
    shown: Sequence[tuple[int, Column]] = [
        (i, column) for i, column in enumerate(of.columns) if column.shown and (not rows or any(r[i] for r in rows))
    ]
    return render.page(
        "table.html", look.language, table=of, columns=shown, rows=rows, quote=answer, query=list(look.query),
        path=look.path, forms=TABLE_FORMS, alone=look.alone,
    )  # fmt: skip
