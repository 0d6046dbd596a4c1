"""A price book that is sent, read in whatever form it came."""

from __future__ import annotations

from collections.abc import Sequence

from sawbill.estimating.pricebook import PriceBook
from sawbill.files import forms
from sawbill.files.asjson import read_json
from sawbill.files.faults import BookFaultsError
from sawbill.web import problems
from sawbill.web.bodies import read_json_text
from sawbill.web.problems import Problem


def book(_: Sequence[PriceBook], name: str, media_type: str, data: bytes) -> PriceBook | Problem:
    """Read a whole price book, or tell every fault of it."""
    form = forms.BY_MEDIA_TYPE.get(media_type)
    try:
        return form.read(name, data) if form else read_json(name, read_json_text(data))
    except BookFaultsError as error:
        place = form.place if form else lambda fault: {"pointer": fault.pointer}
        return problems.sent_book_faulty(error.faults, place)
    except Problem as problem:
        return problem
