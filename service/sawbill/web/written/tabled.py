"""The tables and values of a quote as answers, whether it was just made or is kept."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final
from urllib.parse import urlencode

from flask import Response, request

from sawbill.answer.columns import Json, Table, plain
from sawbill.answer.forms.jsonform import json_bytes, json_number
from sawbill.answer.tables import TABLES
from sawbill.answer.values import (
    UnknownValueError,
    WrongUnitError,
    check_path,
    check_unit,
    value_of,
)
from sawbill.asked.request import RequestFault
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.csvtable import guarded, write_rows
from sawbill.prices.rows.faults import shown
from sawbill.quoting.proposing.opening import may_save
from sawbill.trade.design import Design
from sawbill.web.admission.access import LINK
from sawbill.web.http import languages, media
from sawbill.web.http.languages import message
from sawbill.web.http.media import CSV, HTML, JSON, TABLE_FORMS, TXT, XLSX, Media
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import QUOTE
from sawbill.web.reckoning import writing
from sawbill.web.reckoning.writing import Look, Title
from sawbill.web.work import handing_in
from sawbill.web.work.quoting import service
from sawbill.web.written.asking.questions import Questions

SMALL: Final = 100_000
"""How long the JSON of an answer may be that is written in another form where it is asked for [bytes]: what is larger
takes more than some 50 ms as a workbook."""
VALUE_FORMS: Final = (TXT, JSON, CSV)
QUOTE_FORMS: Final = (JSON, HTML, XLSX, TXT)


def table_called(name: str) -> Table:
    """Find a table. Raises Problem: there is none of this name."""
    if name in TABLES:
        return TABLES[name]
    if name.partition(".")[0] == "quote":
        forms = ", ".join(f".{form.suffix}" for form in QUOTE_FORMS)
        raise Problem("not-found", f"a whole quote comes as {forms}; its tables, one each: {', '.join(TABLES)}")
    bare, dot, suffix = name.partition(".")
    if bare in TABLES and dot:
        known = ", ".join(f".{form.suffix}" for form in TABLE_FORMS)
        raise Problem("not-found", f"the table {bare} does not come as .{shown(suffix)}; it comes as {known}")
    raise Problem("not-found", f"there is no table called {shown(name)}; {nearest(name[:60], TABLES)}")


def form_faults(path: str | None = None) -> list[RequestFault]:
    """Say what is wrong with how the request at hand asks for a form; path: of the value, if it is one.

    Raises Problem: there is no such value.
    """
    words = {"excel": ("1", "0"), "on_error": ("text", "status")}
    faults = [
        RequestFault(
            (name,), "not-a-choice", f'{name} is "{shown(request.args[name])}"; it may be {" or ".join(known)}'
        )
        for name, known in words.items()
        if name in request.args and request.args[name] not in known
    ]
    if path is not None:
        try:
            check_path(path)
            check_unit(path, request.args.get("unit"))
        except UnknownValueError as error:
            raise Problem("not-found", str(error)) from None
        except WrongUnitError as error:
            faults.append(RequestFault(("unit",), "not-a-choice", str(error)))
    return faults


def form_of(form: Media, *what: str) -> tuple[str, ...]:
    """Name all that decides the bytes of an answer beside its quote."""
    args = request.args
    language = languages.accepted() if form is HTML else ""
    return (*what, form.suffix, args.get("excel", ""), args.get("unit", ""), language)


def table_answer(table: Table, answer: Json, form: Media) -> Response:
    """Send a catalogue in some form."""
    return sent(writing.table(table, answer, look(form)), form, table.name)


def one_table(table: Table, data: bytes, form: Media) -> Response:
    """Send a table of a quote in some form."""
    return sent(written(writing.one_table, data, look(form), table.name), form, table.name)


def quote_answer(
    data: bytes, form: Media, book: str, design: Design | None = None, pictures: bytes = b"[]", label: str = "",
    day: str = "", asked_by: Questions | None = None, change: str | None = None,
) -> Response:  # fmt: skip
    """Send a whole quote as a page, as a workbook of all its tables, or as text; book: the title of its price book.

    pictures: of its furniture, as JSON, for a page or a workbook; label: what it is called; day: when it was kept, if
    it was (ISO 8601); asked_by: the form that it is asked by on its page; change: the address of a page that has that.
    """
    asked = tuple((name, text) for name, text in _query() if name not in ("price_book", "units", LINK))
    heading = design.title if design else ""
    proposals = tuple(_proposals(design)) if design else ()
    stored, keeps = bool(day), service().keeper.keeps
    title = Title(
        book, design.name if design else "", heading, asked, proposals, stored, keeps, label, day, asked_by, change
    )  # fmt: skip
    return sent(written(writing.quote, data, look(form), title, pictures), form, "quote")


CHEAPER: Final = message("Make it cheaper")
FITS: Final = message("Make it fit my car")


def _proposals(design: Design) -> Iterator[tuple[str, str]]:
    """What may be proposed in place of the quote at hand: something cheaper, something that fits the vehicle told."""
    options = {option.name for option in design.options}
    query = {name: text for name, text in _query() if name in {*QUOTE, *options}}
    address = f"/v1/designs/{design.name}/proposal.{HTML.suffix}?"
    if opened := may_save(design, query):
        yield CHEAPER, address + urlencode({**query, "open": ",".join(opened)}, safe=",")
    if "vehicle_length" in query and (opened := may_save(design, query, "carrying")):
        fits = {"open": ",".join(opened), "most": f"longest_piece:{query['vehicle_length']}"}
        yield FITS, address + urlencode({**query, **fits}, safe=",:")


def plan_answer(data: bytes, form: Media) -> Response:
    """Send a cutting plan as a workbook of those of a quote's tables that it has, or as text."""
    return sent(written(writing.plan, data, look(form)), form, "cutting-plan")


def written(write: Callable[..., bytes | str], data: bytes, *how: Any) -> bytes | str:
    """Write an answer in some form: a small one here, a large one in the back room. Raises Problem."""
    if len(data) <= SMALL:
        return write((), data, *how)
    found: bytes | str = handing_in.asker().done(service().room, write, (data, *how))[0]
    return found


def look(form: Media) -> Look:
    """Tell how the request at hand wants an answer written."""
    path = request.path.removesuffix(f".{form.suffix}")
    opened = urlencode({LINK: request.args[LINK]}) if LINK in request.args else ""
    byte_order_mark, language = request.args.get("excel") == "1", languages.accepted()
    return Look(form.suffix, path, tuple(_query()), byte_order_mark, opened, language=language)


def value_answer(answer: Json, path: str, form: Media) -> Response:
    """Send one value of a quote: plain, or as JSON with its unit. Raises Problem: this quote has none such."""
    try:
        found = value_of(answer, path, request.args.get("unit"))
    except UnknownValueError as error:
        raise Problem("not-found", str(error)) from None
    if form is JSON:
        value = found.cell if not isinstance(found.cell, Decimal) else json_number(found.cell)
        money = found.unit == answer["price_book"]["currency"]
        return sent(
            json_bytes({"value": plain(found.cell) if money else value, "unit": found.unit or None}), form, path
        )
    if form is CSV:
        text = guarded(found.cell) if isinstance(found.cell, str) else plain(found.cell)
        return sent(write_rows([text], ()), form, path)
    return sent(plain(found.cell), form, path)


def sent(data: bytes | str, form: Media, name: str) -> Response:
    """Send what is written in a form; name: of the file it may be kept as."""
    response = Response(data, content_type=form.content_type)
    if form in (CSV, XLSX):
        response.headers["Content-Disposition"] = f'inline; filename="{name}.{form.suffix}"'
    return response


def _query() -> list[tuple[str, str]]:
    """The query in one order, for the addresses of other forms; what is written into one form alone is left out."""
    return [(name, text) for name, text in sorted(request.args.items()) if name not in ("excel", "on_error")]


def later(what: str, query: Mapping[str, str]) -> str | None:
    """Where what the request at hand asks for can be had made as a job; None: it is one, or nothing is kept."""
    at_once = "job_id" not in (request.view_args or {})
    return f"/kept/jobs/{what}?{urlencode(query, safe=',:')}" if at_once and service().keeper.keeps else None


def answer_of(data: bytes) -> Json:
    """Read a quote that was written as JSON."""
    found: Json = json.loads(data)
    return found


def chosen(offered: Sequence[Media], form: Media | None) -> Media:
    """Give the form that an address names, or else the one that is accepted best. Raises Problem."""
    return media.accepted(offered) if form is None else form
