"""How long the choice among many suppliers takes, beside the planning of boards: random books of any number of them.

`--books` of each size are tried, each with one order.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
import tracemalloc
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))
import click
from tests.many_suppliers import book_of, line_of

from sawbill import cutting
from sawbill.asked.request import read_request
from sawbill.buying.suppliers import cheapest_sourcing, timber
from sawbill.buying.suppliers.figures import make_ready
from sawbill.buying.takeoff import take_off
from sawbill.prices.forms.asjson import read_json


class Boards:
    """The time that the planner takes for boards: which, how they are cut, and what they are worth at most [s]."""

    def __init__(self) -> None:
        self.seconds, self.plans = 0.0, 0
        self._asked, self._told, self._valued = timber.best_deal, timber.told, cutting.worths
        timber.best_deal = self.best_deal  # type: ignore[assignment]
        timber.told = self.told  # type: ignore[assignment]
        cutting.worths = self.worths  # type: ignore[misc]

    def best_deal(self, *asked: Any) -> Any:
        self.plans += 1
        return self._timed(self._asked, *asked)

    def told(self, *asked: Any, **wishes: Any) -> Any:
        return self._timed(self._told, *asked, **wishes)

    def worths(self, *asked: Any) -> Any:
        return self._timed(self._valued, *asked)

    def _timed(self, ask: Any, *asked: Any, **wishes: Any) -> Any:
        begun = time.process_time()
        found = ask(*asked, **wishes)
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
            book = read_json("many", book_of(chance, size))
            request = read_request({"lines": [line_of(chance)]}, book, {})
            off = take_off(request.lines, request.shop.rounding_step)
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
