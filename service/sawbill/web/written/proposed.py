"""A proposal as it is sent: JSON, tables, text, or a page whose links lead to its quotes."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Response, request

from sawbill.answer.proposed import proof_text
from sawbill.trade.lengths import System
from sawbill.web.admission.access import LINK
from sawbill.web.http.media import HTML, JSON, Media
from sawbill.web.reckoning import writing
from sawbill.web.written import render
from sawbill.web.written.tabled import answer_of, later, look, sent, written


def proposal_answer(data: bytes, form: Media, units: System) -> Response:
    """Send a proposal, which is JSON, in a form; units: who reads it, and on whose paper."""
    if form is JSON:
        return Response(data, content_type=form.content_type)
    if form is not HTML:
        return sent(written(writing.proposal, data, look(form), units), form, "proposal")
    answer = answer_of(data)
    query = {name: text for name, text in sorted(request.args.items()) if name not in ("excel", "on_error", LINK)}
    return sent(
        render.for_reader(
            "proposal.html", proposal=answer, units=units, asked=query, query=urlencode(query, safe=","),
            path=request.path.removesuffix(f".{HTML.suffix}"), proof=proof_text(answer["proof"]),
            later=later(f"proposal/{(request.view_args or {}).get('design', '')}", query),
        ),
        form, "proposal",
    )  # fmt: skip
