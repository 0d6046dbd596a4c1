"""What is found out of combinations, step by step: the quick steps first, a purchase last.

Every step is a function of plain values, so that another process may do it, for many combinations at once: what these
have in common is read once. What is told before the last step is a bound: the quote itself is never below it.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property, lru_cache
from math import ceil, lcm
from typing import Any, Final, Literal

from sawbill import cutting
from sawbill.asked.lines import Line
from sawbill.asked.request import read_request
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.least import TAX_ROUNDING, LeastCost
from sawbill.buying.suppliers import until
from sawbill.buying.takeoff import TakeOff, take_off
from sawbill.checks.beds.bed import check_beds
from sawbill.checks.beds.high_beds import check_high_beds
from sawbill.checks.carrying import carried_box, carried_mass, check_carrying
from sawbill.checks.finding import Finding, Status
from sawbill.checks.room import check_room
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.holding import held_within
from sawbill.quoting.holding.hopeless import Weakness, fails_in_any_wood
from sawbill.quoting.holding.kinds import woods_for
from sawbill.quoting.holding.strongest import strongest
from sawbill.quoting.holding.tried import BAD
from sawbill.quoting.proposing.measures import Found, Number, clear_height
from sawbill.quoting.quote import make_quote
from sawbill.quoting.work import work_of
from sawbill.registry import designs
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.design import Options, RefusalError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import METRE
from sawbill.trade.lumber import HEAVIEST, Material, Materials

Kind = tuple[str, int, int, int | None]
"""Parts that may be cut from the same wood: their section, and what they are ripped to."""
SETTINGS: Final = {"label": "settings", "hardware": [{"item": "washer", "size": "1/4 in", "quantity": 1}]}
"""A line that stands in where what all combinations ask for is read without any."""

Step = Literal["measure", "plan", "work", "check", "buy"]
"""What can be done to know more: build and bound it, plan its boards section by section, work out how it is made, check
it, or buy for it."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a combination.

    least: by measure, what it is not below; none: why there is no quote of it, as the status of a row; why: in words;
    planned: whether its total is bounded by plans; tools: those it takes, None where that is not known yet; checked:
    whether its checks have been looked at; weakness: one that it has in any wood; warned: the rules that surely warn,
    whatever wood is bought; found: the quote itself; late: whether a clock cut it short.
    """

    least: Mapping[str, Number] = field(default_factory=dict)
    none: str = ""
    why: str = ""
    planned: bool = False
    tools: tuple[str, ...] | None = None
    checked: bool = False
    weakness: Weakness | None = None
    warned: frozenset[str] = frozenset()
    found: Found | None = None
    late: bool = False

    def at_least(self, name: str) -> Number:
        """What a measure is not below."""
        return self.least.get(name, 0)


@dataclass(frozen=True, slots=True)
class Batch:
    """Combinations of one design and price book, of all of which the same is to be found out.

    values: of the open options, by name, each combination's in turn; known: what is known of each; enough: to buy, what
    more than it may cost is left at a bound [minor units]; may_warn: the rules that may, where no others may;
    weaknesses: what others fail by, to be looked at first.
    """

    step: Step
    design: str
    label: str
    quantity: int
    book: int
    options: Mapping[str, Any]
    names: tuple[str, ...]
    values: tuple[tuple[Any, ...], ...]
    known: tuple[Known, ...]
    enough: int | None = None
    may_warn: frozenset[str] | None = None
    weaknesses: tuple[Weakness, ...] = ()

    def asked(self, values: Sequence[Any]) -> Mapping[str, Any]:
        """The line of a combination, as the JSON of a request has it."""
        options = {**self.options, **dict(zip(self.names, values, strict=True))}
        return {"label": self.label, "design": self.design, "options": options, "quantity": self.quantity}


def looked_at(common: Common, batch: Batch) -> list[Known]:
    """Know more of every combination of a batch."""
    if batch.step == "buy":
        return [_bought(common, batch, *each) for each in zip(batch.values, batch.known, strict=True)]
    bench = _Bench(common, batch)
    steps: Mapping[Step, Callable[[Frame, Known], Known]] = {
        "measure": bench.measured, "plan": bench.planned, "work": bench.worked, "check": bench.checked,
    }  # fmt: skip
    return [
        Known(none="refused", why=frame) if isinstance(frame, str) else steps[batch.step](frame, known)
        for frame, known in zip(bench.frames(), batch.known, strict=True)
    ]


class _Bench:
    """What the combinations of a batch have in common."""

    def __init__(self, common: Common, batch: Batch) -> None:
        self.book, self.batch, self.design = common.books[batch.book], batch, designs()[batch.design]
        self._asked = common.asked
        self.request = read_request({**common.asked, "lines": [SETTINGS]}, self.book, {})
        book, step = self.book, self.request.shop.rounding_step
        self.reading = Reading(book.units, book.usual_section, book.section, step)
        self._weaknesses = list(batch.weaknesses)
        self._light: dict[Kind, tuple[Material, ...]] = {}

    @cached_property
    def cost(self) -> LeastCost:
        return _THREAD.least_cost(self.book, json.dumps(self._asked, sort_keys=True))

    @cached_property
    def strong(self) -> Mapping[str, tuple[Material, ...]]:
        return strongest(Line(self.batch.label, 1), self.request, self.book)

    def frames(self) -> Iterator[Frame | str]:
        """The frame of every combination; why the design refuses it, where it does."""
        batch, known = self.batch, dict[tuple[str, str], Any]()
        by_name = {each.name: each for each in self.design.options}
        fixed, asked = dict(self.design.read(dict(batch.options), self.reading)), {*batch.options, *batch.names}
        for values in batch.values:
            chosen = dict(fixed)
            for name, raw in zip(batch.names, values, strict=True):
                key = name, repr(raw)
                if key not in known:
                    known[key] = by_name[name].read(raw, self.reading)
                chosen[name] = known[key]
            try:
                yield self.design.build(Options(chosen, self.reading.system, self.reading.tape, asked))
            except RefusalError as refusal:
                yield str(refusal)

    def measured(self, frame: Frame, _: Known) -> Known:
        """Bound what it costs and weighs, and check its sizes, whatever wood is bought."""
        off = self._taken_off(frame)[1]
        total = self.cost.of(off)
        if total is None:
            return Known(none="cannot_be_bought", why="The price book does not sell all that it takes.")
        sure = [*check_beds(frame), *check_high_beds(frame), *check_room(frame, self.request.site)]
        least = {"total": total, "failed_checks": _bad(sure), **_measures(frame, self._lightest(off))}
        return Known(least, warned=_warned(sure))

    def planned(self, frame: Frame, known: Known) -> Known:
        """What it costs at least, its boards planned section by section."""
        total = self.cost.planned(self._taken_off(frame)[1])
        least = {**known.least, "total": max(total or 0, known.at_least("total"))}
        return replace(known, least=least, planned=True)

    def worked(self, frame: Frame, known: Known) -> Known:
        """How long it takes to make at least, and with which tools."""
        (line, off), most = self._taken_off(frame), self.request.site.one_person
        light = self._lightest(off)
        heavy = [each.name for each in frame.carried_pieces if carried_mass(frame, each, light) > most]
        work = work_of(replace(self.request, lines=(line,)), off, {0: heavy}, self.request.units)
        tools = tuple(dict.fromkeys(tool.name for tool in work.tools))
        return replace(known, least={**known.least, "hands_on": work.hands_on.most}, tools=tools)

    def checked(self, frame: Frame, known: Known) -> Known:
        """Which checks fail or warn whatever wood is bought: how it is carried, then, if that does not rule it out, its
        strength."""
        off = self._taken_off(frame)[1]
        sure = check_carrying(frame, self.request.site, self._lightest(off))
        warned, allowed = known.warned | _warned(sure), self.batch.may_warn
        if allowed is not None and not warned <= allowed:
            return replace(known, warned=warned)
        bad, weakness = known.at_least("failed_checks") + _bad(sure), None
        if not bad:
            fails, weakness = fails_in_any_wood(
                frame, off, self.request, self.book.lumber, self.strong, self._weaknesses
            )
            bad = int(fails)
        if weakness is not None and weakness not in self._weaknesses:
            self._weaknesses.append(weakness)
        least = {**known.least, "failed_checks": bad}
        return replace(known, least=least, warned=warned, checked=True, weakness=weakness)

    def _taken_off(self, frame: Frame) -> tuple[Line, TakeOff]:
        line = Line(self.batch.label, self.batch.quantity, self.design.name, frame)
        return line, take_off((line,), self.request.shop.rounding_step)

    def _lightest(self, off: TakeOff) -> Materials:
        """The lightest wood that every part may be cut from."""
        found: dict[str, tuple[Material, ...]] = {}
        for cut in off.cut_list:
            key = cut.section.name, cut.section.thickness, cut.section.width, cut.ripped
            if key not in self._light:
                woods = list(woods_for(replace(cut, length=0, least=None), self.request, self.book.lumber))
                self._light[key] = (min(woods, key=lambda wood: wood.weight_kg_m3),) if woods else ()
            found |= dict.fromkeys(cut.keys, self._light[key])
        return found


def _least_cost(book: PriceBook, asked: str) -> LeastCost:
    return LeastCost(read_request({**json.loads(asked), "lines": [SETTINGS]}, book, {}), book)


class _Thread(threading.local):
    """What is found out of boards for one combination serves most of the others, of whatever batch; it grows as it is
    asked, so that every thread has its own."""

    def __init__(self) -> None:
        super().__init__()
        self.least_cost = lru_cache(maxsize=2)(_least_cost)


_THREAD: Final = _Thread()


def _bad(findings: Iterable[Finding]) -> int:
    return sum(each.status in BAD for each in findings)


def _warned(findings: Iterable[Finding]) -> frozenset[str]:
    return frozenset(each.rule for each in findings if each.status is Status.WARN)


def _measures(frame: Frame, light: Materials) -> dict[str, Number]:
    """What it weighs at least, and what it measures; in whole numbers as long as it may be, which is quicker."""
    none: Sequence[Material] = ()
    dense = {id(woods): woods[0].weight_kg_m3 if woods else HEAVIEST for woods in (*light.values(), none)}
    whole = lcm(*{each.denominator for each in dense.values()})
    times = {key: each.numerator * (whole // each.denominator) for key, each in dense.items()}
    masses = {}
    for key, ((ax, ay, az), (bx, by, bz)) in frame.boxes.items():
        masses[key] = (bx - ax) * (by - ay) * (bz - az) * times[id(light.get(key, none))]
    pieces = frame.carried_pieces
    heaviest = max(Fraction(sum(masses[key] for key in each.parts), each.count) for each in pieces)
    return {
        "mass": round(Fraction(sum(masses.values()) * 1000, whole * METRE**3)),
        "heaviest_piece": round(heaviest * 1000 / (whole * METRE**3)),
        "longest_piece": max(max(carried_box(frame, piece).size) for piece in pieces),
        "clear_height": clear_height(frame) or 0,
    }


def _bought(common: Common, batch: Batch, values: Sequence[Any], known: Known) -> Known:
    """Buy for a combination, and measure its quote; only bound what it costs where that is more than enough."""
    book = common.books[batch.book]
    request = read_request({**common.asked, "lines": [batch.asked(values)]}, book, designs())
    taxes = len(book.suppliers)
    enough = None if batch.enough is None else Fraction(batch.enough) + taxes * TAX_ROUNDING
    try:
        holding = held_within(
            take_off(request.lines, request.shop.rounding_step), request, book, until(cutting.EMERGENCY), enough
        )
    except NothingFitsError as error:
        return replace(known, none="cannot_be_bought", why=str(error))
    if isinstance(holding, Fraction):
        total = max(known.at_least("total"), ceil(holding - taxes * TAX_ROUNDING))
        return replace(known, least={**known.least, "total": total})
    quote = make_quote(request, book, suggest=False, bought=holding)
    return replace(known, found=Found.of(quote), late=not quote.proof.lasting)
