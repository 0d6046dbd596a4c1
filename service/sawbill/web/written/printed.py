"""Documents for the printer: the shop's sheet, to build from, and the customer's, which tells no cost.

Each is one HTML that needs nothing beside it, of which `extras` makes a PDF.
"""

from __future__ import annotations

import base64
import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

from jinja2 import Environment

from sawbill.answer.columns import Json
from sawbill.answer.quote import quote_json
from sawbill.buying.takeoff import frame_hardware
from sawbill.drawings.catalogue import building_sheets, page, steps
from sawbill.drawings.paper.sheet import PAPERS, Paper, inner
from sawbill.drawings.subject import Subject
from sawbill.quoting.drawn import cutting_pages, subjects_of
from sawbill.quoting.quote import Quote
from sawbill.web.http.languages import ENGLISH
from sawbill.web.written import render

Kind = Literal["shop-sheet", "customer-sheet"]
PAPER: Final[Mapping[str, Paper]] = {"letter": PAPERS["inch"], "A4": PAPERS["metric"]}
"""The sizes of paper by the name they are asked for."""
_PICTURE: Final[Mapping[Kind, str]] = {"shop-sheet": "105mm", "customer-sheet": "85mm"}


class NoPriceError(Exception):
    """A selling price is asked for that the quote does not reckon; its text says which it does."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """How a document is to be. paper: one of PAPER, empty for the usual of the quote's units; language: of its words.

    Of a customer's sheet terms: as they are printed, lines to be filled in where there are none; method: by which of
    the quote's ways the price is reckoned, the first unless given.
    """

    paper: str = ""
    terms: str = ""
    method: str = ""
    language: str = ENGLISH


def shop_sheet(quote: Quote, wishes: Wishes) -> str:
    """All that it takes to buy, cut and build."""
    paper = _paper(quote, wishes)
    answer, subjects = quote_json(quote), subjects_of(quote.request, paper)
    return _document(
        "shop-sheet", _heading(subjects, answer), paper, wishes.language,
        quote=answer,
        furniture=[
            {"picture": _picture(subject, f"line-{line}"), "sheets": _unique(building_sheets(subject), line),
             "steps": _unique(steps(subject), line)}
            for line, subject in subjects.items()
        ],
        cutting=[each.svg for each in cutting_pages(quote, paper)],
        sides=list(dict.fromkeys(subject.frame.sides for subject in subjects.values())),
        sources=list(dict.fromkeys(check["source"] for check in answer["checks"])),
    )  # fmt: skip


def customer_sheet(quote: Quote, wishes: Wishes) -> str:
    """What a customer is shown: picture, size, what it is made of, the selling price, the terms; never a cost.

    Raises NoPriceError.
    """
    paper = _paper(quote, wishes)
    answer, subjects = quote_json(quote), subjects_of(quote.request, paper)
    return _document(
        "customer-sheet", _heading(subjects, answer), paper, wishes.language,
        furniture=[_shown(answer, frame, subjects[frame["line"]]) for frame in answer["frames"]],
        own_parts=[line["label"] for line in answer["lines"] if line["design"] is None],
        currency=answer["price_book"]["currency"],
        units=answer["units"],
        price=_price(answer, wishes.method),
        terms=wishes.terms,
    )  # fmt: skip


KINDS: Final[Mapping[str, Callable[[Quote, Wishes], str]]] = {
    "shop-sheet": shop_sheet,
    "customer-sheet": customer_sheet,
}
"""The documents by name."""


def style_hash(html: str) -> str:
    """What a page's security policy allows its style by (CSP Level 3, hash-source)."""
    style = html.partition("<style>")[2].partition("</style>")[0]
    return f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'"


def _document(kind: Kind, heading: str, paper: Paper, language: str, **content: Any) -> str:
    foot = heading.replace("\\", "").replace('"', "'").replace("<", "")
    style = _style().render(paper=paper.name, foot=foot, picture=_PICTURE[kind])
    return render.page(f"{kind.replace('-', '_')}.html", language, heading=heading, style=style, **content)


def _paper(quote: Quote, wishes: Wishes) -> Paper:
    return PAPER[wishes.paper] if wishes.paper else PAPERS[quote.request.units]


def _price(answer: Json, method: str) -> str:
    """The selling price to show; none where the quote reckons none. Raises NoPriceError."""
    prices = {each["method"]: str(each["amount"]) for each in answer["selling_prices"]}
    if method and method not in prices:
        raise NoPriceError(
            f'price_by is "{method}"; this quote works out {", ".join(prices) or "none: ask for it with pricing"}'
        )
    return prices[method] if method else next(iter(prices.values()), "")


@cache
def _style() -> Any:
    return Environment(autoescape=False).from_string((render.PAGES / "printed.css").read_text())


def _heading(subjects: Mapping[int, Subject], answer: Json) -> str:
    titles = [subject.title for subject in subjects.values()]
    return ", ".join(dict.fromkeys(titles or (line["label"] for line in answer["lines"])))


def _picture(subject: Subject, ids: str) -> str:
    drawn = page(subject, "isometric")
    assert drawn is not None
    return inner(drawn, subject.paper, ids)


def _unique(pages: Sequence[Any], line: int) -> list[str]:
    """Drawings for one document, in which the drawings of several lines have ids of their own."""
    return [each.svg.replace(f"{each.name}-", f"line-{line}-{each.name}-", 4) for each in pages]


def _shown(answer: Json, frame: Json, subject: Subject) -> Json:
    """A piece of furniture without what it costs."""
    cuts = [cut for cut in answer["cut_list"] if cut["line"] == frame["line"]]
    return {
        "label": frame["label"],
        "quantity": frame["quantity"],
        "picture": _picture(subject, f"line-{frame['line']}"),
        "frame": frame,
        "woods": [*_woods(answer, {cut["part"]: cut["section"] for cut in cuts})],
        "fasteners": list(dict.fromkeys(f"{need.item}s" for need in frame_hardware(subject.frame))),
    }


def _woods(answer: Json, sections: Mapping[str, str]) -> Iterator[str]:
    """The kinds of wood that are cut for these parts, each with its sections."""
    found: defaultdict[str, dict[str, None]] = defaultdict(dict)
    for board in answer["cutting_plan"]:
        for cut in board["cuts"]:
            if cut["part"] in sections:
                found[board["species"] or "wood on hand"][board["section"]] = None
    yield from (f"{species}, {', '.join(each)}" for species, each in found.items())
