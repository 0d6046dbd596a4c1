"""What is found out of a combination, step by step: the quick steps first, a purchase last.

Every step is a function of plain values, so that another process may do it. What is told before the last is a bound:
the quote itself is never below it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil
from typing import Any, Final, Literal

from sawbill import cutting
from sawbill.asked.lines import Line
from sawbill.asked.request import Request, read_request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.least import TAX_ROUNDING, LeastCost
from sawbill.buying.suppliers import until
from sawbill.buying.takeoff import TakeOff, take_off
from sawbill.checks.beds.bed import check_beds
from sawbill.checks.beds.high_beds import check_high_beds
from sawbill.checks.carrying import carried_box, carried_mass, check_carrying, mass_of
from sawbill.checks.finding import Status
from sawbill.checks.room import check_room
from sawbill.checks.strength import Loaded
from sawbill.checks.together import check_frame
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.holding import held_within
from sawbill.quoting.holding.kinds import kinds_of, woods_for
from sawbill.quoting.holding.strongest import cut_from, strongest
from sawbill.quoting.holding.tables import Tables
from sawbill.quoting.holding.tried import BAD, Tried, decided_by_wood
from sawbill.quoting.proposing.measures import Found, Number, clear_height
from sawbill.quoting.quote import make_quote
from sawbill.quoting.work import work_of
from sawbill.registry import designs
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Material, Materials
from sawbill.trade.option import Reading

Kind = tuple[str, int, int, int | None]
"""Parts that may be cut from the same wood: their section, and what they are ripped to."""
SETTINGS: Final = {"label": "settings", "hardware": [{"item": "washer", "size": "1/4 in", "quantity": 1}]}
"""A line that stands in where what all combinations ask for is read without any."""


Step = Literal["work", "check", "buy"]
"""What can be done to know more: work out how it is made, hold it against the checks, buy for it."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a combination.

    least: by measure, what it is not below; none: why there is no quote of it, as the status of a row; why: in words;
    tools: those it takes, None where that is not known yet; checked: whether its checks have been looked at; warned:
    the rules that surely warn, whatever wood is bought; found: the quote itself; late: whether a clock cut it short.
    """

    least: Mapping[str, Number] = field(default_factory=dict)
    none: str = ""
    why: str = ""
    tools: tuple[str, ...] | None = None
    checked: bool = False
    warned: frozenset[str] = frozenset()
    found: Found | None = None
    late: bool = False

    def at_least(self, name: str) -> Number:
        """What a measure is not below."""
        return self.least.get(name, 0)


@dataclass(frozen=True, slots=True)
class Batch:
    """Combinations of one design and price book; values: of the open options, by name, each combination's in turn."""

    design: str
    label: str
    quantity: int
    book: int
    options: Mapping[str, Any]
    names: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]


@dataclass(frozen=True, slots=True)
class One:
    """One combination to look at, and what is known of it; step: what to do.

    enough: to buy, what more than it may cost is left at a bound [minor units].
    """

    line: Mapping[str, Any]
    book: int
    known: Known
    step: Step
    enough: int | None = None


def measured(common: Common, batch: Batch) -> list[Known]:
    """Build every frame of a batch, and bound what it costs and weighs."""
    book = common.books[batch.book]
    return list(_Bench(common, book, batch).measured())


class _Bench:
    """What the combinations of a batch have in common."""

    def __init__(self, common: Common, book: PriceBook, batch: Batch) -> None:
        self.request = read_request({**common.asked, "lines": [SETTINGS]}, book, {})
        self.book, self.batch, self.design = book, batch, designs()[batch.design]
        self.reading = Reading(book.units, book.usual_section, book.section, self.request.shop.rounding_step)
        self.cost = LeastCost(self.request, book)
        self.light: dict[Kind, tuple[Material, ...]] = {}

    def measured(self) -> Iterator[Known]:
        batch, known = self.batch, dict[tuple[str, str], Any]()
        by_name = {each.name: each for each in self.design.options}
        fixed = dict(self.design.read(dict(batch.options), self.reading))
        for values in batch.values:
            chosen = dict(fixed)
            for name, raw in zip(batch.names, values, strict=True):
                key = name, repr(raw)
                if key not in known:
                    known[key] = by_name[name].read(raw, self.reading)
                chosen[name] = known[key]
            yield self.one(Options(chosen, self.reading.system, self.reading.tape))

    def one(self, options: Options) -> Known:
        try:
            frame = self.design.build(options)
        except RefusalError as refusal:
            return Known(none="refused", why=str(refusal))
        line = Line(self.batch.label, self.batch.quantity, self.design.name, frame)
        off = take_off((line,), self.request.shop.rounding_step)
        total = self.cost.of(off)
        if total is None:
            return Known(none="cannot_be_bought", why="The price book does not sell all that it takes.")
        light = lightest(off, self.request, self.book, self.light)
        return Known({"total": total, **_measures(frame, light)})


def lightest(off: TakeOff, request: Request, book: PriceBook, known: dict[Kind, tuple[Material, ...]]) -> Materials:
    """The lightest wood that every part may be cut from; known: what was found for others before."""
    found: dict[str, tuple[Material, ...]] = {}
    for cut in off.cut_list:
        key = cut.section.name, cut.section.thickness, cut.section.width, cut.ripped
        if key not in known:
            woods = list(woods_for(replace(cut, length=0, least=None), request, book.lumber))
            known[key] = (min(woods, key=lambda wood: wood.weight_kg_m3),) if woods else ()
        found |= dict.fromkeys(cut.keys, known[key])
    return found


def _measures(frame: Frame, light: Materials) -> dict[str, Number]:
    return {
        "mass": round(mass_of(frame, tuple(frame.by_key), light)),
        "heaviest_piece": max(carried_mass(frame, piece, light) for piece in frame.carried_pieces),
        "longest_piece": max(max(carried_box(frame, piece).size) for piece in frame.carried_pieces),
        "clear_height": clear_height(frame) or 0,
    }


def looked_at(common: Common, one: One) -> Known:
    """Know more of a combination."""
    book = common.books[one.book]
    request = read_request({**common.asked, "lines": [one.line]}, book, designs())
    steps = {"work": _worked, "check": _checked, "buy": _bought}
    return steps[one.step](request, book, one)


def _worked(request: Request, book: PriceBook, one: One) -> Known:
    """How long it takes to make at least, and with which tools."""
    off = take_off(request.lines, request.shop.rounding_step)
    frame, light = _frame(request), lightest(off, request, book, {})
    heavy = [each.name for each in frame.carried_pieces if carried_mass(frame, each, light) > request.site.one_person]
    work = work_of(request, off, {0: heavy}, request.units)
    tools = tuple(dict.fromkeys(tool.name for tool in work.tools))
    return replace(one.known, least={**one.known.least, "hands_on": work.hands_on.most}, tools=tools)


def _checked(request: Request, book: PriceBook, one: One) -> Known:
    """Which checks fail or warn whatever wood is bought."""
    off, frame = take_off(request.lines, request.shop.rounding_step), _frame(request)
    light = lightest(off, request, book, {})
    sure = [
        *check_beds(frame), *check_high_beds(frame), *check_room(frame, request.site),
        *check_carrying(frame, request.site, light),
    ]  # fmt: skip
    failed = sum(each.status in BAD for each in sure) or _fails_in_any_wood(request, book, off, frame)
    least = {**one.known.least, "failed_checks": int(failed)}
    warned = frozenset(each.rule for each in sure if each.status is Status.WARN)
    return replace(one.known, least=least, warned=warned, checked=True)


def _fails_in_any_wood(request: Request, book: PriceBook, off: TakeOff, frame: Frame) -> bool:
    """Whether something is sure not to hold, whatever wood is bought.

    What holds in the strongest wood is not looked at further. What fails in it may still hold in another, so that all
    woods are tried for the parts that fail, under the least that can come to them.
    """
    (line,) = request.lines
    loaded, strong = Loaded(frame, request.site), cut_from(frame, strongest(line, request, book))
    findings = [each for each in check_frame(frame, request.site, strong, loaded) if decided_by_wood(each)]
    if not findings or not loaded.cases:
        return False
    kinds = kinds_of(off, request, book.lumber, {0: loaded.paths})
    tables = Tables(Tried(frame, request.site, loaded, kinds))
    failing = tables.tried.failing({kind: strong[kind.keys[0]] for kind in kinds}, strong, findings)
    tables.learn(failing)
    return any(tables.unmended.get(scope) for scope in failing)


def _bought(request: Request, book: PriceBook, one: One) -> Known:
    """Buy for it, and measure its quote; only bound what it costs where that is more than enough."""
    taxes = len(book.suppliers)
    enough = None if one.enough is None else Fraction(one.enough) + taxes * TAX_ROUNDING
    try:
        holding = held_within(
            take_off(request.lines, request.shop.rounding_step), request, book, until(cutting.EMERGENCY), enough
        )
    except NothingFitsError as error:
        return replace(one.known, none="cannot_be_bought", why=str(error))
    if isinstance(holding, Fraction):
        total = max(one.known.at_least("total"), ceil(holding - taxes * TAX_ROUNDING))
        return replace(one.known, least={**one.known.least, "total": total})
    quote = make_quote(request, book, suggest=False, bought=holding)
    return replace(one.known, found=Found.of(quote), late=not quote.proof.lasting)


def _frame(request: Request) -> Frame:
    frame = request.lines[0].frame
    assert frame is not None
    return frame
