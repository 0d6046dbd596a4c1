"""Proposals against trying everything: every combination is quoted by itself, as a caller would, and judged here.

The model shares nothing with the search: no bound, no order, no memory. `python -m
tests.quoting.proposing.test_brute_force 0 200` tries so many grids at random, from this seed on.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from itertools import product
from random import Random
from typing import Any

import pytest

from sawbill.asked.request import RequestFaultsError, read_request
from sawbill.buying.boards import NothingFitsError
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.proposing import Proposal, propose
from sawbill.quoting.quote import Quote, make_quote
from sawbill.quoting.work import work_for
from sawbill.registry import designs

BEDS = ("slatted-bed", "low-platform", "daybed")
VALUES: dict[str, dict[str, tuple[Any, ...]]] = {
    "sample-inch": {
        "rail": ("2x6", "2x8", "2x4"), "ledger": ("2x3", "2x4", "2x2"), "slat": ("1x4", "2x4", "2x3"),
        "bolt_size": ("1/4 in", "5/16 in", "3/8 in", "1/2 in"), "slat_gap": ("2 in", "3 in"),
        "clear_height": ("6 in", "8 in", "10 in"), "post": ("2x4", "2x6"), "slat_retention": ("blocks", "screws"),
    },
    "sample-metric": {
        "rail": ("45x145", "45x195", "45x95"), "ledger": ("45x45", "45x70", "45x95"), "bolt_size": ("M6", "M8", "M10"),
        "slat_gap": ("50 mm", "75 mm"), "clear_height": ("150 mm", "200 mm"), "doubled_middle": ("yes", "no"),
    },
}  # fmt: skip
MATTRESSES = {"sample-inch": ("twin", "full", "queen"), "sample-metric": ("eu-90", "eu-140")}


@dataclass(frozen=True)
class Tried:
    """A combination that was quoted: its options, and what wishes are about."""

    options: dict[str, Any]
    total: int
    mass: int
    hours: int
    heaviest: int
    bad: int
    warned: frozenset[str]


def grid_of(random: Random) -> tuple[str, dict[str, Any]]:
    """A small grid and its wishes, at random."""
    book, design = random.choice(list(VALUES)), random.choice(BEDS)
    has = {option.name for option in designs()[design].options}
    names = [name for name in VALUES[book] if name in has]
    opened = {
        name: random.sample(VALUES[book][name], random.choice((1, 2, 2)))
        for name in random.sample(names, min(3, len(names)))
    }  # fmt: skip
    raw: dict[str, Any] = {
        "designs": [design], "open": opened, "options": {"mattress": random.choice(MATTRESSES[book])}, "proposals": 3,
    }  # fmt: skip
    wishes: dict[str, dict[str, str]] = {}
    if random.random() < 0.5:
        wishes["heaviest_piece"] = {"most": f"{random.randrange(80, 180) / 10} kg"}
    if random.random() < 0.3:
        wishes["new_warnings"] = {"most": "9"}
    if random.random() < 0.2:
        wishes["failed_checks"] = {"most": "9"}
    if random.random() < 0.2:
        raw["lumber"] = {"must_hold": False}
    return book, {**raw, "wishes": wishes}


def tried(raw: dict[str, Any], options: dict[str, Any], book: PriceBook) -> Tried | None:
    """Quote one combination by itself; None: there is no quote."""
    line = {"design": raw["designs"][0], "options": {**raw["options"], **options}}
    asked = {"lines": [line]} | ({"lumber": raw["lumber"]} if "lumber" in raw else {})
    try:
        quote = make_quote(read_request(asked, book, designs()), book, suggest=False)
    except (RequestFaultsError, NothingFitsError):
        return None
    return measured(options, quote)


def measured(options: dict[str, Any], quote: Quote) -> Tried:
    statuses = [finding.status for _, finding in quote.findings]
    (frame,) = quote.frames
    return Tried(
        options, quote.totals.total, frame.mass_g, int(work_for(quote, quote.request.units).hands_on.most),
        max(piece.mass_g for piece in frame.carried_pieces),
        statuses.count(Status.FAIL) + statuses.count(Status.UNRECKONED),
        frozenset(finding.rule for _, finding in quote.findings if finding.status is Status.WARN),
    )  # fmt: skip


def kept(each: Tried, raw: dict[str, Any], usual: Tried | None) -> bool:
    """Whether a combination keeps to the wishes."""
    wishes = raw["wishes"]
    heavy = wishes.get("heaviest_piece")
    new = len(each.warned - (each.warned if usual is None else usual.warned))
    return (
        (heavy is None or each.heaviest <= float(heavy["most"].split()[0]) * 1000)
        and each.bad <= int(wishes.get("failed_checks", {"most": 0})["most"])
        and new <= int(wishes.get("new_warnings", {"most": 0})["most"])
    )


def everything(raw: dict[str, Any], book: PriceBook) -> list[Tried]:
    """All that keeps to the wishes."""
    names = [option.name for option in designs()[raw["designs"][0]].options if option.name in raw["open"]]
    found = [
        tried(raw, dict(zip(names, values, strict=True)), book)
        for values in product(*(raw["open"][name] for name in names))
    ]
    usual = tried(raw, {}, book)
    return [each for each in found if each is not None and kept(each, raw, usual)]


def beaten(each: Tried, all_: list[Tried]) -> bool:
    mine = each.total, each.mass, each.hours
    return any(
        all(b <= a for a, b in zip(mine, its, strict=True)) and its != mine
        for other in all_ for its in [(other.total, other.mass, other.hours)]
    )  # fmt: skip


def differences(raw: dict[str, Any], book: PriceBook, made: Proposal) -> list[str]:
    """What differs between a proposal and trying everything."""
    good, found = everything(raw, book), list[str]()
    best = min((each.total for each in good), default=None)
    told = made.rows[0].found.figures.total if made.rows else None
    if told != best:
        found.append(f"best {told}, but {best}")
    if best is not None:
        near = [each for each in good if each.total * 4 <= best * 5]
        front = sorted({(each.total, each.mass, each.hours) for each in near if not beaten(each, near)})
        rows = [(r.found.figures.total, r.found.figures.mass_g, int(r.found.figures.hands_on.most))
                for r in made.trade_off]  # fmt: skip
        if sorted(rows) != front:
            found.append(f"trade-off {rows}, but {front}")
    proof = made.proof
    parts = (proof.refused, proof.not_sold, proof.failing, proof.beyond, proof.quoted, proof.alike, proof.by_bound)
    if not (proof.proven or proof.late) or sum(parts) != proof.combinations:
        found.append(f"proof {proof}")
    return found


def judged(seed: int) -> list[str]:
    book_name, raw = grid_of(Random(seed))
    book = Shelf(sample_folder()).get(book_name)
    return [f"{raw}: {each}" for each in differences(raw, book, propose(raw, [book], designs()))]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_proposal_is_what_trying_everything_finds(seed: int) -> None:
    assert judged(seed) == []


if __name__ == "__main__":
    first, number = (int(word) for word in sys.argv[1:3])
    wrong = [each for seed in range(first, first + number) for each in judged(seed)]
    print("\n".join(wrong) or f"{number} grids: all as trying everything finds them")
    raise SystemExit(bool(wrong))
