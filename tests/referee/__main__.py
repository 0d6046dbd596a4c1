"""The referee: a second opinion on every promise, by a model that shares no code with the engine.

    python -m tests.referee --orders 3000 --quotes 2000 --seed 1

makes up orders at the planner's door and requests for quotes and cutting plans, has them answered, and holds each
answer against the least cost over every way to cut every board (`orders`, `purchases`), and against a ruler and a till
(`plans`, `answers`). Each difference is told as it is found, with the number by which `--only` asks for that case
again; with `--shrink` it is made small and written to a file. The end is 1 where there was any.

    python -m tests.referee --case tests/referee/cases/NAME.json
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

from tests.referee import case_files, order_claims, request_claims
from tests.referee.needs import read
from tests.referee.order_claims import Verdict
from tests.referee.random_orders import random_order
from tests.referee.random_requests import random_design_request, random_request
from tests.referee.shrinking import kinds, shrunk, smaller_orders, smaller_requests

FEW, FEW_OPEN = "of up to six lengths", "of those not proven"
SLOW = 3.0
"""From how long on an answer is told as slow [s]."""


def main(words: list[str]) -> int:
    """Judge what is asked for; 1 where anything differs."""
    asked = _arguments().parse_args(words)
    if asked.case:
        verdicts = [case_files.judged(case_files.load(path)) for path in asked.case]
        for path, verdict in zip(asked.case, verdicts, strict=True):
            print(path, *(verdict.differences or ["holds"]), sep="\n  ")
        return int(any(verdict.differences for verdict in verdicts))
    failed = _run("order", asked.orders, asked, lambda n: random_order(Random(f"order {asked.seed} {n}")))
    failed += _run("quote", asked.quotes, asked, lambda n: random_request(Random(f"quote {asked.seed} {n}")))
    failed += _run("design", asked.designs, asked, lambda n: _design(f"design {asked.seed} {n}"))
    return int(failed > 0)


def _arguments() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="tests.referee", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--orders", type=int, default=0, help="how many orders at the planner's door")
    parser.add_argument("--quotes", type=int, default=0, help="how many quotes and cutting plans of own pieces")
    parser.add_argument("--designs", type=int, default=0, help="how many quotes of designs, which have ripped parts")
    parser.add_argument("--seed", default="1", help="what the cases come from; another seed gives others")
    parser.add_argument("--only", type=int, nargs="*", help="these numbers and no others")
    parser.add_argument("--shrink", type=Path, metavar="FOLDER", help="where each difference goes, made small")
    parser.add_argument("--strict", action="store_true", help="up to six lengths not proven count as a difference too")
    parser.add_argument("--case", type=Path, nargs="*", help="judge these case files instead")
    return parser


def _run(kind: str, count: int, asked: argparse.Namespace, make: Callable[[int], Any]) -> int:
    """Judge so many cases of a kind, tell each difference and a last line of counts; how many differ."""
    counts: Counter[str] = Counter()
    for number in _numbers(count, asked.only):
        case, began = make(number), time.monotonic()
        verdict = _judge(kind, case, asked.strict)
        took = time.monotonic() - began
        small = _is_small(kind, case)
        told = {"proven": verdict.proven, "not judged": not verdict.judged, FEW: small}
        counts.update({"cases": 1, **{name: int(holds) for name, holds in told.items()}})
        counts[FEW_OPEN] += int(small and not verdict.proven)
        if took > SLOW:
            print(f"{kind} {number}: took {took:.1f} s", flush=True)
        if verdict.differences:
            counts["differ"] += 1
            print(f"{kind} {number}:", *verdict.differences, sep="\n  ", flush=True)
            if asked.shrink:
                _shrink(kind, number, case, verdict, asked)
    if count:
        print(kind, ", ".join(f"{number} {name}" for name, number in counts.items() if number), flush=True)
    return counts["differ"]


def _numbers(count: int, only: list[int] | None) -> Iterator[int]:
    return iter(range(count)) if only is None or not count else iter(only)


def _is_small(kind: str, case: Any) -> bool:
    """Whether up to six lengths are to be cut, and nothing may be spent on fewer set-ups, so that proof is due."""
    if kind == "order":
        return len(case.pieces) + len(case.small_parts) <= 6 and not case.extra_cost
    _, request = case
    if any("design" in line for line in request.get("lines", ())):
        return False
    needs = read(request)
    return len(needs.cuts) <= 6 and not needs.shop.extra


def _design(seed: str) -> Any:
    return random_design_request(Random(seed), request_claims.sample_book())


def _judge(kind: str, case: Any, strict: bool) -> Verdict:
    verdict = order_claims.judge(case) if kind == "order" else request_claims.judge(*case)
    if strict and not verdict.differences and not verdict.proven and _is_small(kind, case):
        return replace(verdict, differences=("open: not proven, though it has up to six lengths",))
    return verdict


def _shrink(kind: str, number: int, case: Any, verdict: Verdict, asked: argparse.Namespace) -> None:
    """Make a case small, keeping at least one of its kinds of difference, and write it."""
    wanted = kinds(verdict.differences)

    def fails(other: Any) -> bool:
        return bool(kinds(_judge(kind, other, asked.strict).differences) & wanted)

    if kind == "order":
        small = shrunk(case, smaller_orders, fails)
        text = case_files.order_text("; ".join(_judge(kind, small, asked.strict).differences), small)
    else:
        address, request = case
        small = shrunk(request, smaller_requests, lambda other: fails((address, other)))
        shows = "; ".join(_judge(kind, (address, small), asked.strict).differences)
        text = case_files.request_text(shows, address, small)
    asked.shrink.mkdir(parents=True, exist_ok=True)
    path = asked.shrink / f"{kind}-{asked.seed}-{number}.json"
    path.write_text(text)
    print(f"  made small in {path}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
