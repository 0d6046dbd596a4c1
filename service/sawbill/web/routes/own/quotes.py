"""Quotes that a person keeps, as pages: kept, labelled, priced again, deleted."""

from __future__ import annotations

from typing import Any, Final

from flask import Blueprint, Response, request

from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.kept import About
from sawbill.prices.pricebook import PriceBook, content
from sawbill.store import IdempotencyKey, StoredQuote
from sawbill.web.admission import callers
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import by_form
from sawbill.web.http import problems
from sawbill.web.http.bodies import read_as
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters
from sawbill.web.library import books, kept
from sawbill.web.schemas.kept import ABOUT_ASKED
from sawbill.web.work.asking import asked_quote
from sawbill.web.work.quoting import make, service
from sawbill.web.written import own

own_quotes = Blueprint("own_quotes", __name__)

ONCE: Final = "once"
"""The field of a form that tells it from every other, so that one sent twice keeps one quote."""
ADDRESS: Final = "/kept/quotes/<quote_id>"
LIST: Final = "/v1/quotes.html"


@own_quotes.get("/designs/<design>/keep")
@takes("quote")
def name_quote(design: str) -> Response:
    """Ask what a quote of one design is to be called that is kept."""
    kept.store()
    asked = asked_quote(design)
    if asked.faults:
        raise problems.faulty(asked.faults, "parameter")
    told = {name: text for name, text in request.args.items() if text}
    query = request.query_string.decode("ascii", "replace")
    return own.page("own/keep.html", design=asked.design, asked=told, query=query)


@own_quotes.post("/designs/<design>/keep")
@takes("quote")
@by_form
def keep_quote(design: str) -> Response:
    """Keep the quote of one design, under the label that the form gives."""
    store = kept.store()
    asked = asked_quote(design)
    label = request.form.get("label", "")
    key = key_of_form(request.full_path, label)
    earlier = store.quotes.find(kept.owner(), key) if key else None
    if earlier is None:
        made = make({**with_prices(asked.raw), "label": label}, asked.faults, "parameter", at=kept.PLACE)
        earlier = kept.keep(made, made.quote.label, key).quote
    return own.lead_on(page_of(earlier))


@own_quotes.get(ADDRESS)
@takes("kept")
def kept_quote(quote_id: str) -> Response:
    """Tell of a kept quote, with what may be done with it."""
    parameters()
    return own.page("own/quote.html", told=About.written(kept.find(quote_id).summary, PLAIN))


@own_quotes.post(f"{ADDRESS}/requote")
@takes("quote")
@by_form
def keep_requote(quote_id: str) -> Response:
    """Keep a quote of the same request at today's prices, beside the old one."""
    parameters()
    before = kept.find(quote_id)
    key = key_of_form(request.full_path, "")
    earlier = kept.store().quotes.find(kept.owner(), key) if key else None
    if earlier is None:
        made = make(kept.asked_again(before), at=kept.PLACE)
        earlier = kept.keep(made, before.summary.label, key).quote
    return own.lead_on(page_of(earlier))


@own_quotes.post(f"{ADDRESS}/label")
@takes("quote")
@by_form
def relabel_quote(quote_id: str) -> Response:
    """Label a kept quote anew."""
    parameters()
    kept.find(quote_id)
    asked = read_as({"label": request.form.get("label", "")}, ABOUT_ASKED)
    kept.store().quotes.set_label(quote_id, callers.reach(), asked["label"])
    return own.lead_on(ADDRESS.replace("<quote_id>", quote_id))


@own_quotes.post(f"{ADDRESS}/delete")
@takes("quote")
@by_form
def remove_quote(quote_id: str) -> Response:
    """Delete a kept quote, once that is ticked."""
    parameters()
    kept.find(quote_id)
    if request.form.get("sure") != "yes":
        raise Problem("invalid-request", "tick that you want it deleted: that cannot be undone")
    kept.store().quotes.delete(quote_id, callers.reach())
    return own.lead_on(LIST)


def with_prices(raw: dict[str, Any]) -> dict[str, Any]:
    """Bring a price book along that was sent for a quote and is held for a while only, so that it is kept with it."""
    name = raw.get("price_book")
    if not isinstance(name, str) or name.partition("@")[0] != books.SENT:
        return raw
    book = books.named(service().library, name, "price_book")
    return {**raw, "price_book": content(book)} if isinstance(book, PriceBook) else raw


def key_of_form(path: str, filled: str) -> IdempotencyKey | None:
    """Name the form at hand, if it says which one it is; it is another one where something else is filled in.

    filled: what is filled in, or what tells it from anything else.
    """
    once = request.form.get(ONCE, "")
    return IdempotencyKey(f"form {once} {filled}", path.encode()) if once else None


def page_of(quote: StoredQuote) -> str:
    """Where the page of a kept quote is."""
    return f"{kept.address(quote.summary.id)}.html"
