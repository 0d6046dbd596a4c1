"""Orders of a group, which ripped parts make hard: proven or not, and how long the whole quote takes.

    .venv/bin/python tests/benchmarks/groups.py [--book sample-inch]

The gap is told in minor units. Seconds of the processor, without the solver's own process, and of the clock.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from sawbill.asked.request import read_request
from sawbill.buying.suppliers import make_ready
from sawbill.prices.forms.folder import read_folder
from sawbill.quoting.quote import make_quote
from sawbill.registry import designs

BOOKS = {path.name: path for path in sorted((Path(__file__).parents[2] / "pricebooks").iterdir()) if path.is_dir()}
Line = tuple[str, int, Mapping[str, object]]
ROOM: Sequence[Line] = (
    ("slatted-bed", 2, {"mattress": "queen"}),
    ("slatted-bed", 1, {"mattress": "twin"}),
    ("bench", 1, {}),
    ("shelf-unit", 1, {}),
)
SIZES = ("queen", "twin", "full", "twin xl")
ORDERS: Mapping[str, Sequence[Line]] = {
    "two queens, a twin, a bench, a shelf": ROOM,
    "the same with a daybed": (*ROOM, ("daybed", 1, {})),
    "twelve beds of four sizes": tuple(("slatted-bed", 3, {"mattress": size}) for size in SIZES),
    "twelve beds of two designs": tuple(
        (design, 3, {"mattress": size}) for design in ("slatted-bed", "low-platform") for size in SIZES[:2]
    ),
}


def main() -> None:
    """Print a row for each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--book", choices=[*BOOKS], action="append")
    make_ready()
    for name in parser.parse_args().book or BOOKS:
        book = read_folder(BOOKS[name])
        for order, lines in ORDERS.items():
            asked = [{"design": design, "quantity": n, "options": {**options}} for design, n, options in lines]
            request = read_request({"lines": asked}, book, designs())
            seconds, clock = time.process_time(), time.perf_counter()
            proof = make_quote(request, book, suggest=False).proof
            taken = f"{time.process_time() - seconds:6.2f} s  {time.perf_counter() - clock:6.2f} s"
            print(f"{name:14}  {order:37} {taken}  {proof.status}, gap {proof.gap} of {proof.cost}", flush=True)


if __name__ == "__main__":
    main()
