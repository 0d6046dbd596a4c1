"""What a notebook shows of an answer: what fails first, the total and its proof, a picture."""

from __future__ import annotations

import base64
from collections import Counter
from collections.abc import Iterator, Mapping
from html import escape
from typing import Any, Final

from sawbill.checks.finding import Status
from sawbill.drawings.catalogue import page
from sawbill.drawings.paper.sheet import inner
from sawbill.drawings.subject import Subject

PICTURES: Final = 4
"""Of how many lines the furniture is shown."""
BAD: Final = {
    Status.FAIL.value: ("failed", "Does not pass"),
    Status.UNRECKONED.value: ("could not be reckoned", "Could not be reckoned"),
}
"""What is told first, and how."""
CAUTION: Final = "Checks are for planning, not a certificate: local codes and a licensed engineer have the last word."


def line_of(answer: Mapping[str, Any]) -> str:
    """Tell an answer in a line: what, total, proof, what fails, the price book."""
    told = [_what(answer), _failing(answer), answer["price_book"]["name"]]
    total = f"{answer['totals']['total']} {answer['price_book']['currency']}, {_proof(answer)}"
    return f"{told[0]}: " + "; ".join(filter(None, (total, *told[1:])))


def page_of(answer: Mapping[str, Any], subjects: Mapping[int, Subject]) -> str:
    """Tell an answer in HTML that needs nothing beside it, in the colours of the notebook."""
    book = answer["price_book"]
    sample = " (a sample: prices are invented)" if book["sample"] else ""
    shown = [
        f"<p><b>{escape(_what(answer))}</b></p>",
        *_bad(answer),
        f"<p><b>{answer['totals']['total']} {escape(book['currency'])}</b>, {_proof(answer)}; prices of "
        f"{escape(book['name'])}{sample}, as of {book['as_of']}</p>",
        *([f"<p>{_failing(answer).capitalize()}. {CAUTION}</p>"] if answer.get("checks") else []),
        *_pictures(subjects),
    ]
    return f"<div>{''.join(shown)}</div>"


def image(svg: str, words: str, style: str = "max-width:100%") -> str:
    """An image of its own, so that nothing in it meets what else is on the page."""
    data = base64.b64encode(svg.encode()).decode()
    return f'<img alt="{escape(words)}" style="background:#fff;{style}" src="data:image/svg+xml;base64,{data}"/>'


def _what(answer: Mapping[str, Any]) -> str:
    """What is made: the lines by their labels, or so many pieces."""
    if "lines" not in answer:
        return f"{sum(row['quantity'] for row in answer['cut_list'])} pieces"
    told = ((row["quantity"], row["label"]) for row in answer["lines"])
    return ", ".join(f"{quantity} x {label}" if quantity > 1 else label for quantity, label in told)


def _proof(answer: Mapping[str, Any]) -> str:
    proof = answer["proof"]
    if proof["status"] == "proven":
        return "proven"
    return f"{proof['status'].replace('_', ' ')}, another plan could save {proof['gap']} at most"


def _failing(answer: Mapping[str, Any]) -> str:
    """How many checks are bad; nothing where nothing is checked."""
    if not answer.get("checks"):
        return ""
    counts = Counter(check["status"] for check in answer["checks"])
    bad = [(counts[status], words) for status, (words, _) in BAD.items() if counts[status]]
    return ", ".join(f"{n} {'check' if n == 1 else 'checks'} {words}" for n, words in bad) or "no check failed"


def _bad(answer: Mapping[str, Any]) -> Iterator[str]:
    """The checks that are bad, the worst first."""
    for status, (_, heading) in BAD.items():
        rows = [check for check in answer.get("checks", ()) if check["status"] == status]
        if rows:
            told = "".join(f"<li>{escape(row['rule'])}: {escape(row['message'])}</li>" for row in rows)
            yield f"<p><b>{heading}</b></p><ul>{told}</ul>"


def _pictures(subjects: Mapping[int, Subject]) -> Iterator[str]:
    """The furniture of the first lines, as it stands."""
    for subject in [*subjects.values()][:PICTURES]:
        drawn = page(subject, "isometric")
        assert drawn is not None
        yield image(inner(drawn, subject.paper, drawn.name), subject.title, "width:24em;max-width:100%")
