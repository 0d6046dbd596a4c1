"""Where nothing that counts keeps furniture upright: it fails, for what is known, and what is advised mends it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest
from tests.designs.carrying import CARRYING

from sawbill.asked.request import Request, RequestFaultsError
from sawbill.checks.finding import Finding, Status
from sawbill.checks.site import Site
from sawbill.checks.strength import check_strength
from sawbill.checks.strength.traces import calculations, is_of
from sawbill.prices.pricebook import PriceBook
from sawbill.registry import designs
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import Material, Materials, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[..., Frame]
WOOD = {"sample-inch": ("SPF", "No.2"), "sample-metric": ("spruce", "C24")}


@pytest.fixture(scope="module")
def built(ask: Ask, samples: Mapping[str, PriceBook]) -> Make:
    def build(book: str, design: str, **options: str) -> Frame:
        frame = ask(samples[book], {"lines": [{"design": design, "options": options}]}).lines[0].frame
        assert frame is not None
        return frame

    return build


def wood(frame: Frame, book: str) -> Materials:
    kind = find_species(WOOD[book][0]), find_grade(WOOD[book][1])
    return {part.key: (Material(part.section, *kind),) for part in frame.parts}


def sways(frame: Frame, book: str) -> list[Finding]:
    """Along, then across."""
    return [each for each in check_strength(frame, Site(), wood(frame, book)) if each.rule == "sway"]


Case = tuple[str, str, dict[str, str], int, int, str, dict[str, str]]
FALLS: list[Case] = [
    # a bolt 4D from the end of a rail in a post 3-1/2 in wide is 1-1/2 in from its other edge (NDS, Table 12.5.1C: 4D)
    ("sample-inch", "bench", {"bolt_size": "1/2 in"}, INCH * 3 // 2, 2 * INCH,
     "the bolts between the rail and the leg lamination are too near to the edge they press on of the leg lamination",
     {"bolt_size": "3/8 in"}),
    # 2-1/2 in through a cleat of 1-1/2 in (NDS, 12.1.5.6: 6 x 0.19 in)
    ("sample-inch", "shelf-unit", {"screw_size": "#10"}, INCH, 6 * INCH * 19 // 100,
     "the screws between the upright and the cleat go too short a way into the upright for how thick they are",
     {"screw_size": "#8"}),
    ("sample-metric", "slatted-bed", {"bolt_size": "M12"}, 1, 2,
     "a single bolt holds the post lamination to the side rail, and they turn about it", {"bolt_size": "M8"}),
    # the longest of 5 mm, 120 mm, through 95 mm (EN 1995-1-1, 8.7.2: 6 d): others as thin are no longer
    *(("sample-metric", "daybed", {"end_board": "95x95"}, 25 * MM, 30 * MM,
       "Screws that thick are sold no longer: a thinner end board leaves more of their length, and thicker ones are",
       mended) for mended in ({"end_board": "70x70"}, {"end_board": "95x95", "screw_size": "6 mm"})),
    # half of a post 70 mm wide from the end of a rail (EN 1995-1-1, Table 8.4: 80 mm, of which half counts at least)
    *(("sample-metric", "bunk-bed", {"post": "45x70"}, 35 * MM, 40 * MM,
       "too near to the end of the side rail. Smaller bolts need less room, and a wider post lamination lets them be",
       mended) for mended in ({"post": "45x95"}, {"post": "45x70", "bolt_size": "M6"})),
]  # fmt: skip


@pytest.mark.parametrize(("book", "design", "asked", "found", "least", "why", "mended"), FALLS)
def test_what_falls_over_fails_for_what_it_lacks_and_less_of_that_mends_it(
    built: Make, book: str, design: str, asked: dict[str, str], found: int, least: int, why: str, mended: dict[str, str]
) -> None:
    frame = built(book, design, **asked)
    (failed,) = (each for each in sways(frame, book) if each.status is not Status.PASS)
    assert (failed.status, failed.found, failed.least) == (Status.FAIL, found, least)
    assert why in failed.message
    [sheet] = [each for each in calculations(frame, Site(), wood(frame, book), ["sway"]) if is_of(each, failed)]
    assert sheet.used == pytest.approx(least / found)
    assert {each.status for each in sways(built(book, design, **mended), book)} == {Status.PASS}


POSTS = {"sample-inch": ("2x6", "4x4"), "sample-metric": ("45x70", "70x70", "95x95", "45x120")}


@pytest.mark.parametrize("design", CARRYING)
def test_fasteners_and_posts_of_every_size_on_offer_are_reckoned(built: Make, design: str) -> None:
    """Each by itself, all else as it is; what a design refuses, it refuses in words."""
    options = designs()[design].options
    for book in WOOD:
        ours = "in" if book == "sample-inch" else "m"
        sizes = [(o.name, size) for o in options if o.name in ("bolt_size", "screw_size") for size in o.choices
                 if ("m" in size.lower()) == (ours == "m")]  # fmt: skip
        sizes += [(o.name, name) for o in options if o.name in ("post", "leg", "upright") for name in POSTS[book]]
        for name, size in sizes:
            try:
                frame = built(book, design, **{name: size})
            except RequestFaultsError:
                continue
            bad = [each.message for each in check_strength(frame, Site(), wood(frame, book))
                   if each.status is Status.UNRECKONED]  # fmt: skip
            assert not bad, (book, name, size)
