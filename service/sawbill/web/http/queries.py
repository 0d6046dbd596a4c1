"""Query strings: each parameter once and by its name, and a quote's parameters as the request they stand for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from flask import request

from sawbill.asked.lines import quantity
from sawbill.asked.pricing import PRICING
from sawbill.asked.request import (
    PLACED,
    PRICE_BOOK,
    SHOP,
    SITE,
    TRACE,
    UNITS,
    WAYS_OUT,
    RequestFault,
)
from sawbill.asked.wood import LUMBER_THAT_HOLDS
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown
from sawbill.quoting.comparing import asked as compared
from sawbill.quoting.proposing import asked as proposed
from sawbill.trade.declaring.members import Member
from sawbill.trade.design import Design
from sawbill.trade.lengths import System
from sawbill.web.admission import access, callers
from sawbill.web.http import problems


def _named(listed: Iterable[Member]) -> dict[str, Member]:
    """Put members in a table by the names of their parameters."""
    return {SEVERAL.get(each.name, each.name): each for each in listed}


SEVERAL: Final = {"price_books": "price_book", "quantities": "quantity"}
"""Members that are lists, whose parameters have the names of a quote's."""
_LUMBER: Final = LUMBER_THAT_HOLDS.members
_BESIDE: Final[Mapping[str, Mapping[str, Member]]] = {"lumber": _LUMBER, "shop": SHOP.members, "site": SITE.members}
"""The groups of a request whose members are parameters of a query."""
_QUANTITY: Final = quantity("How many; unset: 1.", 2)
_PRICES: Final = replace(PRICE_BOOK, help="A price book by name, or by name@revision if it must not have changed.")
ASKED: Final = (
    _PRICES, _QUANTITY, UNITS,
    *(each for group in _BESIDE.values() for each in group.values()),
)  # fmt: skip
QUOTE: Final = tuple(each.name for each in ASKED)
"""The parameters of a quote beside the design's options; no option may have one of these names."""
PRICED: Final = tuple(PRICING.members.values())
"""Those that say what is reckoned on top of the purchase, for which the same holds; a comparison has none."""
TOLD: Final = (WAYS_OUT, PLACED, TRACE)
"""Those that say what is told beside the quote, for which the same holds; a comparison has none."""

FORM: Final = ("excel", "on_error", "unit")
"""The parameters that say how an answer is written, which no option may have the name of either."""

DRAWN: Final = ("view",)
"""The parameters that say what is drawn, which no option may have the name of either."""

PRINTED: Final = ("paper",)
"""The parameter of documents for the printer, which no option may have the name of either."""

CUSTOMER: Final = ("terms", "price_by")
"""Those of a customer's sheet, for which the same holds."""

VARIANT: Final = "quote"
"""The parameter that the address of a quote stands in, of which there may be several, where a few are compared."""
FOR_ALL: Final = (*QUOTE, *(each.name for each in PRICED))
"""Those that say there what holds for all of them."""

_ALONE: Final = _named((_PRICES, UNITS, *TOLD))
_LINE: Final = _named((_QUANTITY,))
_COMPARED: Final = _named(
    compared.COMPARISON.members[name]
    for name in ("designs", "price_books", "quantities", "units", "sort", "judge_by", "baseline")
)
_PROPOSED: Final = _named(
    proposed.PROPOSAL.members[name] for name in ("price_books", "quantity", "units", "tools", "make_least", "proposals")
)
BOUNDS: Final = ("least", "most")
"""The parameters of bounds, which no option may have the name of either."""
COMPARISON: Final = (*(name for name in _COMPARED if name not in QUOTE), *BOUNDS)
"""The parameters of a comparison that a quote has not, which no option may have the name of either."""
PROPOSAL: Final = ("open", *(name for name in _PROPOSED if name not in QUOTE), *BOUNDS)
"""The parameters of a proposal that a quote has not, which no option may have the name of either."""

TAKEN: Final = frozenset((
    *QUOTE, *(each.name for each in (*PRICED, *TOLD)), *FORM, *DRAWN, *PRINTED, *CUSTOMER, *COMPARISON, *PROPOSAL,
))  # fmt: skip
"""All of these."""


def parameters(*known: str) -> dict[str, str]:
    """Read the query of the request at hand. Raises Problem: an unknown or a repeated parameter."""
    given, faults = _read(known)
    if faults:
        raise problems.faulty(faults, "parameter")
    return given


def quote_request(design: Design, more: Iterable[str] = ()) -> tuple[dict[str, Any], list[RequestFault]]:
    """Give the query of the request at hand as the JSON of a request, and what is wrong with its names.

    more: what the query may hold beside it, of FORM or DRAWN.
    """
    options = [option.name for option in design.options]
    given, faults = _read((*QUOTE, *_named((*PRICED, *TOLD)), *more, *options))
    line: dict[str, Any] = {"label": design.title, "design": design.name, **_written(given, _LINE)}
    line["options"] = {name: given[name] for name in options if name in given}
    pricing = _written(given, PRICING.members)
    priced = {"pricing": pricing} if pricing else {}
    return {**_written(given, _ALONE), "lines": [line], **_beside_lines(given), **priced}, faults


def comparison_request(
    designs: Mapping[str, Design], more: Iterable[str] = ()
) -> tuple[dict[str, Any], list[RequestFault]]:
    """Give the query of the request at hand as the JSON of a comparison, and what is wrong with its names.

    Values of one parameter stand in it with commas between; more: what the query may hold beside it, of FORM.
    """
    asked_for = _COMPARED["designs"].kind.from_text(request.args.get("designs", ""))
    named = [designs[name] for name in asked_for if name in designs]
    options = list(dict.fromkeys(option.name for design in named or designs.values() for option in design.options))
    given, faults = _read((*COMPARISON, *QUOTE, *more, *options))
    values = {name: compared.VALUES.from_text(given[name]) for name in options if name in given}
    bounds = _bounds(given, faults)
    raw = {**_written(given, _COMPARED), "options": values, **_beside_lines(given)}
    return {**raw, **({"filter": bounds} if bounds else {})}, faults


def for_all() -> tuple[dict[str, str], list[RequestFault]]:
    """What the request at hand asks for all of a few quotes, beside their addresses; and what is wrong with its names.

    A field of a form that may have several values says all of them; an empty one takes away what an address says.
    """
    told = {name: ",".join(filter(None, map(str.strip, texts))) for name, texts in request.args.lists()}
    given = {name: text for name, text in told.items() if name != VARIANT}
    return {name: given[name] for name in FOR_ALL if name in given}, unknown(given, FOR_ALL)


def of_quote(design: Design) -> tuple[str, ...]:
    """The parameters that the address of a quote of a design may have, and its page."""
    return (*QUOTE, *_named((*PRICED, *TOLD)), *FORM, *(option.name for option in design.options))


def unknown(given: Iterable[str], known: Sequence[str]) -> list[RequestFault]:
    """Say which names no parameter has."""
    return [
        RequestFault((name,), "unknown-parameter", f"there is no parameter {shown(name)}; {nearest(name[:60], known)}")
        for name in given
        if name not in known
    ]


def variants_request(
    variants: Sequence[tuple[str, str, Mapping[str, str]]], given: Mapping[str, str]
) -> dict[str, Any]:
    """Give a few quotes as the JSON of a comparison of them.

    variants: each with its design, what it is called, and its options; given: what is asked for all, of `FOR_ALL`.
    """
    designs = [{"design": design, "label": label, "options": dict(options)} for design, label, options in variants]
    told = {name: text for name, text in given.items() if name in ("price_book", "quantity", "units")}
    pricing = _written(given, PRICING.members)
    priced = {"pricing": pricing} if pricing else {}
    return {**_written(told, _COMPARED), "designs": designs, "options": {}, **_beside_lines(given), **priced}


def proposal_request(design: Design, more: Iterable[str] = ()) -> tuple[dict[str, Any], list[RequestFault]]:
    """Give the query of the request at hand as the JSON of a proposal, and what is wrong with its names.

    Options named in `open` are left open, to what stands in their own parameters.
    """
    options = [option.name for option in design.options]
    given, faults = _read((*PROPOSAL, *QUOTE, *more, *options))
    opened = _listed(given, "open")
    raw: dict[str, Any] = {"designs": [{"design": design.name, "label": design.title}]}
    raw["options"] = {name: given[name] for name in options if name in given and name not in opened}
    raw |= {"open": {name: given.get(name, proposed.NEAR) for name in opened}} if opened else {}
    return {**raw, **_written(given, _PROPOSED), **_beside_lines(given), "wishes": _bounds(given, faults)}, faults


def _bounds(given: Mapping[str, str], faults: list[RequestFault]) -> dict[str, dict[str, str]]:
    """The least and the most that are given, by what they are of; faults: takes up what is written otherwise."""
    bounds: dict[str, dict[str, str]] = {}
    for end in BOUNDS:
        for bound in _listed(given, end):
            name, colon, text = bound.partition(":")
            if not (name and colon):
                told = f'{end} is "{shown(bound)}"; write what it is of, a colon and how much, such as total:300.00'
                faults.append(RequestFault((end,), "not-a-bound", told))
            elif end in bounds.setdefault(name, {}):
                faults.append(RequestFault((end,), "repeated", f"{end} has {shown(name)} twice; give it once"))
            else:
                bounds[name][end] = text
    return bounds


def _listed(given: Mapping[str, str], name: str) -> list[str]:
    """The names that a parameter has with commas between."""
    return [part.strip() for part in given[name].split(",")] if name in given else []


def asked_units(given: Mapping[str, str]) -> System | None:
    """Read the parameter `units`; None: it is not given. Raises Problem: it is another word."""
    units = given.get("units")
    if units is None:
        return None
    if units == "inch" or units == "metric":
        return "inch" if units == "inch" else "metric"
    fault = RequestFault(("units",), "not-a-choice", f'units is "{shown(units)}"; it may be inch, metric')
    raise problems.faulty([fault], "parameter")


def _beside_lines(given: Mapping[str, str]) -> dict[str, Any]:
    """What a quote and a comparison hold beside their lines: which lumber, the shop, the site."""
    groups = {name: _written(given, members) for name, members in _BESIDE.items()}
    return {name: group for name, group in groups.items() if group or name == "shop"}


def _written(given: Mapping[str, str], members: Mapping[str, Member]) -> dict[str, Any]:
    """Give the values of parameters, each by the name of the member that is declared for it."""
    return {each.name: each.kind.from_text(given[name]) for name, each in members.items() if name in given}


def _read(known: Iterable[str]) -> tuple[dict[str, str], list[RequestFault]]:
    known = tuple(known)
    given: dict[str, str] = {}
    faults: list[RequestFault] = []
    for name, values in request.args.lists():
        if name == access.LINK and callers.current_caller().link is not None:
            continue  # it has opened this address already
        if name not in known:
            hint = nearest(name[:60], known) if known else "there is none here"
            faults.append(RequestFault((name,), "unknown-parameter", f"there is no parameter {shown(name)}; {hint}"))
        elif len(values) > 1:
            faults.append(RequestFault((name,), "repeated", f"{name} is given {len(values)} times; give it once"))
        else:
            given[name] = values[0]
    return given, faults
