"""What deeper boards do to a push: little by being stiffer, much by where their bolts and edges come to be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from math import hypot
from typing import Any

import pytest
from tests.designs.carrying import CARRYING

from sawbill.asked.request import Request
from sawbill.checks.members import layer_stiffnesses
from sawbill.checks.racking import sway
from sawbill.checks.racking.bearing import Use
from sawbill.checks.site import Site
from sawbill.checks.strength.reckoned import Reckoned, reckon
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Material, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[..., Frame]


@pytest.fixture(scope="module")
def built(ask: Ask, samples: Mapping[str, PriceBook]) -> Make:
    def build(design: str, book: str = "sample-inch", **options: str) -> Frame:
        frame = ask(samples[book], {"lines": [{"design": design, "options": options}]}).lines[0].frame
        assert frame is not None
        return frame

    return build


def told(frame: Frame, species: str = "SPF", grade: str = "No.2") -> Reckoned:
    kind = find_species(species), find_grade(grade)
    found = reckon(frame, Site(), {part.key: (Material(part.section, *kind),) for part in frame.parts})
    assert found is not None
    return found


def worst(frame: Frame, direction: int, *wood: str) -> Use:
    """What a push lengthwise, 0, or sideways, 1, uses most, by the one standard of its wood."""
    ((_, use),) = told(frame, *wood).directions[direction].worst.values()
    return use


def pushed(frame: Frame) -> list[tuple[float, float]]:
    """What is used most of all by a push along and across, and how far it sways [mm]."""
    found = told(frame)
    return [
        (max(use.used for _, use in each.worst.values()), max(float(swayed.sway.max()) for swayed in each.swayed))
        for each in found.directions
    ]


@pytest.mark.parametrize("design", CARRYING)
def test_stiffer_boards_sway_no_more_and_draw_hardly_any_load(
    built: Make, monkeypatch: pytest.MonkeyPatch, design: str
) -> None:
    """All that lies is a half deeper, and nothing is moved: no use rises by a point. Whatever else a deeper board does
    is done by where its bolts are, where its edges press, and how high it is pushed."""
    frame = built(design)
    before = pushed(frame)
    deeper = 1.5**3
    monkeypatch.setattr(sway, "layer_stiffnesses", lambda parts: [deeper * each for each in layer_stiffnesses(parts)])
    for (used, swayed), (stiffer_used, stiffer_swayed) in zip(before, pushed(frame), strict=True):
        assert stiffer_swayed <= swayed * (1 + 1e-9)
        assert stiffer_used < used + 0.01


E_ACROSS, KSER = 10_000 / 30, 420**1.5 / 23
"""Wood across its grain [MPa]; a bolt, for each mm of its diameter [N/mm] (EN 338:2016; EN 1995-1-1, Table 7.1)."""


def bolt_by_hand(low: float, high: float, bolt: float, top: float, span: float, diameter: float = 9.525) -> float:
    """What the bolt bears more that holds an end board to either post [N].

    Pushed at the top with 150 N, both posts lean by t. On the one side the board's upper edge presses the rail beside
    it, on the other its lower one, each over a quarter of the height they share, once the bolt's hole (1/32 in) and the
    fit of the end (1/2 mm) are closed; so far from the bolt in the middle that M = K a^2 (t - play / a). Both moments
    make up the push; the board is shoved along by what is left of it at a post.
    """
    face, push = (high - low) / 4, 150.0 * top
    stiff = 1 / (1 / (KSER * diameter) + 1 / (E_ACROSS * 38.1 * face / (38.1 / 2)))
    play = 25.4 / 32 + 0.5
    arms = sorted((high - bolt - face / 2, bolt - low - face / 2))
    short, long = arms
    alone = push / (stiff * long**2) + play / long  # how far it leans if the longer arm bears all
    if alone <= play / short:
        moments = (0.0, push)
    else:
        lean = (push + stiff * play * (short + long)) / (stiff * (short**2 + long**2))
        moments = tuple(stiff * a * (a * lean - play) for a in arms)
    along = [max(push - m, m) / bolt_over_floor for m, bolt_over_floor in zip(moments, (bolt, bolt), strict=True)]
    return max(m / a + hypot(h, push / span) for m, a, h in zip(moments, arms, along, strict=True))


BY_HAND = [(wide, "3/8 in", 9.525) for wide in ("2x6", "2x8", "2x10", "2x12")] + [
    ("2x6", "1/4 in", 6.35), ("2x6", "5/16 in", 7.9375), ("2x6", "1/2 in", 12.7),
]  # fmt: skip


@pytest.mark.parametrize(("wide", "size", "diameter"), BY_HAND)
def test_the_bolt_of_an_end_board_bears_what_it_does_by_hand(
    built: Make, wide: str, size: str, diameter: float
) -> None:
    frame = built("slatted-bed", rail=wide, end_board=wide, bolt_size=size)
    board, post = frame.boxes["head end board"], frame.boxes["left head post 1"]
    first, last = sorted(
        joint.head for joint in frame.joints if board_and_post(joint) and joint.head[0] < post.high[0]
    )  # fmt: skip
    by_hand = bolt_by_hand(
        board.low[2] / MM,
        board.high[2] / MM,
        first[2] / MM,
        post.high[2] / MM,
        (last[1] - first[1]) / MM,
        diameter,
    )
    assert worst(frame, 1).force == pytest.approx(by_hand, rel=0.03)


def board_and_post(joint: Any) -> bool:
    return "head end board" in joint.parts and any("head post" in key for key in joint.parts)


def test_an_end_board_deeper_than_its_bolt_may_follow_bears_on_one_side_alone(built: Make) -> None:
    """Its posts end at the slats, and the bolt 4D below that, so that a 2x8 board has its bolt under its middle: the
    longer arm closes first and bears all of a push that a 2x6 board bears on either side. A deeper one yet is better
    off for its arm. By hand, with the same bolt in like wood."""
    six, eight, ten = (worst(built("slatted-bed", rail=wide, end_board=wide), 1) for wide in ("2x6", "2x8", "2x10"))
    assert six.bears == pytest.approx(eight.bears) == pytest.approx(ten.bears)
    assert six.moment == pytest.approx(150 * 330.2 / 2, rel=0.02)
    assert eight.moment == pytest.approx(150 * 330.2, rel=1e-3) == pytest.approx(ten.moment, rel=1e-3)
    assert six.used < ten.used * 1.05 < eight.used


def test_thicker_bolts_that_want_more_room_may_bear_more_than_they_gain(built: Make) -> None:
    """4D of post above it put a bolt of 1/2 in below the middle of the end board, so that the longer arm closes first
    and bears all, by hand as above; and an inch to the end, half of what is asked, leaves half of its strength."""
    usual, thick = (worst(built("slatted-bed", bolt_size=size), 1) for size in ("3/8 in", "1/2 in"))
    assert usual.moment == pytest.approx(150 * 330.2 / 2, rel=0.02)
    assert thick.moment == pytest.approx(150 * 330.2, rel=0.01)
    assert thick.bears < usual.bears and thick.used > usual.used


def test_an_end_board_that_overhangs_what_it_meets_uses_its_bolts_no_more(built: Make) -> None:
    six, overhung = (worst(built("slatted-bed", rail="2x6", end_board=wide), 1) for wide in ("2x6", "2x8"))
    assert overhung.used == pytest.approx(six.used, rel=0.01)


DEEPER = {"sample-inch": ("2x4", "2x6", "2x8", "2x10", "2x12"),
          "sample-metric": ("45x95", "45x120", "45x145", "45x170", "45x195", "45x220")}  # fmt: skip
WOOD = {"sample-inch": ("SPF", "No.2"), "sample-metric": ("spruce", "C24")}


@pytest.mark.parametrize("book", DEEPER)
@pytest.mark.parametrize(("design", "option"), [("sawhorse", "beam"), ("table", "rail"), ("workbench", "rail")])
def test_a_deeper_rail_between_posts_it_keeps_square_never_uses_more(
    built: Make, book: str, design: str, option: str
) -> None:
    """Its bolts are one above the other or side by side, whichever bears more near these ends, and further apart."""
    uses = [worst(built(design, book, **{option: name}), 0, *WOOD[book]) for name in DEEPER[book][1:]]
    assert {use.what for use in uses} == {"bolts"}
    assert all(deep.used <= low.used * 1.005 for low, deep in pairwise(uses)), [use.used for use in uses]
