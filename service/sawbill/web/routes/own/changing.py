"""The page on which a kept quote is changed, of however many lines, and quoted and kept anew."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, Final

from flask import Blueprint, Response, request

from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.kept import About
from sawbill.answer.quote import ENGINE
from sawbill.store import StoredQuote
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import by_form
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import kept
from sawbill.web.routes.own.quotes import ADDRESS, key_of_form, page_of, with_prices
from sawbill.web.routes.pages.asking import sent_prices
from sawbill.web.work.quoting import make, service
from sawbill.web.written import own, tabled
from sawbill.web.written.asking import lines
from sawbill.web.written.asking import page as asking
from sawbill.web.written.asking.questions import FILE

own_changes = Blueprint("own_changes", __name__)

CHANGE: Final = f"{ADDRESS}/change"
SENT_ALONG: Final = (("", "the prices it was made from"),)
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
def change_quote(quote_id: str) -> Response:
    """Quote what was changed; keep it as a new quote where that button was pressed."""
    parameters()
    before = kept.find(quote_id)
    raw, typed, places = kept.asked_again(before), _typed(), list[int]()
    try:
        typed |= sent_prices(request.files)
    except Problem as problem:
        return _page(before, raw, typed, problem=problem, field=FILE)
    label, keeps = typed.get("label", ""), request.form.get("do") == "keep"
    key = key_of_form(request.full_path, label) if keeps else None
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


def _typed() -> dict[str, str]:
    """What stands in the form at hand; a line that is to be added is listed among those that were."""
    typed = {name: ",".join(filter(None, map(str.strip, texts))) for name, texts in request.form.lists()}
    added = [typed.get(lines.ADDED, ""), typed.get("add", "")]
    known = [name for each in added for name in each.split(",") if name in service().designs]
    return {name: text for name, text in {**typed, lines.ADDED: ",".join(known)}.items() if text}


def _page(
    before: StoredQuote, raw: Mapping[str, Any], typed: Mapping[str, str], *, quote: Any = None,
    problem: Problem | None = None, field: str = "", places: Sequence[int] = (),
) -> Response:  # fmt: skip
    faults = _faults(problem, field, places) if problem else {}
    offered = [*(SENT_ALONG if isinstance(raw["price_book"], dict) else ()), *asking.offered_books()]
    book = asking.book_of(typed.get("price_book", ""), offered[-1:])
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
