"""How long drawings take: first picture and all sheets of every design, and of a wall of shelves; the shop's sheet.

    .venv/bin/python tests/benchmarks/drawings.py [--runs 5]

Processor time of the least of several runs [ms], the parts placed already; the very first picture is that of a process
that has drawn nothing yet.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.drawings.subjects import of

from sawbill.asked.request import read_request
from sawbill.drawings.catalogue import VIEWS, sheets
from sawbill.drawings.model import glb
from sawbill.drawings.subject import Subject
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.shelf import sample_folder
from sawbill.quoting.quote import make_quote
from sawbill.registry import designs
from sawbill.testing import reading
from sawbill.web.written.extras import pdf
from sawbill.web.written.printed import Wishes, shop_sheet

WALL = {"shelves": 12, "bays": 6, "width": "120 in", "height": "90 in", "depth": "30 in"}


def milliseconds(do: Callable[[], object], runs: int) -> float:
    """The least processor time of several runs."""
    found = []
    for _ in range(runs):
        began = time.process_time()
        do()
        found.append(time.process_time() - began)
    return 1000 * min(found)


def main() -> None:
    """Print a row for each."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=5)
    runs = parser.parse_args().runs
    wanted = [("slatted-bed", {}), *((name, {}) for name in designs() if name != "slatted-bed"), ("shelf-unit", WALL)]
    subjects = [of(designs()[name].frame(options, reading()), designs()[name].title) for name, options in wanted]
    first = milliseconds(lambda: VIEWS["isometric"].draw(fresh(subjects[0])), 1)
    print(f"the very first picture, {subjects[0].title}: {first:.0f} ms")
    print(f"{'':24}{'parts':>8}{'picture':>9}{'exploded':>9}{'sides':>9}{'sheets':>9}{'all':>9}{'model':>9}")
    for subject in subjects:
        figures = [milliseconds(lambda view=view: VIEWS[view].draw(fresh(subject)), runs) for view in list(VIEWS)[:3]]  # noqa: B023
        pages = sheets(subject)
        every = milliseconds(lambda: sheets(fresh(subject)), max(1, runs // 2))  # noqa: B023
        model = milliseconds(lambda: glb(fresh(subject)), runs)  # noqa: B023
        told = "".join(f"{figure:9.0f}" for figure in figures)
        print(f"{subject.title:24}{len(subject.frame.parts):8}{told}{len(pages):9}{every:9.0f}{model:9.1f}")
    document(runs)


def document(runs: int) -> None:
    """The shop's sheet of a queen bed, quoted already, as HTML and as PDF."""
    book = read_folder(sample_folder() / "sample-inch")
    request = read_request({"lines": [{"design": "slatted-bed", "options": {}}]}, book, designs())
    quote = make_quote(request, book)
    html = shop_sheet(quote, Wishes())
    print(f"the shop's sheet as HTML: {milliseconds(lambda: shop_sheet(quote, Wishes()), runs):.0f} ms")
    print(f"and as PDF: {milliseconds(lambda: pdf(html), runs):.0f} ms")


def fresh(subject: Subject) -> Subject:
    """The same with nothing remembered."""
    return Subject(subject.title, subject.frame, subject.labels, subject.system)


if __name__ == "__main__":
    main()
