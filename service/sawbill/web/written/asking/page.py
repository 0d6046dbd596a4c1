"""Pages with the form of a design: before anything is quoted, beside a quote, and where what was asked has faults."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Mapping
from types import MappingProxyType
from typing import Any, Final
from urllib.parse import urlencode

from flask import Response, request

from sawbill.answer.quote import ENGINE
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.store import StoreError
from sawbill.trade.design import Design
from sawbill.web.admission.access import LINK
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.http.queries import TOLD
from sawbill.web.library import books
from sawbill.web.work.quoting import service
from sawbill.web.written import render
from sawbill.web.written.asking.questions import Faults, Questions, Taken, questions

NOT_ASKED: Final = ("excel", "on_error", LINK)
"""What of an address no form asks for, nor carries on."""
LINE: Final = {"label", "design", "options", "quantity"}
GROUPS: Final = ("lumber", "shop", "site", "pricing")
ALONE: Final = ("price_book", "units", *(each.name for each in TOLD))
"""What of a request an address can say: of its line, its groups, and what stands alone."""
MOST_ADDRESS: Final = 4_000
"""How long an address may become [characters]."""
NONE: Final[Faults] = MappingProxyType({})


def asked_now() -> dict[str, str]:
    """What the address at hand holds."""
    return {name: text for name, text in request.args.items() if name not in NOT_ASKED}


def questions_of(design: Design | None, given: Mapping[str, str], faults: Faults = NONE) -> Questions:
    """Ask for a design, or for pieces where there is none.

    given: what stands in the fields; faults: what is wrong with each.
    """
    offered = offered_books()
    return questions(design, given, book_of(given.get("price_book", ""), offered), offered, faults)


def address_of(raw: Mapping[str, Any]) -> str | None:
    """The page of a quote that answers this request, where its address can say all of it: of one design, as it is."""
    lines = raw.get("lines", [])
    if len(lines) != 1 or "design" not in lines[0] or raw.keys() - {"lines", *GROUPS, *ALONE} or lines[0].keys() - LINE:
        return None
    given = {**{name: raw[name] for name in ALONE if name in raw}, **lines[0].get("options", {})}
    given |= {name: text for group in GROUPS for name, text in raw.get(group, {}).items()}
    given |= {"quantity": lines[0]["quantity"]} if "quantity" in lines[0] else {}
    written = {name: as_written(value) for name, value in given.items()}
    query = {name: text for name, text in written.items() if text is not None}
    told = f"/v1/designs/{lines[0]['design']}/quote.html?{urlencode(query)}"
    return told if len(query) == len(written) and len(told) <= MOST_ADDRESS else None


def as_written(value: object) -> str | None:
    """A value as an address has it; None: it cannot."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        parts = [as_written(each) for each in value]
        return ",".join(part for part in parts if part is not None) if None not in parts else None
    return str(value) if isinstance(value, str | int | float) else None


def page(design: Design, given: Mapping[str, str]) -> Response:
    """The page of a design, with nothing quoted yet."""
    return _page(design, questions_of(design, given), given, 200)


def at_fault(design: Design, given: Mapping[str, str], problem: Problem, field: str = "") -> Response:
    """The page of a design whose quote was asked for in vain: everything stands as it was, each fault at its field.

    field: which field it is about, where the problem does not say so itself.
    """
    faults: defaultdict[str, list[str]] = defaultdict(list)
    for error in problem.errors:
        faults[field or str(error.get("parameter", ""))].append(told(error))
    if not problem.errors:
        faults[field].append(f"{problem.detail[:1].upper()}{problem.detail[1:]}.")
    kind = problems.KINDS[problem.kind]
    response = _page(design, questions_of(design, given, faults), given, kind.status, kind)
    response.headers.extend(dict(problem.headers))
    return response


def _page(
    design: Design, asked: Questions, given: Mapping[str, str], status: int, kind: problems.Kind | None = None
) -> Response:  # fmt: skip
    written = render.for_reader(
        "design.html", design=design, questions=asked, problem=kind, engine=ENGINE, asked=dict(given),
    )  # fmt: skip
    return Response(written, status, headers={"Cache-Control": "no-store"})


def field_of(error: Mapping[str, object], names: Container[str]) -> str:
    """Which of these fields a fault belongs to, by the parameter or the pointer that it names; empty: none."""
    steps = str(error.get("parameter") or error.get("pointer", "")).split("/")
    return next((step for step in reversed(steps) if step in names), "")


def told(error: Mapping[str, object]) -> str:
    """A fault with its place in a file, where it has one."""
    place = [f"{word} {error[word]}" for word in ("sheet", "file", "row", "line", "column") if error.get(word)]
    return f"{', '.join(place)}: {error['detail']}" if place else str(error["detail"])


def offered_books() -> list[Taken]:
    """The price books that who asks may choose, each with its title; those that cannot be used are left out."""
    found = service()
    listed: list[Taken] = []
    for name in found.shelf.names():
        try:
            listed.append((name, found.shelf.get(name).title))
        except BookFaultsError:  # its own address says what is wrong with it
            continue
        except Problem:  # it is large, and nobody is free to read it just now
            listed.append((name, name))
    try:
        stored = [(name, name) for name, entry in found.library.listed().items() if entry is not None]
    except StoreError:  # the folder's books do without it
        stored = []
    return [*listed, *stored]


def book_of(name: str, offered: list[Taken]) -> PriceBook | None:
    """The book whose usual values are told: the one asked for, or else the first."""
    library = service().library
    try:
        for each in filter(None, (name, *(known for known, _ in offered[:1]))):
            found = books.named(library, each, "price_book")
            if isinstance(found, PriceBook):
                return found
    except (Problem, StoreError):
        pass
    return None
