"""Loads: each case of real frames in newtons, as by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sawbill.asked.request import Request
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import ALWAYS, DAYS, MINUTES, MONTHS, YEARS, Case, always, cases
from sawbill.checks.resistance.wood import Lasting
from sawbill.checks.site import HEAVIEST_USER
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Frame, HighBed, Ladder, Part, Placement, Surface
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section

Ask = Callable[[PriceBook, dict[str, Any]], Request]
USER = 110 * 9.80665


@pytest.mark.parametrize(
    ("lasting", "cd", "kmod"),
    [(ALWAYS, 0.9, 0.6), (YEARS, 1.0, 0.7), (MONTHS, 1.0, 0.8), (DAYS, 1.25, 0.9), (MINUTES, 1.6, 1.1)],
)
def test_what_lasts_counts_as_the_standards_say(lasting: Lasting, cd: float, kmod: float) -> None:
    """NDS 2018, Table 2.3.2: dead, occupancy, seven days, ten minutes; EN 1995-1-1, Table 3.1, service class 1."""
    assert (lasting.cd, lasting.kmod) == (cd, kmod)


def told(ask: Ask, book: PriceBook, design: str, user: int = HEAVIEST_USER, **options: str) -> list[Case]:
    frame = ask(book, {"lines": [{"design": design, "options": options}]}).lines[0].frame
    assert frame is not None
    return list(cases(LoadPaths(frame), user))


def weight(case: Case) -> float:
    return sum(load for patches in case.loads.values() for _, _, load in patches)


@pytest.mark.parametrize(("mattress", "people"), [("twin", 1), ("eu-100", 1), ("eu-120", 2), ("queen", 2)])
def test_two_sleep_in_a_bed_of_120_cm_or_more(inch: PriceBook, ask: Ask, mattress: str, people: int) -> None:
    sleeping = next(case for case in told(ask, inch, "slatted-bed", mattress=mattress) if case.sags)
    assert weight(sleeping) == pytest.approx(people * USER)
    assert (sleeping.when, sleeping.lasting) == ("the bed is slept in", YEARS)


def test_both_beds_of_a_bunk_are_slept_in_at_once(inch: PriceBook, ask: Ask) -> None:
    bunk = told(ask, inch, "bunk-bed")
    [sleeping] = [case for case in bunk if case.sags]
    assert (sleeping.when, weight(sleeping)) == ("all beds are slept in", pytest.approx(2 * USER))
    edges = {case.when for case in bunk if "edge" in case.when}
    assert edges == {"two sit on the edge of the lower bed"}, "of the upper a guard keeps them"


def test_two_who_sit_on_an_edge_lean_on_the_slats_half_way_along(inch: PriceBook, ask: Ask) -> None:
    """On 70 cm of the length, each as heavy as may be, on the outer 35 cm of the slats."""
    edge = next(case for case in told(ask, inch, "slatted-bed") if "edge" in case.when)
    assert (weight(edge), edge.lasting) == (pytest.approx(2 * USER), DAYS)
    middles = [sum(member.parts[0].box.span("x")) / 2e6 for member in edge.loads]
    assert 550 < max(middles) - min(middles) < 850
    [wide] = {round(high - low, 3) for patches in edge.loads.values() for low, high, _ in patches}
    assert 345 < wide <= 350, "less what of it lies past the ends of the slats"


def test_one_who_drops_is_1400_n_on_what_carries_slats_and_a_share_on_one(inch: PriceBook, ask: Ask) -> None:
    """Slats of 3-1/2 in with gaps of 2-5/32 in stand 5.66 in (144 mm) apart: one of them gets 144/350 at most."""
    spots = [case for case in told(ask, inch, "slatted-bed") if "drops" in case.when]
    by_name = {(member.parts[0].name, round(weight(case))) for case in spots for member in case.loads}
    carriers = {name for name, newtons in by_name if newtons == 1400}
    assert carriers == {"side rail", "ledger", "centre beam"} & carriers and "centre beam" in carriers
    [slat] = [newtons for name, newtons in by_name if name == "slat"]
    assert 1400 * 0.38 < slat < 1400 * 0.45
    assert {case.lasting for case in spots} == {MINUTES}


def test_all_loads_of_people_go_with_their_weight(inch: PriceBook, ask: Ask) -> None:
    light, heavy = (told(ask, inch, "slatted-bed", user=mass) for mass in (55_000, 110_000))
    assert [weight(case) * 2 for case in light] == pytest.approx([weight(case) for case in heavy])


@pytest.mark.parametrize(("length", "people"), [("24 in", 1), ("47 in", 1), ("48 in", 2), ("72 in", 3), ("95 in", 3)])
def test_a_bench_seats_one_for_every_24_inches(inch: PriceBook, ask: Ask, length: str, people: int) -> None:
    full = next(case for case in told(ask, inch, "bench", length=length) if case.sags)
    assert (weight(full), full.lasting) == (pytest.approx(people * USER), MONTHS)
    assert full.when == "the seat is full of people"


def test_all_shelves_are_full_by_their_area(inch: PriceBook, ask: Ask) -> None:
    """125 kg/m2 on four shelves of 33 in by 12 in (the default unit, less its uprights)."""
    [full] = told(ask, inch, "shelf-unit")
    assert full.lasting == ALWAYS
    assert weight(full) == pytest.approx(4 * 33 * 12 * 0.0254**2 * 125 * 9.80665)


def test_who_climbs_stands_on_a_tread_in_its_middle_and_at_its_ends(inch: PriceBook, ask: Ask) -> None:
    """On the highest, on all of its boards; those of a ladder are all held alike."""
    climbing = [case for case in told(ask, inch, "loft-bed") if case.when == "someone climbs up"]
    assert [weight(case) for case in climbing] == pytest.approx([1400, 1400, 1400])
    for case in climbing:
        assert len(case.loads) == 2 and {member.parts[0].name for member in case.loads} == {"tread"}
        assert case.lasting == MINUTES
    [board] = {next(iter(case.loads)) for case in climbing}
    middle, start, end = (case.loads[board][0][:2] for case in climbing)
    assert middle == pytest.approx(((board.low + board.high) / 2 - 50, (board.low + board.high) / 2 + 50))
    assert start == pytest.approx((board.low, board.low + 100)) and end == pytest.approx((board.high - 100, board.high))


def test_every_step_that_is_held_otherwise_is_stepped_on(inch: PriceBook, ask: Ask) -> None:
    """The bearers of steps pass the uprights of those above, so they are unlike."""
    climbing = [case for case in told(ask, inch, "loft-bed", way_up="steps") if case.when == "someone climbs up"]
    heights = {member.parts[0].box.high[2] for case in climbing for member in case.loads}
    assert len(climbing) == 3 * len(heights) > 9


def test_the_wood_and_the_heaviest_usual_mattress_are_always_there(inch: PriceBook, ask: Ask) -> None:
    """A twin of 36 kg; of an unknown species, as heavy as red oak."""
    frame = ask(inch, {"lines": [{"design": "slatted-bed", "options": {"mattress": "twin"}}]}).lines[0].frame
    assert frame is not None
    loads = always(LoadPaths(frame), {})
    newtons = sum(load for patches in loads.values() for _, _, load in patches)
    cubic = sum(part.length * part.width * part.section.thickness for part in frame.parts) / 1e27
    assert newtons == pytest.approx((36 + cubic * 700) * 9.80665)


def test_what_nobody_uses_has_no_case() -> None:
    board = Part("board", "board", section("2x4"), 48 * INCH, Placement((0, 0, 0), "x", "y"))
    empty = Frame((board,), surfaces=(Surface("seat", "seat", ()),), high_beds=(HighBed("bed", "US", Ladder((), ())),))
    assert list(cases(LoadPaths(empty), HEAVIEST_USER)) == []


@pytest.mark.parametrize(
    ("design", "options", "kilograms", "lasting"),
    [
        ("table", {}, 50 * 57.875 * 30 * 0.0254**2, MONTHS),  # 16 boards of 3-1/2 in with 15 gaps of 1/8 in, 30 in deep
        ("workbench", {}, 150 * 60 * 21 * 0.0254**2, MONTHS),  # six boards of 3-1/2 in, 60 in long
        ("workbench", {"work": "heavy"}, 500 * 60 * 21 * 0.0254**2, ALWAYS),
        ("sawhorse", {}, 250, MONTHS),
    ],
)
def test_what_is_worked_at_is_laden(
    inch: PriceBook, ask: Ask, design: str, options: dict[str, str], kilograms: float, lasting: Lasting
) -> None:
    laden = next(case for case in told(ask, inch, design, **options) if case.when.endswith("is laden"))
    assert weight(laden) == pytest.approx(kilograms * 9.80665)
    assert laden.sags and laden.lasting == lasting


def test_one_sits_down_on_a_table_and_drops_onto_a_workbench(inch: PriceBook, ask: Ask) -> None:
    """1000 N on the rails of a table, 1400 N on the bearers of a workbench; on their boards what is shared."""
    for design, most in (("table", 1000), ("workbench", 1400)):
        spots = [weight(case) for case in told(ask, inch, design) if "spot" in case.when]
        assert max(spots) == pytest.approx(most)


def test_a_glued_slab_gets_all_that_one_who_drops_onto_it_weighs(inch: PriceBook, ask: Ask) -> None:
    """Eight boards of 1-1/2 in are one slab of 12 in, wider than 35 cm almost: 87 % of 1400 N, not a board's 11 %."""
    spots = [case for case in told(ask, inch, "workbench", top="slabs") if "spot" in case.when]
    on_slabs = [weight(case) for case in spots if "slab" in next(iter(case.loads)).parts[0].name]
    assert min(on_slabs) == pytest.approx(1400 * 304.8 / 350)
