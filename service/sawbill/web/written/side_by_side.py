"""A comparison as it is sent: a table in some form, or a page whose links sort it and lead to its quotes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final
from urllib.parse import urlencode

from flask import Response, request

from sawbill.answer.columns import Json
from sawbill.quoting.comparing.criteria import CRITERIA
from sawbill.trade.lengths import System
from sawbill.web.admission.access import LINK
from sawbill.web.http import languages
from sawbill.web.http.media import HTML, JSON, Media
from sawbill.web.http.queries import QUOTE
from sawbill.web.reckoning import writing
from sawbill.web.written.compared import Leads, comparison_page
from sawbill.web.written.tabled import answer_of, later, look, sent, written

_ROWS_OWN: Final = ("price_book", "quantity")
"""Parameters of a quote of which every row has one of its own."""


def compared_answer(data: bytes, form: Media, units: System) -> Response:
    """Send a comparison, which is JSON, in a form that is sent at once; units: who reads it, and on whose paper."""
    if form is JSON:
        return Response(data, content_type=form.content_type, headers={"Cache-Control": "no-cache"})
    if form is HTML:
        return sent(_page(answer_of(data), units), form, "comparison")
    return sent(written(writing.comparison, data, look(form), units), form, "comparison")


def _page(answer: Json, units: System) -> str:
    query = {name: text for name, text in sorted(request.args.items()) if name not in ("excel", "on_error", LINK)}
    common = {name: text for name, text in query.items() if name in QUOTE and name not in _ROWS_OWN}
    rows, sort = answer["rows"], query.get("sort", "")
    leads = Leads(
        quotes={row["row"]: _quote(row, common, query["price_book"]) for row in rows},
        sorts={name: _address(query, sort=f"-{name}" if sort == name else name) for name in CRITERIA},
        baselines={row["row"]: _address(query, baseline=str(row["row"])) for row in rows},
        later=later("comparison", query),
    )
    told: System = query.get("units", units)  # type: ignore[assignment]  # read as such before
    path = request.path.removesuffix(f".{HTML.suffix}")
    return comparison_page(
        answer, told, languages.accepted(), path, leads, asked=common, query=_as_query(query), sort=sort
    )


def _address(query: Mapping[str, str], **changed: str) -> str:
    """The same comparison with something told otherwise."""
    return f"{request.path}?{_as_query({**query, **changed})}"


def _quote(row: Json, common: Mapping[str, str], books: str) -> str:
    """The page of a row's own quote, from the revision of its price book where that was asked for."""
    quantity = {"quantity": row["quantity"]} if row["quantity"] != 1 else {}
    pinned = f"{row['price_book']}@{row['revision']}"
    book = pinned if pinned in books.replace(" ", "").split(",") else row["price_book"]
    asked = {"price_book": book, **row["options"], **quantity, **common}
    return f"/v1/designs/{row['design']}/quote.{HTML.suffix}?{_as_query(asked)}"


def _as_query(query: Mapping[str, object]) -> str:
    """A query as an address has it; commas stay commas."""
    return urlencode(query, safe=",")
