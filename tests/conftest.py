"""What the tests of several packages build with: the sample books, tiny books, and frames of plain boxes."""

from __future__ import annotations

import gc
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from sawbill import cutting
from sawbill.asked.request import Request, RequestFault, RequestFaultsError, read_request
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.quote import Quote, make_quote
from sawbill.registry import designs
from sawbill.trade.frame import Bolted, CarriedPiece, Frame, Glued, Part, Placement
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section

# The same examples every time, so that a change is judged by itself; `--hypothesis-profile searching` looks further.
settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("searching", max_examples=1000, deadline=None)
settings.load_profile("steady")

# Somebody else's package, with a test of its own; test_third_party installs it and runs that.
collect_ignore = ["third_party"]

gc.disable()  # until all is collected: thousands of tests that stay, among which every search is for nothing
SELDOM = (50_000, 20, 50)
"""After so many new objects of tests those that nobody holds any more are looked for, among older ones after so many
of these searches. Python's 700, 10 and 10 are a tenth of all time: much stays until its test, or all of them, end."""


def pytest_collection_finish() -> None:
    """Let no search for garbage look at what was collected; it goes on among what the tests make."""
    gc.freeze()
    gc.set_threshold(*SELDOM)
    gc.enable()


OWN_PROCESSES = ("subprocess", "served", "started", "running")
"""What a test file has in hand that starts processes and waits for them."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Spread the files that wait for processes of their own over the first two thirds of the run.

    One of them at the end would leave the other cores with nothing to do, and many at once would hold each other up.
    """
    files: dict[Path, list[pytest.Item]] = {}
    for item in items:
        files.setdefault(item.path, []).append(item)
    modules = {path: getattr(first, "module", None) for path, (first, *_) in files.items()}
    waiting = {path for path, module in modules.items() if any(hasattr(module, each) for each in OWN_PROCESSES)}
    items[:] = [item for path in spread([*files], waiting) for item in files[path]]


def spread(paths: Sequence[Path], waiting: Collection[Path]) -> list[Path]:
    """Put so many others after each path that waits that those are gone after two thirds of the others."""
    some, others = [each for each in paths if each in waiting], [each for each in paths if each not in waiting]
    step = max(1, len(others) * 2 // 3 // max(1, len(some)))
    found: list[Path] = []
    for number, each in enumerate(some):
        found += [each, *others[number * step : (number + 1) * step]]
    return found + others[len(some) * step :]


SAMPLES = ("sample-inch", "sample-metric")
Raw = dict[str, Any]


@pytest.fixture(scope="session", autouse=True)
def _patience() -> Iterator[None]:
    """Let searches here end by their counted steps: on a machine that is busy the emergency clock would end some."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(cutting, "EMERGENCY", 60.0)
        yield


@pytest.fixture(scope="session")
def samples() -> Mapping[str, PriceBook]:
    shelf = Shelf(sample_folder())
    return {name: shelf.get(name) for name in SAMPLES}


@pytest.fixture(scope="session")
def inch(samples: Mapping[str, PriceBook]) -> PriceBook:
    return samples["sample-inch"]


@pytest.fixture(scope="session")
def ask() -> Callable[[PriceBook, Raw], Request]:
    """Read a request against a book, with the designs on offer."""
    return lambda book, raw: read_request(raw, book, designs())


@pytest.fixture(scope="session")
def quote(ask: Callable[[PriceBook, Raw], Request]) -> Callable[[PriceBook, Raw], Quote]:
    """Quote a request from a book."""
    return lambda book, raw: make_quote(ask(book, raw), book)


@pytest.fixture(scope="session")
def faults_of(ask: Callable[[PriceBook, Raw], Request]) -> Callable[[PriceBook, Raw], tuple[RequestFault, ...]]:
    """The faults of a request, as its reader tells them."""

    def read(book: PriceBook, raw: Raw) -> tuple[RequestFault, ...]:
        with pytest.raises(RequestFaultsError) as caught:
            ask(book, raw)
        return caught.value.faults

    return read


@pytest.fixture(scope="session")
def tiny_book() -> Callable[..., PriceBook]:
    """A book of a few rows: every column that is not told has a plain value; 10 % tax comes on top."""

    def build(
        lumber: Sequence[Raw], hardware: Sequence[Raw] = (), supplies: Sequence[Raw] = (), **settings: Any
    ) -> PriceBook:
        def rows(table: Sequence[Raw], **usual: Any) -> list[Raw]:
            return [{"supplier": "Yard", "item_code": f"I{n}", **usual, **row} for n, row in enumerate(table)]

        return read_json(
            "tiny",
            {
                "title": "A tiny book", "units": "inch", "currency": "USD", "tax_rate": "10 %",
                "prices_include_tax": False, "as_of": "2026-01-02", "sample": False,
                "usual_sections": {"other": "2x4"},
                "shop": {
                    "kerf": "1/8 in", "end_trim": "0 in", "rounding_step": "1/16 in", "keep_offcut": "12 in",
                    "spare_boards": 0,
                },
                "suppliers": [{"name": "Yard"}, {"name": "Other yard", "tax_rate": "5 %"}],
                "lumber": rows(lumber, section="2x4", species="SPF", grade="No.2", per="each"),
                "hardware": rows(hardware, pack=1),
                "supplies": rows(supplies),
                **settings,
            },
        )  # fmt: skip

    return build


@pytest.fixture(scope="session")
def stand() -> Frame:
    """A rail on edge, 8 in up, with a post of two laminations glued together and two bolts through all three.

    In inches: rail 0 to 40 along x, 0 to 1-1/2 along y, 8 to 13-1/2 up; post 10 to 13-1/2 along x, its laminations
    1-1/2 to 3 and 3 to 4-1/2 along y, 0 to 11 up; the bolts at 11-3/4 along x, 9 and 10 up.
    """
    wide, wood = section("2x6"), section("2x4")
    rail = Part("rail", "rail", wide, 40 * INCH, Placement((0, 0, 8 * INCH), "x", "z"))
    post = [
        Part(f"post {n}", "post", wood, 11 * INCH, Placement((10 * INCH, n * INCH * 3 // 2, 0), "z", "x"))
        for n in (1, 2)
    ]
    keys = ("rail", "post 1", "post 2")
    bolts = [Bolted(keys, "3/8 in", (INCH * 47 // 4, 0, z * INCH), "y", 1) for z in (9, 10)]
    joints = (Glued(("post 1", "post 2")), *bolts)
    return Frame((rail, *post), joints, (CarriedPiece("stand", keys),))
