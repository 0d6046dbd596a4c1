"""Query strings: each parameter once and by its name, and a quote's parameters as the request they stand for."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from flask import request

from sawbill.estimating.request import RequestFault
from sawbill.files.cells import nearest
from sawbill.files.faults import shown
from sawbill.trade.design import Design
from sawbill.trade.lengths import System
from sawbill.web import problems
from sawbill.web.schemas.request import SiteAskedSchema

SHOP: Final = (
    "kerf",
    "end_trim",
    "rounding_step",
    "longest_board",
    "keep_offcut",
    "spare_boards",
    "offcut_value",
    "extra_for_fewer_setups",
    "no_slivers",
    "yard_cuts",
)
SITE: Final = tuple(SiteAskedSchema().fields)
QUOTE: Final = ("price_book", "quantity", "units", *SHOP, *SITE)
"""The parameters of a quote beside the design's options; no option may have one of these names."""


def parameters(*known: str) -> dict[str, str]:
    """Read the query of the request at hand. Raises Problem: an unknown or a repeated parameter."""
    given, faults = _read(known)
    if faults:
        raise problems.faulty(faults, "parameter")
    return given


def quote_request(design: Design) -> tuple[dict[str, Any], list[RequestFault]]:
    """Give the query of the request at hand as the JSON of a request, and what is wrong with its names."""
    options = [option.name for option in design.options]
    given, faults = _read((*QUOTE, *options))
    line: dict[str, Any] = {"label": design.title, "design": design.name}
    line["options"] = {name: given[name] for name in options if name in given}
    if "quantity" in given:
        line["quantity"] = _number(given["quantity"])
    raw: dict[str, Any] = {name: given[name] for name in ("price_book", "units") if name in given}
    shop: dict[str, Any] = {name: given[name] for name in SHOP if name in given}
    if "spare_boards" in shop:
        shop["spare_boards"] = _number(shop["spare_boards"])
    site = {name: given[name] for name in SITE if name in given}
    return {**raw, "lines": [line], "shop": shop, **({"site": site} if site else {})}, faults


def asked_units(given: dict[str, str]) -> System | None:
    """Read the parameter `units`; None: it is not given. Raises Problem: it is another word."""
    units = given.get("units")
    if units is None:
        return None
    if units == "inch" or units == "metric":
        return "inch" if units == "inch" else "metric"
    fault = RequestFault(("units",), "not-a-choice", f'units is "{shown(units)}"; it may be inch, metric')
    raise problems.faulty([fault], "parameter")


def _read(known: Iterable[str]) -> tuple[dict[str, str], list[RequestFault]]:
    known = tuple(known)
    given: dict[str, str] = {}
    faults: list[RequestFault] = []
    for name, values in request.args.lists():
        if name not in known:
            hint = nearest(name[:60], known) if known else "there is none here"
            faults.append(RequestFault((name,), "unknown-parameter", f"there is no parameter {shown(name)}; {hint}"))
        elif len(values) > 1:
            faults.append(RequestFault((name,), "repeated", f"{name} is given {len(values)} times; give it once"))
        else:
            given[name] = values[0]
    return given, faults


def _number(text: str) -> int | str:
    """A whole number as JSON has it; what is none stays text, for its reader to refuse."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else text
