"""Documents for the printer, of a design by its address and of a stored quote: the shop's sheet, the customer's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from flask import Response, request
from flask_smorest import Blueprint

from sawbill.asked.request import RequestFault
from sawbill.prices.rows.faults import shown
from sawbill.web.http import languages, media, problems
from sawbill.web.http.answers import PAGE_POLICY
from sawbill.web.http.media import HTML, Media
from sawbill.web.http.queries import CUSTOMER, PRINTED, parameters
from sawbill.web.openapi import NOT_MODIFIED, parameter, route, shared
from sawbill.web.reckoning import printing
from sawbill.web.routes.designs import NAME, PROBLEMS, QUERY
from sawbill.web.routes.drawn.drawings import KEPT
from sawbill.web.routes.quotes import ID
from sawbill.web.work import drawing
from sawbill.web.work.asking import asked_quote
from sawbill.web.work.drawing import Wanted
from sawbill.web.written.printed import PAPER, Wishes, style_hash

sheets = Blueprint("sheets", __name__, description="Documents to print: one to build from, one for a customer.")

PDF: Final = Media("pdf", "application/pdf", "", "PDF (ISO 32000), if that is installed.")
FORMS: Final = (HTML, PDF)
LONGEST_TERMS: Final = 2_000
SIZE: Final = parameter(
    "paper", "The size of the paper. Unset: letter where lengths are in inches, else A4.", "A4", enum=list(PAPER)
)  # fmt: skip
TERMS: Final = parameter(
    "terms", "The terms on the sheet; unset: lines to fill in.", "Half of it with the order.",
    maxLength=LONGEST_TERMS,
)  # fmt: skip
PRICE: Final = parameter(
    "price_by", "Which of the quote's selling prices to show. Unset: the first; if it has none, a line to fill in.",
    "cost-and-margin",
)  # fmt: skip
ABOUT: Final = {
    "shop-sheet": "all that it takes to buy, cut and build: shopping list, cutting diagrams, drawings, steps, checks",
    "customer-sheet": "picture, size, what it is made of, selling price and terms, and no costs",
}
OWN: Final[Mapping[str, Sequence[Mapping[str, Any]]]] = {"shop-sheet": (SIZE,), "customer-sheet": (SIZE, TERMS, PRICE)}
NAMES: Final = {"shop-sheet": PRINTED, "customer-sheet": (*PRINTED, *CUSTOMER)}


def _serve(kind: str, form: Media) -> None:
    """Serve a document in a form, at the address of a design and at that of a stored quote."""

    def of_design(design: str) -> Response:
        asked = asked_quote(design, NAMES[kind])
        return _sent(drawing.of_design(asked, _wanted(kind, form), _faults()), form)

    def of_quote(quote_id: str) -> Response:
        given = parameters(*NAMES[kind])
        if faults := _faults():
            raise problems.faulty(faults, "parameter")
        return _sent(drawing.of_stored(quote_id, _wanted(kind, form, given)), form)

    _route(of_design, kind, form, "designs/<design>", "of a design")
    _route(of_quote, kind, form, "quotes/<quote_id>", "of a stored quote")


def _route(view: Any, kind: str, form: Media, where: str, words: str) -> None:
    stored = where.startswith("quotes")
    view.__name__ = f"{kind.replace('-', '_')}_{form.suffix}_{'quote' if stored else 'design'}"
    view.__doc__ = f"Give the {kind.replace('-', ' ')} {words} as {form.suffix.upper()}: {ABOUT[kind]}."
    answers = {"description": "The document.", "content": media.content((form,), None)}
    pdf = ("not-installed",) if form is PDF else ()
    route(
        sheets, f"GET /v1/{where}/{kind}.{form.suffix}", None, "", *(KEPT if stored else PROBLEMS), *pdf,
        access="stored-quote" if stored else "read", path=ID if stored else NAME,
        parameters=[*([] if stored else shared(QUERY)), *shared(OWN[kind])],
        responses={"200": answers, "304": NOT_MODIFIED},
    )(view)  # fmt: skip


def _wanted(kind: str, form: Media, given: Mapping[str, str] | None = None) -> Wanted:
    args = request.args if given is None else given
    wishes = Wishes(args.get("paper", ""), args.get("terms", ""), args.get("price_by", ""), languages.accepted())
    name = f"{kind}.{form.suffix} {wishes}"
    return Wanted(name, form.content_type, printing.document, (kind, form.suffix, wishes))


def _faults() -> list[RequestFault]:
    """What is wrong with how a document is to be."""
    args, found = request.args, []
    if args.get("paper", "A4") not in PAPER:
        told = f'paper is "{shown(args["paper"])}"; it may be {" or ".join(PAPER)}'
        found.append(RequestFault(("paper",), "not-a-choice", told))
    terms = args.get("terms", "")
    if len(terms) > LONGEST_TERMS:
        told = f"terms has {len(terms)} characters; it may have {LONGEST_TERMS}"
        found.append(RequestFault(("terms",), "too-long", told))
    if not all(line.isprintable() for line in terms.splitlines()):
        told = "terms has control characters; use none but line ends"
        found.append(RequestFault(("terms",), "not-printable", told))
    return found


def _sent(response: Response, form: Media) -> Response:
    """A page may use its own style, and no other."""
    if form is HTML and response.status_code == 200:
        policy = PAGE_POLICY.replace("style-src 'self'", f"style-src {style_hash(response.get_data(as_text=True))}")
        response.headers["Content-Security-Policy"] = policy
    return response


for _kind in ABOUT:
    for _form in FORMS:
        _serve(_kind, _form)
