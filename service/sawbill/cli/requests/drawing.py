"""What is drawn for the command `draw`, by the functions that the service's engines call."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sawbill.asked.lines import LINE
from sawbill.cli.output.ending import misused, refuse
from sawbill.cli.requests.asking import Asking, Words
from sawbill.cli.requests.reckoned import handed_in
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning import drawings, printing
from sawbill.web.reckoning.drawings import Drawn
from sawbill.web.written.printed import Wishes

NOT_INSTALLED: Final[Mapping[str, str]] = MappingProxyType({
    ".png": "PNG takes resvg: install sawbill[png], or write .svg",
    ".pdf": "PDF takes WeasyPrint, and Pango: install sawbill[pdf], or write .html and print it",
})  # fmt: skip
"""What to do where what writes a form is not there."""


def drawn(words: Words, suffix: str) -> bytes:
    """What a file is to hold whose name ends so; ends the command where it cannot be drawn."""
    asking = _asked(words)
    found = _reckoned(asking, words, suffix)
    if isinstance(found, Problem):
        if found.kind == "not-installed":
            refuse([NOT_INSTALLED[suffix]])
        asking.refuse(found)
    return found.data


def _asked(words: Words) -> Asking:
    asking = Asking(words["request"])
    asking.prices(words["prices"])
    if words["design"] is not None:
        at = asking.add("lines", {"design": words["design"]}, "DESIGN")
        asking.written(words, [LINE.members["quantity"]], at)
        asking.named((*at, "options"), "--set", words["settings"])
    elif not asking.raw.get("lines"):
        misused(["name a DESIGN, or a --request"])
    asking.fields(words, "shop", "lumber", "pricing")
    for name, option in (("view", "--view"), ("line", "--of"), ("price_by", "--price-by")):
        asking.beside_it(name, option)
    if words["units"]:
        asking.put(("units",), words["units"], "--units")
    return asking


def _reckoned(asking: Asking, words: Words, suffix: str) -> Drawn | Problem:
    shared, asked = handed_in(asking)
    if suffix in (".html", ".pdf"):
        kind = "customer-sheet" if words["customer"] else "shop-sheet"
        wishes = Wishes(words["paper"] or "", words["terms"], words["price_by"])
        return printing.document(shared, asked, kind, "pdf" if suffix == ".pdf" else "html", wishes)
    if suffix == ".zip":
        return drawings.every(shared, asked)
    if suffix == ".glb":
        return drawings.model(shared, asked, words["number"])
    return drawings.view(shared, asked, words["view"], words["number"], "png" if suffix == ".png" else "svg")
