"""How long what depends on its frame takes of a quote, for every design and sample book.

    .venv/bin/python tests/benchmarks/frames.py [--times 20] [--design bunk-bed] [--book sample-inch]

Processor time, the least of several runs [ms]. frame: built from options as they are written; take-off: its cut list
and hardware; strength: all of it, from the frame and its wood to the findings; quote: all, with the purchase.
"""

from __future__ import annotations

import argparse
import gc
import time
from collections.abc import Callable, Mapping
from pathlib import Path

from sawbill.asked.request import Request, read_request
from sawbill.backroom import engine
from sawbill.buying.takeoff import take_off
from sawbill.checks.strength import check_strength
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import make_quote
from sawbill.quoting.summaries import materials_of
from sawbill.registry import designs

BOOKS = {path.name: path for path in sorted((Path(__file__).parents[2] / "pricebooks").iterdir()) if path.is_dir()}
OPTIONS: Mapping[str, Mapping[str, str]] = {"slatted-bed": {"mattress": "queen"}}


def steps(design: str, book: PriceBook) -> Mapping[str, Callable[[], object]]:
    """What is timed, by its name."""
    asked = {"lines": [{"design": design, "options": OPTIONS.get(design, {})}]}

    def read() -> Request:
        return read_request(asked, book, designs())

    request = read()
    frame, quote = request.lines[0].frame, make_quote(request, book, suggest=False)
    assert frame is not None
    materials = materials_of(quote.take_off, quote.woods)[0]
    return {
        "frame": read,
        "take-off": lambda: take_off(request.lines, request.shop.rounding_step),
        "strength": lambda: check_strength(frame, request.site, materials),
        "quote": lambda: make_quote(read(), book, suggest=False),
    }


def milliseconds(run: Callable[[], object], times: int) -> float:
    """The least processor time of several runs."""
    found = []
    for _ in range(times):
        began = time.process_time()
        run()
        found.append(time.process_time() - began)
    return 1000 * min(found)


def main() -> None:
    """Print a row for each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=20)
    parser.add_argument("--design", choices=[*designs()], action="append")
    parser.add_argument("--book", choices=[*BOOKS], action="append")
    asked = parser.parse_args()
    for name in asked.book or BOOKS:
        book = read_folder(BOOKS[name])
        for design in asked.design or designs():
            told = steps(design, book)
            gc.collect()
            gc.freeze()  # as in an engine, once it is ready
            gc.set_threshold(engine.YOUNG)
            figures = (f"{what} {milliseconds(run, asked.times):6.2f}" for what, run in told.items())
            print(f"{name:14} {design:13}", *figures, sep="  ", flush=True)


if __name__ == "__main__":
    main()
