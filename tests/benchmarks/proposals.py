"""How much work a proposal takes: what its engines do, step by step, and what the process does that asks them.

    .venv/bin/python tests/benchmarks/proposals.py [--few]

Processor time [s], all in one process, so that engines beside each other take as much together. The grid is that of a
queen bed with nine options open, 10,368 combinations; `--few`: 768 of them. The answer is told, to be compared.
"""

from __future__ import annotations

import argparse
import gc
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

from sawbill.backroom import engine
from sawbill.buying.suppliers import make_ready
from sawbill.prices.forms.folder import read_folder
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.proposing.proposal import propose
from sawbill.quoting.proposing.proposed import read_proposal
from sawbill.registry import designs

BOOK = Path(__file__).parents[2] / "pricebooks" / "sample-inch"
ALL = {
    "rail": ["2x4", "2x6", "2x8", "2x10"], "ledger": ["2x2", "2x3", "2x4"], "end_board": ["2x4", "2x6"],
    "post": ["2x4", "4x4"], "slat": ["1x4", "2x3", "2x4", "2x6"], "slat_gap": ["2 in", "2 1/2 in", "3 in"],
    "bolt_size": ["5/16 in", "3/8 in", "1/2 in"], "centre_support": ["beam", "beam and leg"],
    "clear_height": ["8 in", "9 in", "10 in"],
}  # fmt: skip
FEW = ALL | {
    "rail": ["2x6", "2x8"], "ledger": ["2x3", "2x4"], "end_board": ["2x6"], "slat_gap": ["2 in", "3 in"],
    "clear_height": ["8 in", "10 in"],
}  # fmt: skip


class Engines:
    """Does what is asked, each in turn, and counts how long that takes."""

    def __init__(self) -> None:
        self.took: Counter[str] = Counter()
        self.done: Counter[str] = Counter()

    def __call__(self, function: Callable[[Common, Any], Any], common: Common, asked: Iterable[Any]) -> Iterator[Any]:
        """Answer one after the other."""
        for each in asked:
            began = time.process_time()
            answer = function(common, each)
            self.took[each.step] += time.process_time() - began  # type: ignore[assignment]  # counts hold any number
            self.done[each.step] += len(each.values)
            yield answer


def main() -> None:
    """Make the proposal, and tell what it took."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--few", action="store_true")
    opened = FEW if parser.parse_args().few else ALL
    raw = {"designs": ["slatted-bed"], "options": {"mattress": "queen"}, "open": opened, "price_books": [BOOK.name]}
    book, engines = read_folder(BOOK), Engines()
    asked = read_proposal(raw, [book], designs())
    make_ready()
    gc.collect()
    gc.freeze()  # as in an engine, once it is ready
    gc.set_threshold(engine.YOUNG)
    began = time.process_time()
    made = propose(asked, [book], engines)
    whole = time.process_time() - began
    for step, took in engines.took.items():
        count = engines.done[step]
        print(f"{step:8} {count:6} combinations {took:7.2f} s {1000 * took / count:7.2f} ms each")
    print(f"asking   {whole - sum(engines.took.values()):34.2f} s, {whole:.2f} s in all")
    print([row.found.figures.total for row in made.rows], len(made.trade_off), made.proof)


if __name__ == "__main__":
    main()
