"""The page on which a kept quote is changed, of however many lines, and quoted and kept anew."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from hashlib import sha256
from typing import Any, Final

from flask import Blueprint, Response, request

from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.kept import About
from sawbill.answer.quote import ENGINE
from sawbill.asked.lines import MOST_LINES
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.store import StoredQuote, StoreError
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import FORM_KEY, by_form, takes_fields
from sawbill.web.http import problems
from sawbill.web.http.languages import message
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.routes.own.quotes import ADDRESS, ONCE, key_of_form, page_of, with_prices
from sawbill.web.routes.pages.asking import as_typed, sent_prices
from sawbill.web.work.quoting import make, service
from sawbill.web.written import own, tabled
from sawbill.web.written.asking import lines
from sawbill.web.written.asking import page as asking
from sawbill.web.written.asking.questions import FILE, Taken

own_changes = Blueprint("own_changes", __name__)

CHANGE: Final = f"{ADDRESS}/change"
MOST_FIELDS: Final = 100 * (MOST_LINES + 1)
"""How many fields the form may send: the largest design has some ninety."""
BESIDE: Final = (ONCE, FORM_KEY, "do")
"""The fields that say nothing of what is asked for."""
SENT_ALONG: Final = (("", message("the prices it was made from")),)
"""How the price book is offered that came with a request, and has no name."""


@own_changes.get(CHANGE)
@takes("quote")
def ask_change(quote_id: str) -> Response:
    """Ask what is to be changed of a kept quote."""
    parameters()
    before = kept.find(quote_id)
    raw = kept.asked_again(before)
    return _page(before, raw, {"label": before.summary.label, **lines.filled(raw)})


@own_changes.post(CHANGE)
@takes("quote")
@by_form
@takes_fields(MOST_FIELDS)
def change_quote(quote_id: str) -> Response:
    """Quote what was changed; keep it as a new quote where that button was pressed."""
    parameters()
    before = kept.find(quote_id)
    raw, places = kept.asked_again(before), list[int]()
    typed = _typed(raw)
    try:
        _add_lines(raw, typed)
    except Problem as problem:
        return _page(before, raw, typed, problem=problem)
    try:
        typed |= sent_prices(request.files)
    except Problem as problem:
        return _page(before, raw, typed, problem=problem, field=FILE)
    label, keeps = typed.get("label", ""), request.form.get("do") == "keep"
    key = key_of_form(request.full_path, _told_apart(typed)) if keeps else None
    earlier = kept.store().quotes.find(kept.owner(), key) if key else None
    if earlier is not None:
        return own.lead_on(page_of(earlier))
    try:
        changed, places = lines.request_of(raw, typed, service().designs)
        made = make({**with_prices(changed), "label": label}, at=kept.PLACE if keeps else None)
    except Problem as problem:
        return _page(before, raw, typed, problem=problem, places=places)
    if keeps:
        return own.lead_on(page_of(kept.keep(made, label, key).quote))
    return _page(before, raw, typed, quote=tabled.answer_of(made.quote.data))


def _typed(raw: Mapping[str, Any]) -> dict[str, str]:
    """What stands in the form at hand, and what it did not show."""
    typed = as_typed((name, texts) for name, texts in request.form.lists() if name not in BESIDE)
    if lines.has_design(raw, typed, service().designs):
        return typed
    return lines.filled({"lines": [], **{group: raw[group] for group in lines.OF_DESIGN if group in raw}}) | typed


def _add_lines(raw: Mapping[str, Any], typed: dict[str, str]) -> None:
    """List a line that is to be added among those that were. Raises Problem: there are too many; as many as may be."""
    asked = ",".join((typed.pop(lines.ADDED, ""), typed.pop("add", "")))
    added = [name for name in asked.split(",") if name in service().designs]
    room = max(0, MOST_LINES - len(raw["lines"]))
    typed |= {lines.ADDED: ",".join(added[:room])} if added[:room] else {}
    if len(added) > room:
        detail = f"this form holds at most {MOST_LINES} lines, with those that are left out; no more can be added"
        raise Problem("invalid-request", detail)


def _told_apart(typed: Mapping[str, str]) -> str:
    """A short text that is another one wherever something else was typed."""
    return sha256(json.dumps(sorted(typed.items())).encode()).hexdigest()


def _book(
    before: StoredQuote, raw: Mapping[str, Any], typed: Mapping[str, str], books: list[Taken]
) -> PriceBook | None:
    """The price book whose usual values are told: the one that is chosen, which may be the quote's own."""
    named = typed.get("price_book") or raw["price_book"]
    if isinstance(named, str):
        return asking.book_of(named, books)
    try:
        return kept.book_of(before)
    except (BookFaultsError, Problem, StoreError):
        return None


def _page(
    before: StoredQuote, raw: Mapping[str, Any], typed: Mapping[str, str], *, quote: Any = None,
    problem: Problem | None = None, field: str = "", places: Sequence[int] = (),
) -> Response:  # fmt: skip
    faults = _faults(problem, field, places) if problem else {}
    books = asking.offered_books()
    book = _book(before, raw, typed, books)
    offered = [*(SENT_ALONG if isinstance(raw["price_book"], dict) else ()), *books]
    told, common = lines.asked(raw, typed, service().designs, book, offered, faults)
    kind = problems.KINDS[problem.kind] if problem else None
    stays = [name for name in raw if name not in {"lines", "label", *lines.ALONE, *lines.GROUPS}]
    response = own.page(
        "own/change.html", kind.status if kind else 200, told=About.written(before.summary, PLAIN), lines=told,
        questions=common, quote=quote, problem=kind, listed=[each for some in faults.values() for each in some][:20],
        label=typed.get("label", ""), added=typed.get(lines.ADDED, ""), designs=[*service().designs.values()],
        stays=stays, engine=ENGINE,
    )  # fmt: skip
    response.headers.extend(dict(problem.headers) if problem else {})
    return response


def _faults(problem: Problem, field: str, places: Sequence[int]) -> dict[str, list[str]]:
    """What is wrong, by the field it stands at."""
    faults: defaultdict[str, list[str]] = defaultdict(list)
    for error in problem.errors:
        faults[field or lines.field_of(str(error.get("pointer", "")), places)].append(asking.told(error))
    if not problem.errors:
        faults[field].append(problem.detail)
    return faults
