"""A quote as JSON: the one mapping that the service and the command line both send. Needs no web framework."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, fields
from fractions import Fraction
from math import ceil
from typing import Any, Final
from urllib.parse import urlencode

from sawbill import __version__
from sawbill.answer.drawing_links import Place, drawings_json
from sawbill.answer.placing import placed_json
from sawbill.buying.boards import BoughtBoards, CutBoards
from sawbill.buying.lots import strips_of
from sawbill.buying.purchase import BoughtHardware, BoughtSupply
from sawbill.buying.suppliers import Visit, total_of
from sawbill.buying.takeoff import CutLine
from sawbill.checks import strength
from sawbill.checks.finding import Finding, Unit
from sawbill.checks.strength.calculation import SOURCES as CALCULATION_SOURCES
from sawbill.checks.strength.calculation import Calculation, printed
from sawbill.checks.strength.traces import is_of
from sawbill.cutting import Cut, carried_lengths
from sawbill.drawings.shop.cutting import cutting_names
from sawbill.making.drilling import Row
from sawbill.making.rates import Minutes
from sawbill.making.words import diameter_text
from sawbill.prices.money import from_minor_units, money_text
from sawbill.prices.pricebook import SUPPLIES, HardwareOffer, SupplyOffer
from sawbill.quoting.comparing.comparison import waste_of
from sawbill.quoting.drawn import sawn_boards
from sawbill.quoting.holding import Bought, Holding
from sawbill.quoting.quote import Quote
from sawbill.quoting.selling import Span, labour_of, selling_prices
from sawbill.quoting.shares import Share, shares
from sawbill.quoting.suggestions import NearMiss
from sawbill.quoting.summaries import FrameSummary
from sawbill.quoting.ways_out import Way, WaysOut
from sawbill.quoting.work import LineStep, Work, work_for
from sawbill.trade.design_values import values_of
from sawbill.trade.lengths import INCH, METRE, MM, STEP, System, format_length
from sawbill.trade.option import lengths_out

Json = dict[str, Any]
ENGINE: Final = __version__
"""The version of the engine, which with the request and the price book's revision decides a quote."""
UNITS: Final = {"volume": "ml", "mass": "g", "count": "piece"}
"""What each supply is counted in."""
PLAN: Final = (
    "engine", "units", "price_book", "totals", "proof", "trips", "shopping_list", "cut_list", "saw_stops",
    "cutting_plan", "near_misses", "leftovers", "warnings",
)  # fmt: skip
"""The parts of a quote that a cutting plan has."""
PLAN_TOTALS: Final = ("lumber", "trips", "tax", "total", "used")
"""What it says is spent."""
PLAN_CUT: Final = ("part", "name", "section", "length", "quantity", "species", "grades")
"""What its cut list says of a part."""


def quote_json(
    quote: Quote, units: System | None = None, work: Work | None = None, at: Place | None = None
) -> Json:  # fmt: skip
    """Give a quote as the JSON object of an answer, its lengths written in a system: unset, the request's own.

    work: that of the quote in this system, where it is known already; at: where its drawings are, if anywhere.
    """
    out = _Writer(quote, units or quote.request.units)
    work = work or out.work()
    frames = [{**out.frame(each), "placed": out.placed(each.line, work)} for each in quote.frames]
    marks = marks_of(work)
    return {
        "engine": ENGINE,
        "units": out.units,
        "price_book": out.price_book(),
        "totals": out.totals(),
        "proof": out.proof(),
        "holding": out.holding(),
        "lines": out.lines(),
        "shares": [out.share(share) for share in shares(quote)],
        "trips": [out.trip(visit) for visit in quote.visits],
        "shopping_list": list(out.shopping_list()),
        "cut_list": [{**out.cut_line(cut), "marks": marks.get(cut.id, [])} for cut in quote.take_off.cut_list],
        "saw_stops": list(out.saw_stops()),
        "cutting_plan": [out.cut_boards(boards) for boards in quote.purchase.boards.cut],
        "near_misses": [out.near_miss(each) for each in quote.near_misses],
        "leftovers": out.leftovers(),
        "waste": out.waste(),
        "load_home": out.load_home(),
        "hardware": [out.hardware(bought) for bought in quote.purchase.hardware],
        "supplies": [out.supply(bought) for bought in quote.purchase.supplies],
        "checks": [out.check(line, finding) for line, finding in quote.findings],
        "ways_out": [out.out_of(each) for each in quote.ways_out],
        "calculations": [out.calculation(line, each) for line, each in quote.calculations],
        "calculation_sources": out.sources(),
        "areas": out.areas(),
        "drilling": list(out.drilling(work)),
        "steps": [out.step(i, each, work) for i, each in enumerate(work.steps, 1)],
        "tools": [
            {"tool": tool.name, "size": tool.size, "quantity": tool.quantity, "use": tool.use} for tool in work.tools
        ],
        "hands_on_minutes": _minutes(work.hands_on),
        "waiting_minutes": _minutes(work.waiting),
        "labour": out.labour(work),
        "selling_prices": out.selling_prices(work),
        "warnings": out.warnings(),
        "frames": frames,
        "frame": frames[0] if len(frames) == 1 else None,
        "drawings": drawings_json(at, stages_of(work), cutting_names(sawn_boards(quote), quote.request.units)),
    }


def stages_of(work: Work) -> dict[int, list[str]]:
    """By line with furniture, what goes up in each stage."""
    found: dict[int, list[str]] = {}
    for each in work.steps:
        if each.step.stages:
            found.setdefault(each.line, [stage.called for stage in each.step.stages])
    return found


def marks_of(work: Work) -> dict[str, list[Json]]:
    """The marks of every letter of the cut list whose parts are drilled differently."""
    found: dict[str, list[Json]] = {}
    for drilled in work.drilling.values():
        for each in drilled:
            if each.mark.name != each.letter:
                mark = {"mark": each.mark.name, "each": len(each.parts), "mirror_of": each.mark.mirror_of}
                found.setdefault(each.letter, []).append(mark)
    return found


def plan_json(quote: Quote) -> Json:
    """Give a quote of own pieces alone as the JSON object of a cutting plan: the parts of it that apply."""
    whole = quote_json(quote)
    plan = {key: whole[key] for key in PLAN}
    plan["totals"] = {key: whole["totals"][key] for key in PLAN_TOTALS}
    plan["cut_list"] = [{key: row[key] for key in PLAN_CUT} for row in whole["cut_list"]]
    return plan


@dataclass(frozen=True)
class _Writer:
    """Writes the parts of one quote, lengths in one system."""

    quote: Quote
    units: System

    def length(self, nm: int) -> Json:
        return lengths_out(self.units)(nm)

    def money(self, minor_units: int) -> str:
        return f"{from_minor_units(minor_units, self.quote.book.decimals):f}"

    def price_book(self) -> Json:
        book = self.quote.book
        return {
            "name": book.name,
            "revision": book.revision,
            "currency": book.currency,
            "prices_include_tax": book.prices_include_tax,
            "as_of": book.as_of.isoformat(),
            "sample": book.sample,
        }

    def totals(self) -> Json:
        totals = self.quote.totals
        return {each.name: self.money(getattr(totals, each.name)) for each in fields(totals)}

    def span(self, amount: Span) -> Json:
        return {"least": self.money(amount.least), "amount": self.money(amount.usual), "most": self.money(amount.most)}

    def labour(self, work: Work) -> Json | None:
        pricing, decimals = self.quote.request.pricing, self.quote.book.decimals
        cost = labour_of(pricing, work.hands_on, decimals)
        if cost is None or pricing.labour_rate is None:
            return None
        return {"rate": money_text(pricing.labour_rate, decimals), **self.span(cost)}

    def selling_prices(self, work: Work) -> list[Json]:
        budget, decimals = self.quote.totals.budget, self.quote.book.decimals
        prices = selling_prices(self.quote.request.pricing, budget, work.hands_on, decimals)
        return [{"method": each.method, "rule": each.rule, **self.span(each.amount)} for each in prices]

    def proof(self) -> Json:
        proof = self.quote.proof
        return {
            "status": proof.status.value,
            "bound": self.money(proof.bound),
            "gap": self.money(proof.gap),
            "credited": self.money(proof.credited),
            "setups_at_least": proof.few,
            "stage": proof.stage,
        }

    def holding(self) -> Json | None:
        """What it costs that the frames hold; None: there are none."""
        quote = self.quote
        if not quote.frames:
            return None
        holding = quote.holding
        return {
            "must_hold": quote.request.must_hold,
            "holds": holding.holds,
            "costs": self.money(holding.costs(quote.book)),
            "costs_trips": self.money(holding.costs_trips),
            "cheapest_total": self.money(total_of(holding.free.sourcing, quote.book)),
            "failed": [self.failed(holding.free, *each) for each in holding.failed],
            "unmended": [self.failed(holding.bought, *each) for each in holding.unmended],
            "cut_short": holding.cut_short,
        }

    def failed(self, bought: Bought, line: int, finding: Finding) -> Json:
        """What does not hold in the boards of a purchase."""
        ids = {(cut.line, key): cut.id for cut in self.quote.take_off.cut_list for key in cut.keys}
        return {
            "line": line,
            "rule": finding.rule,
            "parts": list(dict.fromkeys(ids[line, key] for key in finding.parts)),
            "boards": [
                {
                    "section": wood.section.name,
                    "species": wood.species.name if wood.species else None,
                    "grade": wood.grade.name if wood.grade else None,
                }
                for wood in Holding.woods_of(bought, line, finding)
            ],
        }

    def out_of(self, found: WaysOut) -> Json:
        """What was tried to mend a check, and what does."""
        ids = {(cut.line, key): cut.id for cut in self.quote.take_off.cut_list for key in cut.keys}
        return {
            "line": found.line,
            "rule": found.finding.rule,
            "status": found.finding.status.value,
            "parts": list(dict.fromkeys(ids[found.line, key] for key in found.finding.parts)),
            "ways": [self.way(each) for each in found.ways],
            "tried_single": found.singles,
            "tried_pairs": found.pairs,
            "cut_short": found.cut_short,
        }

    def way(self, way: Way) -> Json:
        return {
            "changes": [{"option": each.option, "before": each.before, "after": each.after} for each in way.changes],
            "query": urlencode({each.option: each.after for each in way.changes}),
            "total": self.money(way.total),
            "costs": self.money(way.total - self.quote.totals.total),
            "mass_kg": _kilograms(way.mass_g),
            "boards": way.boards,
            "longest_piece": self.length(way.longest_piece),
        }

    def trip(self, visit: Visit) -> Json:
        by = "delivery" if visit.delivered else "trip"
        return {
            "supplier": visit.supplier,
            "by": by,
            "amount": self.money(visit.amount),
            "goods": self.money(visit.goods),
            "minimum": self.money(visit.minimum),
            "beyond_need": self.money(visit.beyond),
        }

    def near_miss(self, each: NearMiss) -> Json:
        lengths = {"length": self.length(each.length), "shorter": self.length(each.shorter)}
        return {"part": each.part, **lengths, "saves": self.money(each.saves)}

    def saw_stops(self) -> Iterator[Json]:
        """One row a setting of the saw's stop: longest first within a section, and the boards to cut at it."""
        found: defaultdict[tuple[str, int], Counter[tuple[str, int]]] = defaultdict(Counter)
        for row, boards in enumerate(self.quote.purchase.boards.cut):
            for cut in boards.board.cuts:
                found[boards.wood.section.name, cut.length][cut.key, row] += boards.board.count
        for section, length in sorted(found, key=lambda stop: (stop[0], -stop[1])):
            counts = found[section, length]
            yield {
                "section": section,
                "length": self.length(length),
                "count": counts.total(),
                "parts": sorted({part for part, _ in counts}, key=lambda part: (len(part), part)),
                "boards": sorted({row for _, row in counts}),
            }

    def lines(self) -> list[Json]:
        return [
            {"line": i, "label": line.label, "design": line.design, "quantity": line.quantity}
            for i, line in enumerate(self.quote.request.lines)
        ]

    def share(self, share: Share) -> Json:
        names = ("lumber", "hardware", "supplies", "trips", "tax", "total", "each", "remainder")
        amounts = {name: self.money(getattr(share, name)) for name in names}
        line = self.quote.request.lines[share.line]
        return {"line": share.line, "label": line.label, "quantity": line.quantity, **amounts}

    def shopping_list(self) -> Iterator[Json]:
        """Lumber, then hardware, then supplies: one row an offer."""
        purchase = self.quote.purchase
        yield from (self.bought_boards(boards) for boards in purchase.boards.bought)
        for hardware in purchase.hardware:
            for offer, count in hardware.packs:
                length = None if offer.length is None else self.length(offer.length)
                what = {"item": offer.item, "size": offer.size or None, "length": length, "pack": offer.pack}
                yield {"kind": "hardware", **_from(offer), **what, **self.price(offer.each, count)}
        for supply in purchase.supplies:
            for container, count in supply.packs:
                what = {"item": container.item, "container": container.label}
                yield {"kind": "supply", **_from(container), **what, **self.price(container.each, count)}

    def bought_boards(self, boards: BoughtBoards) -> Json:
        offer = boards.offer
        return {
            "kind": "lumber",
            "supplier": offer.supplier,
            "item_code": offer.item_code,
            "section": offer.section.name,
            "length": self.length(offer.length),
            "species": offer.species,
            "grade": offer.grade,
            "spare": boards.spare,
            **self.price(offer.each, boards.quantity),
        }

    def price(self, each: int, count: int) -> Json:
        return {"quantity": count, "each": self.money(each), "amount": self.money(each * count)}

    def cut_line(self, cut: CutLine) -> Json:
        return {
            "part": cut.id,
            "line": cut.line,
            "label": self.quote.request.lines[cut.line].label,
            "name": cut.name,
            "section": cut.section.name,
            "length": self.length(cut.length),
            "ripped": None if cut.ripped is None else self.length(cut.ripped),
            "quantity": cut.quantity,
            "species": list(cut.species or self.quote.request.species),
            "grades": list(cut.grades or self.quote.request.grades),
            "design_values": self.design_values(cut),
        }

    def drilling(self, work: Work) -> Iterator[Json]:
        """One row for like holes in one line, of every mark that has any."""
        for line, drilled in work.drilling.items():
            quantity = self.quote.request.lines[line].quantity
            for each in drilled:
                for row in each.rows:
                    yield {
                        "line": line,
                        "part": each.letter,
                        "mark": each.mark.name,
                        "quantity": quantity * len(each.parts),
                        "like": each.parts[0],
                        **self.row(row),
                    }

    def placed(self, line: int, work: Work) -> Json | None:
        frame = self.quote.request.lines[line].frame
        return placed_json(frame, work.drilling[line]) if frame and self.quote.request.placed else None

    def row(self, row: Row) -> Json:
        return {
            "purpose": row.purpose,
            "diameter": {**self.length(row.diameter), "text": diameter_text(row.diameter, row.system)},
            "depth": None if row.depth is None else self.length(row.depth),
            "into": row.side,
            "along": row.along,
            "places": [self.length(each) for each in row.places],
            "across": row.across,
            "place": self.length(row.place),
        }

    def design_values(self, cut: CutLine) -> list[str]:
        """What the wood cut for parts is reckoned with; none of all of it where of some nothing is known."""
        found = [values_of(wood) if cut.ripped is None else None for wood in self.quote.woods[cut.id]]
        return [] if None in found else [*dict.fromkeys(each.words for each in found if each is not None)]

    def cut_boards(self, boards: CutBoards) -> Json:
        wood, board = boards.wood, boards.board
        return {
            "count": board.count,
            "section": wood.section.name,
            "species": wood.species,
            "grade": wood.grade,
            "stock_length": self.length(wood.length),
            "on_hand": wood.offer is None,
            "item_code": None if wood.offer is None else wood.offer.item_code,
            "trim": self.length(wood.trim),
            "kerf": self.length(boards.kerf),
            "cuts": [
                {
                    "part": cut.key,
                    "length": self.length(cut.length),
                    "at": self.length(cut.at),
                    "to": self.length(cut.at + cut.length),
                    "parts": cut.parts,
                    "blank": cut.blank,
                    "strips": self.strips(boards, cut) if cut.blank else None,
                }
                for cut in board.cuts
            ],
            "leftover": self.length(board.leftover),
            "yard_cuts": [self.length(carried) for carried in board.carried],
            "yard_squares": boards.squared_at_yard,
        }

    def strips(self, boards: CutBoards, cut: Cut) -> int:
        (line,) = (line for line in self.quote.take_off.cut_list if line.id == cut.key)
        return strips_of(boards.wood.section.width, line.ripped or 0, self.quote.request.shop.kerf)

    def leftovers(self) -> list[Json]:
        """What is worth keeping of the boards cut, and spare boards, as they are carried; alike ones are one row."""
        shop = self.quote.request.shop
        found: Counter[tuple[str, str, str, str, int]] = Counter()
        for each in self.quote.purchase.boards.cut:
            wood = each.wood
            for length in carried_lengths(each.board.leftover, wood.carry, shop.kerf):
                told = wood.design_values or ""
                found[wood.section.name, wood.species or "", wood.grade or "", told, length] += each.board.count
        for boards in self.quote.purchase.boards.bought:
            offer = boards.offer
            for length in carried_lengths(offer.usable_length, shop.longest_board, shop.kerf):
                told = offer.design_values or ""
                found[offer.section.name, offer.species, offer.grade, told, length] += boards.spare
        keep = shop.keep_offcut
        kept = (row for row, count in found.items() if count and row[-1] and row[-1] >= keep)
        return [
            {
                "section": section,
                "species": species or None,
                "grade": grade or None,
                "design_values": told or None,
                "length": self.length(length),
                "quantity": found[section, species, grade, told, length],
            }
            for section, species, grade, told, length in sorted(kept, key=lambda row: (*row[:4], -row[4]))
        ]

    def waste(self) -> float:
        """Share of 1, to a hundredth of a percent."""
        return round(float(waste_of(self.quote.purchase.boards.cut, self.quote.request.shop)), 4)

    def load_home(self) -> Json:
        load = self.quote.load_home
        longest = None if load.longest is None else self.length(load.longest)
        return {"mass_kg": _kilograms(load.mass_g), "longest": longest}

    def hardware(self, bought: BoughtHardware) -> Json:
        need = bought.need
        return {
            "item": need.item,
            "size": need.size or None,
            "length": None if need.length is None else self.length(need.length),
            "quantity": bought.quantity,
            "owned": bought.owned,
            "packs": [
                {"pack": offer.pack, "count": count, "amount": self.money(offer.each * count)}
                for offer, count in bought.packs
            ],
            "left_over": bought.left_over,
            "amount": self.money(bought.amount),
        }

    def supply(self, bought: BoughtSupply) -> Json:
        return {
            "item": bought.item,
            "unit": UNITS[SUPPLIES[bought.item]],
            "quantity": bought.quantity,
            "owned": bought.owned,
            "packs": [
                {"container": offer.label, "count": count, "amount": self.money(offer.each * count)}
                for offer, count in bought.packs
            ],
            "left_over": float(round(bought.left_over, 1)),
            "amount": self.money(bought.amount),
        }

    def check(self, line: int, finding: Finding) -> Json:
        return {
            "line": line,
            "rule": finding.rule,
            "source": finding.source,
            "clause": finding.clause or None,
            "required": self.required(finding),
            "found": None if finding.found is None else measure_text(finding.found, finding.unit, self.units),
            "utilisation": share_used(finding.utilisation),
            "status": finding.status.value,
            "message": finding.message,
            "parts": self.ids(line, finding.parts),
            "trace": finding.rule if finding.rule in strength.TRACED and finding.found is not None else None,
            "calculation": self.calculation_of(line, finding),
        }

    def calculation_of(self, line: int, finding: Finding) -> str | None:
        """Where the calculation of a finding is in this JSON, as a JSON Pointer; None: it was not asked for."""
        for i, (number, sheet) in enumerate(self.quote.calculations):
            if number == line and is_of(sheet, finding):
                return f"/calculations/{i}"
        return None

    def calculation(self, line: int, sheet: Calculation) -> Json:
        """A calculation as it is written out by hand."""
        return {
            "line": line,
            "rule": sheet.rule,
            "standard": sheet.standard,
            "title": sheet.title,
            "part": sheet.part,
            "when": sheet.when,
            "holds": sheet.used <= 1,
            "lines": [
                {
                    "symbol": each.symbol,
                    "name": each.name,
                    "formula": each.formula or None,
                    "numbers": each.numbers or None,
                    "value": each.value,
                    "shown": printed(each.value),
                    "unit": each.unit or None,
                    "source": each.source or None,
                    "clause": each.clause or None,
                    "inputs": list(each.inputs),
                }
                for each in sheet.lines
            ],
        }

    def sources(self) -> list[Json]:
        """What the lines of the calculations rest on, each once, in the order in which they are first named."""
        named = dict.fromkeys(each.source for _, sheet in self.quote.calculations for each in sheet.lines)
        return [{"name": name, "title": CALCULATION_SOURCES[name]} for name in named if name]

    def required(self, finding: Finding) -> str | None:
        """What a finding asks, in words."""
        least, most = (
            None if bound is None else measure_text(bound, finding.unit, self.units)
            for bound in (finding.least, finding.most)
        )
        if least is not None and most is not None:
            return f"{least} to {most}"
        if least is not None:
            return f">= {least}"
        if finding.most is not None and finding.unit == "length" and (finding.most + 1) % STEP[self.units] == 0:
            return f"< {format_length(finding.most + 1, self.units)}"  # a bound that may not itself be reached
        return None if most is None else f"<= {most}"

    def areas(self) -> Json:
        """Square metres to a hundredth, of all frames together."""
        off = self.quote.take_off
        return {"glued_m2": _square_metres(off.glued), "bare_m2": _square_metres(off.exposed)}

    def ids(self, line: int, keys: tuple[str, ...]) -> list[str]:
        """The cut-list ids of parts of a line's frame, each once."""
        by_key = {key: cut.id for cut in self.quote.take_off.cut_list if cut.line == line for key in cut.keys}
        return list(dict.fromkeys(by_key[key] for key in keys))

    def work(self) -> Work:
        """The work of the request, made out here and only here: its words are in the system asked for."""
        return work_for(self.quote, self.units)

    def step(self, number: int, each: LineStep, work: Work) -> Json:
        step = each.step
        marks = {key: drilled.mark.name for drilled in work.drilling.get(each.line, ()) for key in drilled.parts}
        return {
            "number": number,
            "line": each.line,
            "label": self.quote.request.lines[each.line].label,
            "title": step.title,
            "text": step.text,
            "people": step.people,
            "hands_on_minutes": _minutes(each.hands_on),
            "waiting_minutes": _minutes(each.waiting),
            "parts": list(step.parts),
            "cautions": list(step.cautions),
            "stages": [
                {
                    "number": i,
                    "text": stage.apart if step.apart else stage.text,
                    "marks": [{"mark": mark, "count": count} for mark, count in stage.marked(marks)],
                    "cautions": list(stage.apart_cautions if step.apart else stage.cautions),
                    "drawing": f"{'apart' if step.apart else 'step'}-{i}",
                }
                for i, stage in enumerate(step.stages, 1)
            ],
        }

    def warnings(self) -> list[Json]:
        return [
            {
                "code": each.code,
                "severity": each.severity,
                "message": each.message,
                "parts": list(each.parts),
                "lengths": [{"name": name, "length": self.length(nm)} for name, nm in each.lengths],
                "mass_kg": None if each.mass_g is None else _kilograms(each.mass_g),
            }
            for each in self.quote.warnings
        ]

    def frame(self, summary: FrameSummary) -> Json:
        line = self.quote.request.lines[summary.line]
        length, width, height = (self.length(side) for side in summary.size)
        return {
            "line": summary.line,
            "label": line.label,
            "design": line.design,
            "quantity": line.quantity,
            "size": {"length": length, "width": width, "height": height},
            "mattress_tops": [{"name": name, "length": self.length(top)} for name, top in summary.mattress_tops],
            "mass_kg": _kilograms(summary.mass_g),
            "carried_pieces": [
                {
                    "name": piece.name,
                    "count": piece.count,
                    "longest": self.length(piece.longest),
                    "mass_kg": _kilograms(piece.mass_g),
                }
                for piece in summary.carried_pieces
            ],
        }


def share_used(utilisation: Fraction | None) -> float | None:
    """How much of a limit is used, as it is told [share of 1]; never so rounded that what is not met seems met."""
    return None if utilisation is None else ceil(utilisation * 1000) / 1000


def _minutes(time: Minutes) -> Json:
    """Whole minutes."""
    return {"least": int(time.least), "most": int(time.most)}


def _from(offer: HardwareOffer | SupplyOffer) -> Json:
    return {"supplier": offer.supplier, "item_code": offer.item_code}


def _square_metres(nm2: int) -> float:
    return round(nm2 / METRE**2, 2)


def measure_text(value: int, unit: Unit, units: System) -> str:
    """A measured number with its unit: lengths in the system asked for, masses in kilograms, shares in percent.

    A length between two steps of the tape is written in decimals: 0.22 in is not 1/4 in.
    """
    match unit:
        case "length" if value % STEP[units]:
            return f"{value / INCH:.3g} in" if units == "inch" else f"{value / MM:.4g} mm"
        case "length":
            return format_length(value, units)
        case "mass":
            return f"{_kilograms(value)} kg"
        case "share":
            return f"{value / 10:g} %"
        case "count":
            return str(value)


def _kilograms(grams: int) -> float:
    """To a tenth [kg]."""
    return round(grams / 1000, 1)
