"""A quote reckoned: from the JSON of a request to the JSON of its answer, and what is kept of it beside."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from sawbill import cutting, registry
from sawbill.answer.declared.quoted.drawings import Place
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.quote import plan_json, quote_json
from sawbill.asked.reader import Reader
from sawbill.asked.request import CUTTING_PLAN, PRICE_BOOK, QUOTE, Request, RequestFault
from sawbill.buying.boards import NothingFitsError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Figures, figures_of
from sawbill.quoting.quote import Quote, make_quote
from sawbill.quoting.ways_out import WaysOut
from sawbill.quoting.work import work_for
from sawbill.trade.declaring.members import Group
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.reckoning.prices import Body, Named, Prices, body_read


@dataclass(frozen=True, slots=True)
class Form:
    """A form in which a quote may be asked for: what it may hold, and the writer of its answer."""

    group: Group
    write: Callable[[Quote], dict[str, Any]]


FORMS: Final[Mapping[str, Form]] = MappingProxyType({
    "lines": Form(QUOTE, quote_json), "pieces": Form(CUTTING_PLAN, plan_json),
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """A request for a quote. faults: found before; place: how faults are placed, by `pointer` or query `parameter`.

    figures: whether those of a comparison's row are wanted as well, which takes that it is a quote of one design;
    at: where the quote's drawings are, None where it has no address.
    """

    body: Body
    named: Named
    form: str = "lines"
    faults: tuple[RequestFault, ...] = ()
    place: str = "pointer"
    figures: bool = False
    at: Place | None = None


@dataclass(frozen=True, slots=True)
class Quoted:
    """A quote as the bytes of its JSON, and what is to be known of it beside.

    request: what it answers, without its label, as JSON; total: as the answer prints it; designs: by name, in order;
    lasting: whether it comes out alike whenever it is asked for; inline: the price book, where the request brought it;
    figures: where they are wanted.
    """

    data: bytes
    request: bytes
    label: str
    book: str
    revision: str
    title: str
    currency: str
    total: str
    designs: tuple[str, ...]
    proof: cutting.Status
    lasting: bool
    inline: PriceBook | None
    figures: Figures | None


def quote(shared: Sequence[PriceBook], asked: Asked) -> Quoted | Problem:
    """Reckon a quote."""
    try:
        raw = body_read(asked.body)
        request, book = read(raw, Prices(shared, asked.named), asked)
        return quoted(raw, request, book, asked)
    except NothingFitsError as error:
        return problems.cannot_be_bought(error)
    except Problem as problem:
        return problem


def read(raw: Any, prices: Prices, asked: Asked) -> tuple[Request, PriceBook]:
    """Read a request of any shape. Raises Problem: with every fault of it.

    Without its price book it is read against any, as far as that makes no difference.
    """
    found = _book(raw, prices)
    book = found if isinstance(found, PriceBook) else None
    reader = Reader(book or prices.stand_in, registry.designs())
    reader.shape += [*asked.faults, *(() if isinstance(found, PriceBook) else found)]
    request = reader.value((), raw, FORMS[asked.form].group)
    if book is None:
        reader.meaning = [fault for fault in reader.meaning if fault.code != "refused"]
    if faults := reader.faults():
        raise problems.faulty(faults, asked.place)
    assert isinstance(request, Request), "a request without a fault can be read"
    assert book is not None, "a request without a fault names a price book"
    return request, book


def _book(raw: Any, prices: Prices) -> PriceBook | list[RequestFault]:
    """Find the price book that is asked for, if its name or content is one at all."""
    asked: Any = raw.get(PRICE_BOOK.name) if isinstance(raw, dict) else None
    return [] if PRICE_BOOK.kind.check(asked) else prices.find(asked)


def quoted(
    raw: Mapping[str, Any], request: Request, book: PriceBook, asked: Asked, outs: Sequence[WaysOut] | None = None
) -> Quoted:  # fmt: skip
    """Make a quote and write it; outs: its ways out, where they are known from before. Raises NothingFitsError."""
    made, lines = make_quote(request, book, outs=outs), request.lines
    work = work_for(made, made.request.units) if asked.form == "lines" else None
    content = quote_json(made, work=work, at=asked.at) if work is not None else FORMS[asked.form].write(made)
    return Quoted(
        data=json_bytes(content),
        request=json_bytes({name: value for name, value in raw.items() if name != "label"}),
        label=raw.get("label", ""),
        book=book.name,
        revision=book.revision,
        title=book.title,
        currency=book.currency,
        total=content["totals"]["total"] if "totals" in content else "",
        designs=tuple(sorted({line.design for line in lines if line.design})),
        proof=made.proof.status,
        lasting=made.proof.lasting,
        inline=None if isinstance(raw["price_book"], str) else book,
        figures=figures_of(made, work) if asked.figures else None,
    )
