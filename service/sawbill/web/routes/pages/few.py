"""The page with a few quotes side by side."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Final

from flask import Blueprint, Response, request

from sawbill.answer.columns import Json
from sawbill.answer.compared import comparison_json
from sawbill.answer.quote import ENGINE
from sawbill.asked.faults import RequestFault
from sawbill.backroom import Rank
from sawbill.trade.lengths import System
from sawbill.web.admission.access import takes
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import FOR_ALL, SEVERAL, VARIANT, for_all, variants_request
from sawbill.web.work import handing_in
from sawbill.web.work.comparing import read
from sawbill.web.work.comparing import rows as rows_of
from sawbill.web.work.quoting import service
from sawbill.web.written import few as written
from sawbill.web.written import render
from sawbill.web.written.asking import page as asking
from sawbill.web.written.few import MOST, Variant

few = Blueprint("a few side by side", __name__)

USUAL: Final[System] = "metric"
"""The units where there is nothing to tell."""


@few.get("/compare")
@takes("read")
def compare_few() -> Response:
    """Show a few quotes side by side."""
    addresses = [text for text in request.args.getlist(VARIANT) if text.strip()]
    common, faults = for_all()
    variants: list[Variant] = []
    try:
        if faults:
            raise problems.faulty(faults, "parameter")
        variants = _variants(addresses)
        answer, units = _compared(variants, common) if variants else (None, USUAL)
    except Problem as problem:
        return _page(addresses, variants, None, common, problem=problem)
    return _page(addresses, variants, answer, common, units)


def _variants(addresses: list[str]) -> list[Variant]:
    """Read the addresses. Raises Problem: one is none of a quote; there are too many."""
    if len(addresses) > MOST:
        told = f"there are {len(addresses)} quotes; take away all but {MOST}"
        raise problems.faulty([RequestFault((VARIANT,), "too-many", told)], "parameter")
    offered, prefix = service().designs, request.script_root
    read = [written.variant(place, text, offered, prefix) for place, text in enumerate(addresses, 1)]
    if faults := [fault for each in read if not isinstance(each, Variant) for fault in each]:
        raise problems.faulty(faults, "parameter")
    return [each for each in read if isinstance(each, Variant)]


def _compared(variants: list[Variant], common: Mapping[str, str]) -> tuple[Json, System]:
    """Compare them; and in which units they are told."""
    named = zip(variants, written.labels(variants), strict=True)
    raw = variants_request(
        [(each.design.name, label, each.options) for each, label in named], written.for_all(variants, common)
    )
    asked = read(raw, service(), handing_in.asker())
    rows = list(rows_of(asked, service(), handing_in.asker(Rank.ROW)))
    units: System = asked.compared.common.get("units", asked.books[0].units)
    return comparison_json(asked.compared, asked.books, rows), units


def _page(
    addresses: list[str], variants: Sequence[Variant], answer: Json | None, common: Mapping[str, str],
    units: System = USUAL, problem: Problem | None = None,
) -> Response:  # fmt: skip
    given = written.for_all(variants, common)
    rows = written.with_names(answer["rows"], variants, given) if answer else []
    at: defaultdict[str, list[str]] = defaultdict(list)
    for error in problem.errors if problem else ():
        field = asking.field_of(error, (*FOR_ALL, *SEVERAL))
        at[SEVERAL.get(field, field)].append(asking.told(error))
    asked = asking.questions_of(variants[0].design, given, at) if variants else None
    kind = problems.KINDS[problem.kind] if problem else None
    page = render.for_reader(
        "compare.html", rows=rows, questions=asked, methods=written.methods(rows),
        measures=written.measures(rows, units),
        books=answer["price_books"] if answer else [],
        addresses=[*addresses, *[""] * max(2 - len(addresses), len(addresses) < MOST)], problem=kind,
        faults=[str(each["detail"]) for each in problem.errors] or [problem.detail] if problem else [], engine=ENGINE,
    )  # fmt: skip
    response = Response(page, kind.status if kind else 200, headers={"Cache-Control": "no-store"})
    response.headers.extend(dict(problem.headers) if problem else {})
    return response
