"""The page that pieces are pasted into, and their cutting plan."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from typing import Any, Final

from flask import Blueprint, Response

from sawbill.answer.quote import ENGINE
from sawbill.asked.lines import PIECE
from sawbill.asked.owned import ON_HAND
from sawbill.asked.request import CUTTING_PLAN
from sawbill.web.admission.access import takes
from sawbill.web.admission.sessions import asks_by_form
from sawbill.web.http import problems
from sawbill.web.http.media import XLSX
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import parameters, unknown
from sawbill.web.routes.pages.asking import filled_in, sent_prices
from sawbill.web.work.quoting import make
from sawbill.web.written import render, tabled
from sawbill.web.written.asking import page as asking
from sawbill.web.written.asking import pasted
from sawbill.web.written.asking.pasted import Pasted
from sawbill.web.written.asking.questions import FILE, OF_PIECES

cutting_page = Blueprint("cutting page", __name__)

TEXTS: Final = {
    "pieces": (PIECE, ("quantity", "section", "length", "name")),
    "on_hand": (ON_HAND, ("quantity", "section", "length")),
}  # fmt: skip
"""What is pasted: what a row of it may hold, and the order of its cells."""
_ROW: Final = re.compile(r"/(pieces|on_hand)(?:/(\d+))?")


@cutting_page.get("/cutting")
@takes("read")
def ask_for_pieces() -> Response:
    """Ask what is to be cut."""
    parameters()
    return _page({})


@cutting_page.post("/cutting")
@takes("read")
@asks_by_form
def plan_pieces() -> Response:
    """Plan how to cut what was pasted: as a page, or as a workbook where its button was pressed."""
    typed, files = filled_in()
    astray = [{"pointer": f"/{fault.pointer[0]}", "detail": fault.detail} for fault in unknown(typed, _FIELDS)]
    rows = {name: pasted.read(typed.get(name, ""), *how) for name, how in TEXTS.items()}
    try:
        typed |= sent_prices(files)
    except Problem as problem:
        return _page(typed, problem, rows, FILE)
    try:
        of_rows = [{"pointer": f"/{name}", "detail": f.detail} for name, each in rows.items() for f in each.faults]
        if errors := [*astray, *of_rows]:
            raise Problem("invalid-request", f"{len(errors)} mistakes", errors)
        made = make(_request(typed, rows), form="pieces")
    except Problem as problem:
        return _page(typed, problem, rows)
    if typed.get("form") == XLSX.suffix:
        return tabled.plan_answer(made.quote.data, XLSX)
    return _page(typed, quote=tabled.answer_of(made.quote.data))


def _request(typed: Mapping[str, str], rows: Mapping[str, Pasted]) -> dict[str, Any]:
    """What was filled in, as the JSON of a request for a cutting plan."""
    raw: dict[str, Any] = {name: [*each.rows] for name, each in rows.items() if each.rows or name == "pieces"}
    raw |= {name: typed[name] for name in ("price_book", "units") if name in typed}
    for group in ("shop", "lumber"):
        members = CUTTING_PLAN.members[group].kind.members  # type: ignore[attr-defined]  # a group
        told = {name: each.kind.from_text(typed[name]) for name, each in members.items() if name in typed}
        raw |= {group: told} if told else {}
    return raw


def _page(
    typed: Mapping[str, str], problem: Problem | None = None, rows: Mapping[str, Pasted] | None = None, field: str = "",
    quote: Any = None,
) -> Response:  # fmt: skip
    faults = _faults(problem, rows or {}, field) if problem else {}
    kind = problems.KINDS[problem.kind] if problem else None
    page = render.for_reader(
        "cutting.html", quote=quote, typed=dict(typed), problem=kind, at=faults, columns=[*PIECE.members],
        listed=[told for some in faults.values() for told in some][:20],
        questions=asking.questions_of(None, typed, faults), engine=ENGINE,
    )  # fmt: skip
    response = Response(page, kind.status if kind else 200, headers={"Cache-Control": "no-store"})
    response.headers.extend(dict(problem.headers) if problem else {})
    return response


def _faults(problem: Problem, rows: Mapping[str, Pasted], field: str) -> dict[str, list[str]]:
    """What is wrong, by the field it stands in; of a row with its line."""
    faults: defaultdict[str, list[str]] = defaultdict(list)
    for error in problem.errors:
        pointer = str(error.get("pointer", ""))
        row = _ROW.match(pointer)
        if field or row is None:
            faults[field or asking.field_of(error, _NAMES)].append(asking.told(error))
            continue
        of = rows.get(row[1])
        line = f"line {of.lines[int(row[2])]}: " if row[2] and of and int(row[2]) < len(of.lines) else ""
        faults[row[1]].append(f"{line}{error['detail']}")
    if not problem.errors:
        faults[field].append(problem.detail)
    return faults


_NAMES: Final = {"price_book", "units", *(each.name for each in OF_PIECES)}
_FIELDS: Final = (*TEXTS, *sorted(_NAMES), "form")
