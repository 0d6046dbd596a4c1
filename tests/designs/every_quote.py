"""Every design, listed mattress, market and sample book: which checks fail, and why.

    .venv/bin/python -m tests.designs.every_quote [--design NAME] [--all]

Quotes of one cause are told together: the book, the rule, the wood or part it is about. `--all` names each quote.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from sawbill.asked.request import RequestFaultsError, read_request
from sawbill.checks.finding import Finding, Status
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote, make_quote
from sawbill.registry import designs
from sawbill.trade.design import Design
from sawbill.trade.mattresses import mattress_sizes

BOOKS = Path(__file__).parents[2] / "pricebooks"
MARKETS = ("US", "UK", "EU", "AU")
BAD = (Status.UNRECKONED, Status.FAIL)


class Case(NamedTuple):
    """What is asked of a book."""

    book: str
    design: str
    options: Mapping[str, str]

    @property
    def words(self) -> str:
        """As one would write it."""
        return " ".join((self.book, self.design, *(f"{name}={value}" for name, value in self.options.items())))


def cases(books: Mapping[str, PriceBook], only: str | None = None) -> Iterator[Case]:
    """Every combination; a design that has no market or no mattress is asked once for it."""
    for name in books:
        for design in designs().values():
            if only in (None, design.name):
                yield from (Case(name, design.name, options) for options in _options(design))


def _options(design: Design) -> Iterator[dict[str, str]]:
    beds = [option.name for option in design.options if option.kind == "mattress"]
    markets: list[dict[str, str]] = [{}]
    if any(option.name == "market" for option in design.options):
        markets = [{"market": market} for market in MARKETS]
    for mattress in mattress_sizes() if beds else [""]:
        yield from ({**dict.fromkeys(beds, mattress), **market} for market in markets)


def quoted(case: Case, books: Mapping[str, PriceBook]) -> Quote | None:
    """Its quote; None: the design refuses."""
    line: dict[str, Any] = {"design": case.design, "options": dict(case.options)}
    try:
        request = read_request({"lines": [line]}, books[case.book], designs())
    except RequestFaultsError:
        return None
    return make_quote(request, books[case.book], suggest=False)


def cause(case: Case, finding: Finding, quote: Quote) -> str:
    """What quotes that fail alike have in common: the rule, what it is about, and its wood."""
    frame = quote.request.lines[0].frame
    assert frame is not None
    names = sorted({frame.by_key[key].name for key in finding.parts})
    cuts = [cut for cut in quote.take_off.cut_list if set(cut.keys) & set(finding.parts)]
    woods = {wood for cut in cuts for wood in quote.woods[cut.id]}
    told = sorted(f"{w.section.name} {w.species and w.species.name} {w.grade and w.grade.name}" for w in woods)
    return f"{case.book} {case.design}: {finding.status.value} {finding.rule} of {', '.join(names)} ({'; '.join(told)})"


def main() -> None:
    """Quote them all and tell what fails."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--design")
    parser.add_argument("--all", action="store_true")
    asked = parser.parse_args()
    books = {path.name: read_folder(path) for path in sorted(BOOKS.iterdir()) if path.is_dir()}
    causes: defaultdict[str, list[tuple[str, Finding]]] = defaultdict(list)
    bad: set[str] = set()
    count = refused = 0
    for case in cases(books, asked.design):
        quote = quoted(case, books)
        if quote is None:
            refused += 1
            continue
        count += 1
        for _, finding in quote.findings:
            if finding.status in BAD:
                causes[cause(case, finding, quote)].append((case.words, finding))
                bad.add(case.words)
    for words, found in sorted(causes.items()):
        used = [float(each.utilisation) for _, each in found if each.utilisation is not None]
        span = f" at {min(used):.1%} to {max(used):.1%}" if used else ""
        print(f"{len(found):4} {words}{span}")
        if asked.all:
            print(*(f"       {name}" for name, _ in found), sep="\n")
    print(f"{count} quotes, {refused} refused; {len(bad)} with a check that fails or could not be reckoned")


if __name__ == "__main__":
    main()
