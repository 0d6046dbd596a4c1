"""A proposal as it is sent: JSON, text, or a page whose links lead to its quotes."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Response, request

from sawbill.answer.proposed import proof_text, proposal_text
from sawbill.web.admission.access import LINK
from sawbill.web.http.media import HTML, JSON, Media
from sawbill.web.written import render
from sawbill.web.written.tabled import answer_of, sent


def proposal_answer(data: bytes, form: Media) -> Response:
    """Send a proposal, which is JSON, in a form."""
    if form is JSON:
        return Response(data, content_type=form.content_type)
    answer = answer_of(data)
    if form is not HTML:
        return sent(proposal_text(dict(answer)) + "\n", form, "proposal")
    query = {name: text for name, text in sorted(request.args.items()) if name not in ("on_error", LINK)}
    return sent(
        render.page(
            "proposal.html", proposal=answer, asked=query, query=urlencode(query, safe=","),
            path=request.path.removesuffix(f".{HTML.suffix}"), proof=proof_text(answer["proof"]),
        ),
        form, "proposal",
    )  # fmt: skip
