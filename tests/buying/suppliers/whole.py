"""A whole purchase as one integer programme, put to CP-SAT: boards cut in every way there is, packs, visits, minimums.

It shares no code with the engine: patterns are listed one by one, and every choice is a variable of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm
from typing import Any

from ortools.sat.python import cp_model

from sawbill.asked.request import Request
from sawbill.buying.takeoff import CutLine, TakeOff
from sawbill.prices.pricebook import PriceBook

SAFE_BLANK = 12 * 25_400_000  # nm, the least that is ripped
Way = tuple[int, ...]


def ways(room: int, items: Sequence[tuple[int, int]], kerf: int) -> Iterator[Way]:
    """How many of each item (length, most) lie in a room that has space for a kerf after the last."""
    if not items:
        yield ()
        return
    (length, most), *rest = items
    for number in range(min(most, room // (length + kerf)) + 1):
        for others in ways(room - number * (length + kerf), rest, kerf):
            yield number, *others


def items_of(cuts: Sequence[CutLine], section: Any, kerf: int) -> list[tuple[int, int, int, int]]:
    """What may be laid in a board of a section: (cut, length, parts, most)."""
    found = []
    for n, cut in enumerate(cuts):
        if cut.ripped is None:
            if cut.section.name == section.name:
                found.append((n, cut.length, 1, cut.quantity))
        elif section.thickness == cut.section.thickness and section.width >= cut.ripped:
            strips = (section.width + kerf) // (cut.ripped + kerf)
            for rows in range(1, -(-cut.quantity // strips) + 1):
                length = max(SAFE_BLANK, rows * (cut.length + kerf) - kerf)
                found.append((n, length, rows * strips, -(-cut.quantity // (rows * strips))))
    return found


class Whole:
    """The programme of one take-off, request and book; `least` solves it."""

    def __init__(self, off: TakeOff, request: Request, book: PriceBook) -> None:
        self.off, self.request, self.book = off, request, book
        self.model = cp_model.CpModel()
        self.rates = {
            s.name: Fraction(1) if book.prices_include_tax else 1 + Fraction(book.tax_rate_at(s.name))
            for s in book.suppliers
        }
        self.unit = lcm(*(rate.denominator for rate in self.rates.values()))
        self.cost: list[Any] = []
        self.credit, self.grain = self._credit()
        self.had: list[list[Any]] = [[] for _ in off.cut_list]
        self.goods: dict[str, list[Any]] = {s.name: [] for s in book.suppliers}
        self.visited = {s.name: self.model.new_bool_var("") for s in book.suppliers}
        self._boards()
        self._packs()
        self._visits()

    def least(self) -> Fraction | None:
        """The least cost with tax and visits [minor units], None where it cannot be bought."""
        self.model.minimize(sum(self.cost))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        status = solver.solve(self.model)
        assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
        return Fraction(round(solver.objective_value), self.unit) if status == cp_model.OPTIMAL else None

    def _credit(self) -> tuple[Fraction, int]:
        """What a kept offcut is worth [grains a nm], and what a grain is: amounts are rounded down to it [units].

        A share of the lowest price of a length; prices taxed unlike are compared with their tax.
        """
        cuts, alike = self.off.cut_list, len(set(self.rates.values())) == 1
        grain = int(next(iter(self.rates.values())) * self.unit) if alike else 1
        prices = [
            Fraction(o.each if alike else o.each * self.rates[o.supplier] * self.unit) / o.usable_length
            for o in self.book.lumber
            if any(o.section.name == cut.section.name for cut in cuts)
            and (o.in_stock is None or o.in_stock >= o.least_quantity)
        ]
        thick = {cut.section.thickness for cut in cuts}
        if any(own.section.thickness in thick for own in self.request.on_hand):
            return Fraction(0), grain
        return Fraction(self.request.shop.offcut_value) * min(prices, default=Fraction(0)), grain

    def _worth(self, length: int) -> int:
        """What an offcut is credited with [units]."""
        return self.grain * int(length * self.credit) if length >= self.request.shop.keep_offcut else 0

    def _number(self, most: int) -> Any:
        return self.model.new_int_var(0, most, "")

    def _item(self, offers: Sequence[Any], most: int) -> Any:
        """How many of an item are bought, at the one of its prices that the number has reached."""
        reached = []
        counts = []
        for offer in offers:
            cheaper = [o.least_quantity - 1 for o in offers if o.each < offer.each]
            limit = min(
                [max(most, offer.least_quantity), *cheaper, *([] if offer.in_stock is None else [offer.in_stock])]
            )
            taken, count = self.model.new_bool_var(""), self._number(max(most, offer.least_quantity))
            if limit < offer.least_quantity:
                self.model.add(taken == 0)
            self.model.add(count >= offer.least_quantity * taken)
            self.model.add(count <= max(0, limit) * taken)
            self.model.add_implication(taken, self.visited[offer.supplier])
            reached.append(taken)
            counts.append(count)
            self.goods[offer.supplier].append(offer.each * count)
            self.cost.append(int(offer.each * self.rates[offer.supplier] * self.unit) * count)
        self.model.add_at_most_one(reached)
        return sum(counts)

    def _boards(self) -> None:
        cuts, shop = self.off.cut_list, self.request.shop
        if not cuts:
            return
        items: dict[tuple[Any, ...], list[Any]] = {}
        for offer in self.book.lumber:
            if offer.section.name in {cut.section.name for cut in cuts}:
                items.setdefault((offer.supplier, offer.item_code), []).append(offer)
        most = 2 * sum(cut.quantity for cut in cuts) + 4 + 2 * shop.spare_boards
        longest = {cut.section.name: 0 for cut in cuts if cut.ripped is None}
        for line in cuts:
            if line.ripped is None:
                longest[line.section.name] = max(longest[line.section.name], line.length)
        spare: dict[str, list[Any]] = {name: [] for name in longest}
        for offers in items.values():
            usable = offers[0].usable_length - shop.end_trim
            cut, bought = self._cut(offers[0].section, usable, most), self._item(offers, most)
            self.model.add(cut <= bought)
            if usable >= longest.get(offers[0].section.name, usable + 1):
                spare[offers[0].section.name].append(bought - cut)
            self.cost.append(-self._worth(usable) * (bought - cut))
        for own in self.request.on_hand:
            self.model.add(self._cut(own.section, own.length, most) <= own.quantity)
        for uncut in filter(None, spare.values()):
            self.model.add(sum(uncut) >= shop.spare_boards)
        for cut, had in zip(cuts, self.had, strict=True):
            self.model.add(sum(had) >= cut.quantity)

    def _cut(self, section: Any, usable: int, most: int) -> Any:
        """How many boards are cut, in every way there is."""
        kerf = self.request.shop.kerf
        items = items_of(self.off.cut_list, section, kerf)
        boards = []
        for way in ways(usable + kerf, [(length, limit) for _, length, _, limit in items], kerf):
            if any(way):
                number = self._number(most)
                boards.append(number)
                laid = sum(count * (length + kerf) for count, (_, length, _, _) in zip(way, items, strict=True))
                self.cost.append(-self._worth(max(0, usable - laid)) * number)
                for (n, _, parts, _), count in zip(items, way, strict=True):
                    if count:
                        self.had[n].append(parts * count * number)
        return sum(boards)

    def _packs(self) -> None:
        owned = dict(self.request.owned_hardware)
        for need, quantity in self.off.hardware:
            short = quantity - owned.get(need, 0)
            items: dict[tuple[str, str], list[Any]] = {}
            for offer in self.book.hardware:
                if (offer.item, offer.size, offer.length) == need:
                    items.setdefault((offer.supplier, offer.item_code), []).append(offer)
            if short > 0:
                self.model.add(sum(own[0].pack * self._item(own, 2 * short + 40) for own in items.values()) >= short)

    def _visits(self) -> None:
        for supplier in self.book.suppliers:
            seen, scale = self.visited[supplier.name], 100 * self.unit
            trip = int(supplier.trip * scale)
            if supplier.delivery is None:
                self.cost.append(trip * seen)
                continue
            fetched, brought = self.model.new_bool_var(""), self.model.new_bool_var("")
            self.model.add(fetched + brought == seen)
            self.model.add(sum(self.goods[supplier.name]) >= int(supplier.minimum_order * 100) * brought)
            self.cost.append(trip * fetched + int(supplier.delivery * scale) * brought)
