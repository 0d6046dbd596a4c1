"""How long the choice among many suppliers takes, beside the planning of boards: random books of any number of them.

Every supplier sells some of twenty kinds of hardware in packs of three sizes and, one in three, boards; a trip costs
2 to 12, two in three deliver, most of them from a minimum. `--books` of each size are tried, each with one order.
"""

from __future__ import annotations

import random
import statistics
import time
import tracemalloc
from typing import Any

import click

from sawbill import cutting
from sawbill.estimating.pricebook import PriceBook
from sawbill.estimating.request import Request, read_request
from sawbill.estimating.suppliers import cheapest_sourcing, timber
from sawbill.estimating.suppliers.figures import make_ready
from sawbill.estimating.takeoff import TakeOff, take_off
from sawbill.files.asjson import read_json

Raw = dict[str, Any]
KINDS = [
    {"item": "wood screw", "size": size, "length": f"{inches} in"}
    for size in ("#6", "#8", "#10", "#12")
    for inches in ("1", "1 1/2", "2", "2 1/2", "3")
]
BOARDS = {"2x4": (72, 96, 120), "1x6": (72, 96), "2x6": (96, 144)}


def money(amount: float) -> str:
    return f"{amount:.2f}"


def book_of(chance: random.Random, number: int) -> PriceBook:
    """A book of so many suppliers; every kind is sold by some."""
    suppliers, hardware, lumber = list[Raw](), list[Raw](), list[Raw]()
    for n in range(number):
        name, dear = f"Supplier {n:03}", chance.uniform(0.85, 1.2)
        row: Raw = {"name": name, "trip": money(chance.uniform(2, 12))}
        if chance.random() < 2 / 3:
            row |= {"delivery": money(chance.uniform(1, 8)), "minimum_order": money(chance.choice([0, 10, 20, 40, 80]))}
        suppliers.append(row)
        for k, kind in enumerate(KINDS):
            if chance.random() < 0.4 or n % len(KINDS) == k:
                for pack in chance.sample((10, 25, 50, 100), chance.randint(1, 2)):
                    price = dear * pack**0.8 * (6 + k % 5) / 60 * chance.uniform(0.9, 1.15)
                    code = f"S{k}-{pack}"
                    hardware.append({"supplier": name, "item_code": code, **kind, "pack": pack, "price": money(price)})
        if n % 3 == 0:
            for sort, lengths in BOARDS.items():
                for inches in lengths:
                    price = dear * inches * int(sort[2:]) * chance.uniform(0.95, 1.05) / 70
                    wood = {"section": sort, "species": "SPF", "grade": "No.2", "per": "each"}
                    code = f"{sort}-{inches}"
                    lumber.append(
                        {"supplier": name, "item_code": code, **wood, "length": f"{inches} in", "price": money(price)}
                    )
    return read_json(
        "many",
        {
            "title": "Many suppliers", "units": "inch", "currency": "USD", "tax_rate": "8 %",
            "prices_include_tax": False, "as_of": "2026-01-02", "sample": False, "usual_sections": {"other": "2x4"},
            "shop": {"kerf": "1/8 in", "end_trim": "1/2 in", "rounding_step": "1/16 in", "keep_offcut": "12 in"},
            "suppliers": suppliers, "lumber": lumber, "hardware": hardware, "supplies": [],
        },
    )  # fmt: skip


def order_of(chance: random.Random, book: PriceBook) -> tuple[TakeOff, Request]:
    """An order for boards of three sections and ten kinds of hardware or more."""
    parts = [
        {"section": sort, "length": f"{chance.randint(14, 60)} in", "quantity": chance.randint(1, 6)}
        for sort in BOARDS
        for _ in range(2)
    ]
    needs = [{**kind, "quantity": chance.randint(4, 150)} for kind in chance.sample(KINDS, chance.randint(10, 20))]
    request = read_request({"lines": [{"parts": parts, "hardware": needs}]}, book, {})
    return take_off(request.lines, request.shop.step), request


class Boards:
    """The time that the planner takes for plans and worths of boards, measured where it is asked [s]."""

    def __init__(self) -> None:
        self.seconds, self.plans = 0.0, 0
        self._asked, self._valued = timber.best_deal, cutting.worths
        timber.best_deal = self.best_deal  # type: ignore[assignment]
        cutting.worths = self.worths  # type: ignore[misc]

    def best_deal(self, *asked: Any) -> Any:
        self.plans += 1
        return self._timed(self._asked, *asked)

    def worths(self, *asked: Any) -> Any:
        return self._timed(self._valued, *asked)

    def _timed(self, ask: Any, *asked: Any) -> Any:
        begun = time.process_time()
        found = ask(*asked)
        self.seconds += time.process_time() - begun
        return found


@click.command()
@click.option("--books", default=20, show_default=True, help="How many books of each size.")
@click.option("--seed", default=1, show_default=True, help="Where chance begins.")
@click.argument("sizes", nargs=-1, type=int)
def main(books: int, seed: int, sizes: tuple[int, ...]) -> None:
    """Books of so many suppliers (22, 40 and 100): proven or not, and the time beside the boards."""
    cutting.make_ready()
    make_ready()
    boards = Boards()
    click.echo("suppliers  proven  median ms  worst ms  boards ms  plans  worst MB")
    for size in sizes or (22, 40, 100):
        beside, planning, plans, proven, memory = [], [], [], 0, 0.0
        for n in range(books):
            chance = random.Random(f"{seed} {size} {n}")
            book = book_of(chance, size)
            off, request = order_of(chance, book)
            boards.seconds, boards.plans = 0.0, 0
            begun = time.process_time()
            found = cheapest_sourcing(off, request, book)
            taken = time.process_time() - begun
            beside.append(1000 * (taken - boards.seconds))
            planning.append(1000 * boards.seconds)
            plans.append(boards.plans)
            proven += found.gap == 0
            if n < 3:
                tracemalloc.start()
                cheapest_sourcing(off, request, book)
                memory = max(memory, tracemalloc.get_traced_memory()[1] / 1e6)
                tracemalloc.stop()
        click.echo(
            f"{size:9}  {proven:3}/{books:<3}  {statistics.median(beside):8.1f}  {max(beside):8.1f}  "
            f"{statistics.median(planning):8.1f}  {statistics.median(plans):5.0f}  {memory:8.1f}"
        )


if __name__ == "__main__":
    main()
