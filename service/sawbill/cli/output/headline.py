"""What matters of a quote, told before its tables: the checks that do not pass, what mends them, what it costs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

Json = dict[str, Any]
BAD: Final = {
    "fail": ("check fails", "checks fail"),
    "unreckoned": ("check cannot be reckoned", "checks cannot be reckoned"),
    "warn": ("check warns", "checks warn"),
}
"""How checks that do not pass are told, one and several, the worst first."""
PARTS: Final = ("lumber", "hardware", "supplies", "trips", "tax")
INDENT: Final = "  "


def headline(answer: Json) -> str:
    """Tell in a few lines what matters of a quote, or of a cutting plan."""
    return "\n".join((*_checks(answer), *_ways_out(answer), _total(answer), *_prices(answer)))


def _checks(answer: Json) -> Iterator[str]:
    """The checks that do not pass; one line where all do. A cutting plan has none."""
    checks = answer.get("checks", [])
    for status, words in BAD.items():
        found = [check for check in checks if check["status"] == status]
        if found:
            yield f"{_counted(len(found), *words)}:"
            yield from map(_check, found)
    if checks and not any(check["status"] in BAD for check in checks):
        yield "No check fails or warns. Checks are for planning, and no certificate."


def _check(check: Json) -> str:
    parts = f" ({' '.join(check['parts'])})" if check["parts"] else ""
    found = f" {check['found']}, asked {check['required']}." if check["found"] and check["required"] else ""
    return f"{INDENT}{check['rule']}{parts}:{found} {check['message']}"


def _ways_out(answer: Json) -> Iterator[str]:
    """What was found to mend a check, where that was looked for."""
    for each in answer.get("ways_out", []):
        if not each["ways"]:
            tried = _counted(each["tried_single"] + each["tried_pairs"], "change was", "changes were")
            more = ", and there are more of two options" if each["cut_short"] else ""
            yield f"No way out of {each['rule']} was found; {tried} tried{more}."
        for way in each["ways"]:
            changes = " and ".join(f"{change['option']}={change['after']}" for change in way["changes"])
            yield f"A way out of {each['rule']}: {changes}, for {_more(way['costs'])}, {way['total']} in all."


def _more(costs: str) -> str:
    """How much more something costs, or less."""
    if not float(costs):
        return "no more"
    return f"{costs[1:]} less" if costs.startswith("-") else f"{costs} more"


def _total(answer: Json) -> str:
    totals, book = answer["totals"], answer["price_book"]
    parts = ", ".join(f"{name} {totals[name]}" for name in PARTS if float(totals.get(name, 0)))
    return f"Total {totals['total']} {book['currency']}: {parts}." if parts else f"Total 0 {book['currency']}."


def _prices(answer: Json) -> Iterator[str]:
    """Selling prices, one for each method that was asked for."""
    for price in answer.get("selling_prices", []):
        span = "" if price["least"] == price["most"] else f", between {price['least']} and {price['most']}"
        yield f"Sell for {price['amount']}{span}: {price['rule']}."


def _counted(count: int, one: str, several: str) -> str:
    return f"{count} {one if count == 1 else several}"
