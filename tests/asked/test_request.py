"""Requests: every fault with its code and pointer, all of them at once, and the limits to either side."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sawbill.asked.lines import Need, OwnPart
from sawbill.asked.request import SITE, OnHand, Request, RequestFault
from sawbill.buying.takeoff import take_off
from sawbill.checks.site import Site
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.declaring.kinds import Length
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

SITE_LENGTHS = {
    name: (each.kind.least, each.kind.most) for name, each in SITE.members.items() if isinstance(each.kind, Length)
}
Ask = Callable[[PriceBook, dict[str, Any]], Request]
Faults = Callable[[PriceBook, dict[str, Any]], tuple[RequestFault, ...]]

PART = {"section": "2x4", "length": "30 in"}
BOLT = {"item": "hex bolt", "size": "3/8 in", "length": "5 in"}


def with_part(**changes: Any) -> dict[str, Any]:
    return {"lines": [{"parts": [{**PART, **changes}]}]}


def with_line(**changes: Any) -> dict[str, Any]:
    return {"lines": [{"parts": [PART], **changes}]}


def with_hardware(**row: Any) -> dict[str, Any]:
    return {"lines": [{"hardware": [row]}]}


def with_design(**changes: Any) -> dict[str, Any]:
    return {"lines": [{"design": "slatted-bed", **changes}]}


def with_hand(**changes: Any) -> dict[str, Any]:
    return {**with_part(), "on_hand": [{**PART, **changes}]}


def with_shop(**changes: Any) -> dict[str, Any]:
    return {**with_part(), "shop": changes}


def with_site(**members: Any) -> dict[str, Any]:
    return {**with_part(), "site": members}


LINE, PARTS, HARDWARE, HAND = ("lines", 0), ("lines", 0, "parts", 0), ("lines", 0, "hardware", 0), ("on_hand", 0)


@pytest.mark.parametrize(
    ("raw", "pointer", "code", "says"),
    [
        ({}, ("lines",), "missing", "lines is missing"),
        (with_line(parts=[{"section": "2x4", "quantity": 1}]), (*PARTS, "length"), "missing", "; write one, such as "),
        (with_part(quantity="2"), (*PARTS, "quantity"), "not-a-whole-number", "whole number, without quotes"),
        ({"lines": []}, ("lines",), "missing", "no lines"),
        ({"lines": [{}]}, LINE, "missing", "names no design and gives no parts"),
        ({"lines": [{"options": {}}]}, LINE, "missing", "names no design"),
        ({**with_part(), "units": "cubits"}, ("units",), "not-a-choice", "inch, metric"),
        (with_line(options={}), (*LINE, "options"), "not-both", "only a line with a design has options"),
        (with_design(parts=[PART]), (*LINE, "parts"), "not-both", "move parts to a line of its own"),
        (with_design(hardware=[BOLT]), (*LINE, "hardware"), "not-both", "move hardware to a line of its own"),
        ({"lines": [{"design": "slated-bed"}]}, (*LINE, "design"), "unknown-design", "did you mean slatted-bed or"),
        ({"lines": [{"design": "zzz"}]}, (*LINE, "design"), "unknown-design", "one of: bench, bunk-bed, daybed, "),
        ({"lines": [{"design": "Baby crib"}]}, (*LINE, "design"), "unknown-design", "tested by law"),
        ({"lines": [{"design": "cot"}]}, (*LINE, "design"), "unknown-design", "16 CFR 1219"),
        (with_design(options={"slat_gap": "-1 in"}), (*LINE, "options", "slat_gap"), "not-a-length", "negative"),
        (with_design(options={"slat_gap": "1 km"}), (*LINE, "options", "slat_gap"), "out-of-range", "1/2 in to 4 in"),
        (with_design(options={"slat": "2x5000"}), (*LINE, "options", "slat"), "unknown-section", "2x5000"),
        (with_design(options={"slatgap": "2 in"}), (*LINE, "options", "slatgap"), "unknown-option", "slat_gap?"),
        (with_design(options={"headboard": 1}), (*LINE, "options", "headboard"), "not-a-flag", "yes or no"),
        (
            with_design(options={"mattress": {"width": "1 km", "length": "80 in"}}),
            (*LINE, "options", "mattress", "width"), "out-of-range", "18 in to 90 in",
        ),
        (
            with_design(options={"mattress": "20 in x 60 in", "post": "4x12", "headboard": True}),
            (*LINE, "options", "headboard"), "refused", "choose a narrower post",
        ),
        (with_part(section="2x5000"), (*PARTS, "section"), "unknown-section", "2x5000"),
        (with_part(length="30"), (*PARTS, "length"), "not-a-length", "no unit"),
        (with_part(length=30), (*PARTS, "length"), "not-text", "text with its unit"),
        (with_part(length="30 m"), (*PARTS, "length"), "out-of-range", "30 m"),
        (with_hardware(item="rivet"), (*HARDWARE, "item"), "not-a-choice", "hex bolt"),
        (with_hardware(**{**BOLT, "size": "3/7 in"}), (*HARDWARE, "size"), "unknown-name", "bolt size"),
        (with_hardware(item="wood screw", size="#7", length="2 in"), (*HARDWARE, "size"), "unknown-name", "screw"),
        (with_hardware(item="joist hanger", size="9 in"), (*HARDWARE, "size"), "unknown-name", "joist hanger"),
        (with_hardware(item="hex bolt", length="5 in"), (*HARDWARE, "size"), "missing", "a hex bolt has a size"),
        (with_hardware(item="hex bolt", size="3/8 in"), (*HARDWARE, "length"), "missing", "a hex bolt has a length"),
        (with_hardware(**{**BOLT, "item": "washer"}), (*HARDWARE, "length"), "not-known", "a washer has no length"),
        (
            with_hardware(item="hanger nail", size="#8", length="1 1/2 in"),
            (*HARDWARE, "size"), "not-known", "a hanger nail has no size",
        ),
        (with_hardware(**{**BOLT, "length": "5"}), (*HARDWARE, "length"), "not-a-length", "no unit"),
        (with_hardware(**{**BOLT, "length": "41 in"}), (*HARDWARE, "length"), "out-of-range", "41 in"),
        (with_hand(section="2x5000"), (*HAND, "section"), "unknown-section", "2x5000"),
        (with_hand(length="1,5 m"), (*HAND, "length"), "not-a-length", "comma"),
        (with_hand(species="marble"), (*HAND, "species"), "unknown-name", "there is no species 'marble'"),
        (with_hand(grade="No.9"), (*HAND, "grade"), "unknown-name", "No.9"),
        ({**with_part(), "lumber": {"species": ["SPF", "marble"]}}, ("lumber", "species", 1), "unknown-name", "marble"),
        ({**with_part(), "lumber": {"grades": ["No.9"]}}, ("lumber", "grades", 0), "unknown-name", "No.9"),
        (with_shop(kerf="1/8"), ("shop", "kerf"), "not-a-length", "no unit"),
        (with_shop(spare_boards="2"), ("shop", "spare_boards"), "not-a-whole-number", "must be a whole number"),
        (with_shop(spare_boards=101), ("shop", "spare_boards"), "out-of-range", "0 to 100"),
        (with_site(ceiling="8"), ("site", "ceiling"), "not-a-length", "no unit"),
        (with_site(ceiling=8), ("site", "ceiling"), "not-text", "text with its unit"),
        (with_site(one_person=23), ("site", "one_person"), "not-text", "text with its unit, such as 23 kg"),
        (with_site(one_person="23"), ("site", "one_person"), "not-a-mass", "no unit"),
        (with_site(one_person="23 in"), ("site", "one_person"), "not-a-mass", "kg"),
        (with_site(indoors="maybe"), ("site", "indoors"), "not-a-flag", "yes or no"),
        (with_site(celing="8 ft"), ("site", "celing"), "unknown-key", "did you mean ceiling?"),
        (with_site(zzz="8 ft"), ("site", "zzz"), "unknown-key", "room_length"),
    ],
)  # fmt: skip
def test_a_fault_has_its_code_its_place_and_what_would_be_right(
    inch: PriceBook, faults_of: Faults, raw: dict[str, Any], pointer: tuple[Any, ...], code: str, says: str
) -> None:
    [fault] = faults_of(inch, raw)
    assert (fault.pointer, fault.code) == (pointer, code)
    assert says in fault.detail


# ---- limits: at, below and above


@pytest.mark.parametrize("quantity", [1, 1000])
def test_a_quantity_may_be_1_to_1000(inch: PriceBook, ask: Ask, quantity: int) -> None:
    raw = {"lines": [{"parts": [{**PART, "quantity": quantity}], "quantity": quantity}]}
    raw["on_hand"] = [{**PART, "quantity": quantity}]
    request = ask(inch, raw)
    assert (request.lines[0].quantity, request.lines[0].parts[0].quantity) == (quantity, quantity)
    assert request.on_hand[0].quantity == quantity


@pytest.mark.parametrize(
    ("quantity", "code", "says"),
    [
        *((number, "out-of-range", "from 1 to 1000") for number in (0, -1, 1001, 10**9, 10**400)),
        *((other, "not-a-whole-number", "must be a whole number") for other in (True, "2", 2.0, [1])),
        (None, "null", "leave it out"),
    ],
)
def test_any_other_quantity_is_refused_wherever_it_stands(
    inch: PriceBook, faults_of: Faults, quantity: object, code: str, says: str
) -> None:
    raw = {"lines": [{"parts": [{**PART, "quantity": quantity}], "quantity": quantity}]}
    raw["on_hand"] = [{**PART, "quantity": quantity}]
    found = faults_of(inch, raw)
    assert {fault.pointer for fault in found} == {(*LINE, "quantity"), (*PARTS, "quantity"), (*HAND, "quantity")}
    assert {fault.code for fault in found} == {code}
    assert all(says in fault.detail and len(fault.detail) < 120 for fault in found)


@pytest.mark.parametrize(
    ("quantity", "good"), [(0, False), (1, True), (100_000, True), (100_001, False), (True, False)]
)
def test_hardware_may_be_1_to_100000(inch: PriceBook, ask: Ask, faults_of: Faults, quantity: int, good: bool) -> None:
    raw = with_hardware(**BOLT, quantity=quantity)
    if good:
        assert ask(inch, raw).lines[0].hardware == ((Need("hex bolt", "3/8 in", 5 * INCH), quantity),)
    else:
        assert [fault.pointer for fault in faults_of(inch, raw)] == [(*HARDWARE, "quantity")]


@pytest.mark.parametrize(
    ("key", "least", "most"),
    [
        ("kerf", 0, 10 * MM),
        ("end_trim", 0, 150 * MM),
        ("rounding_step", MM // 10, 10 * MM),
        ("longest_board", 300 * MM, 20_000 * MM),
        ("keep_offcut", 0, 3000 * MM),
    ],
)
def test_a_shop_setting_is_taken_at_its_limits_and_refused_beyond(
    inch: PriceBook, ask: Ask, faults_of: Faults, key: str, least: int, most: int
) -> None:
    def written(nm: int) -> str:
        return f"{nm // MM}.{nm % MM:06d} mm"

    name = key
    for nm in (least, most):
        assert getattr(ask(inch, with_shop(**{key: written(nm)})).shop, name) == nm
    for nm in (least - 1, most + 1):
        if nm >= 0:
            [fault] = faults_of(inch, with_shop(**{key: written(nm)}))
            assert (fault.pointer, fault.code) == (("shop", key), "out-of-range")


@pytest.mark.parametrize("spare", [0, 100])
def test_spare_boards_may_be_0_to_100(inch: PriceBook, ask: Ask, spare: int) -> None:
    assert ask(inch, with_shop(spare_boards=spare)).shop.spare_boards == spare


@pytest.mark.parametrize("spare", [-1, 101, True, None])
def test_any_other_number_of_spare_boards_is_refused(inch: PriceBook, faults_of: Faults, spare: object) -> None:
    assert [fault.pointer for fault in faults_of(inch, with_shop(spare_boards=spare))] == [("shop", "spare_boards")]


@pytest.mark.parametrize(
    ("length", "good"), [("1 mm", True), ("0.999999 mm", False), ("20 m", True), ("20000.000001 mm", False)]
)
def test_a_part_may_be_1_mm_to_20_m_long(inch: PriceBook, ask: Ask, faults_of: Faults, length: str, good: bool) -> None:
    if good:
        assert ask(inch, with_part(length=length)).lines[0].parts
    else:
        assert [fault.code for fault in faults_of(inch, with_part(length=length))] == ["out-of-range"]


@pytest.mark.parametrize(("member", "bounds"), [*SITE_LENGTHS.items()])
def test_a_length_of_the_site_is_taken_at_its_limits_and_refused_beyond(
    inch: PriceBook, ask: Ask, faults_of: Faults, member: str, bounds: tuple[int, int]
) -> None:
    def written(nm: int) -> str:
        return f"{nm // MM}.{nm % MM:06d} mm"

    least, most = bounds
    for nm in bounds:
        assert getattr(ask(inch, with_site(**{member: written(nm)})).site, member) == nm
    for nm in (least - 1, most + 1):
        if nm >= 0:
            [fault] = faults_of(inch, with_site(**{member: written(nm)}))
            assert (fault.pointer, fault.code) == (("site", member), "out-of-range")


@pytest.mark.parametrize(
    ("mass", "grams"), [("5 kg", 5000), ("100 kg", 100_000), ("51 lb", 23_133), ("4.999 kg", None), ("101 kg", None)]
)
def test_one_person_may_lift_5_to_100_kg(
    inch: PriceBook, ask: Ask, faults_of: Faults, mass: str, grams: int | None
) -> None:
    """51 lb are 23.1332 kg (the international pound, 1959)."""
    raw = with_site(one_person=mass)
    if grams is not None:
        assert ask(inch, raw).site.one_person == grams
    else:
        [fault] = faults_of(inch, raw)
        assert (fault.code, fault.pointer) == ("out-of-range", ("site", "one_person"))
        assert "5 kg to 100 kg" in fault.detail


def test_a_site_that_is_not_told_is_one_indoors_of_which_nothing_is_known(inch: PriceBook, ask: Ask) -> None:
    site = ask(inch, with_part()).site
    assert site == ask(inch, with_site(indoors=True, one_person="23 kg")).site == Site()
    assert {getattr(site, name) for name in SITE_LENGTHS} == {None}
    assert (site.one_person, site.indoors) == (23_000, True)


# ---- all at once


def test_every_fault_of_a_request_is_told_at_once(inch: PriceBook, faults_of: Faults) -> None:
    raw = {
        "units": "cubits",
        "lines": [
            {"design": "slatted-bed", "quantity": 0, "options": {"slat_gap": "1 km", "colour": "red", "rail": "9x9"}},
            {"design": "sofa", "options": {"slat_gap": "1 km"}},
            {
                "parts": [{"section": "9x9", "length": "x", "quantity": 0}],
                "hardware": [{"item": "hex bolt", "quantity": 0}],
            },
            {},
        ],
        "on_hand": [{"section": "9x9", "length": "0 in", "quantity": 0, "species": "marble", "grade": "A1"}],
        "shop": {"kerf": "2 in", "end_trim": 5, "spare_boards": 101},
        "site": {"room_length": "9", "ceiling": "1 km", "one_person": "1 t", "indoors": 1, "window": "2 ft"},
        "lumber": {"species": ["marble", "SPF", "gold"], "grades": ["A1"]},
    }
    found = [fault.pointer for fault in faults_of(inch, raw)]
    assert sorted(found, key=str) == sorted(
        [
            ("units",),
            *(("lines", 0, "options", name) for name in ("slat_gap", "colour", "rail")),
            ("lines", 0, "quantity"),
            ("lines", 1, "design"),
            *(("lines", 2, "parts", 0, name) for name in ("section", "length", "quantity")),
            *(("lines", 2, "hardware", 0, name) for name in ("size", "length", "quantity")),
            ("lines", 3),
            *(("on_hand", 0, name) for name in ("section", "length", "quantity", "species", "grade")),
            *(("shop", name) for name in ("kerf", "end_trim", "spare_boards")),
            *(("site", name) for name in ("room_length", "ceiling", "one_person", "indoors", "window")),
            ("lumber", "species", 0), ("lumber", "species", 2), ("lumber", "grades", 0),
        ],
        key=str,
    )  # fmt: skip


def test_details_repeat_nothing_long_or_unprintable(inch: PriceBook, faults_of: Faults) -> None:
    raw = {
        "lines": [
            {"design": "\x00\x1b" + "x" * 5000, "options": {}},
            {"parts": [{"section": "\x00" + "9" * 5000, "length": "\x07" * 5000}]},
            {"hardware": [{"item": "\x00" * 5000}]},
            {
                "design": "slatted-bed",
                "options": {"mattress": "\x1b[2J" * 1000, "slat": "\x00" * 5000, "bolt_size": "\x00"},
            },
        ]
    }
    for fault in faults_of(inch, raw):
        assert fault.detail.isprintable(), fault
        assert len(fault.detail) < 400, fault


# ---- what is read


def test_a_request_is_read_with_names_as_the_tables_spell_them(inch: PriceBook, ask: Ask) -> None:
    raw = {
        "units": "metric",
        "lines": [
            {"label": "guest room", "design": "slatted-bed", "options": {"mattress": "Queen"}, "quantity": 2},
            {
                "parts": [{"name": "shelf", "section": "2 X 4", "length": "30 in", "quantity": 3}, PART],
                "hardware": [{**BOLT, "size": '3/8"', "quantity": 12}, {"item": "washer", "size": "m10"}],
            },
        ],
        "on_hand": [{**PART, "species": "spf", "grade": "#2", "quantity": 5}, PART],
        "shop": {"kerf": "3 mm", "longest_board": "12 ft"},
        "lumber": {"species": ["hem fir"], "grades": ["No. 1", "stud"]},
    }
    request = ask(inch, raw)
    bed, shelf = request.lines
    assert (request.units, bed.label, bed.quantity, bed.design) == ("metric", "guest room", 2, "slatted-bed")
    assert bed.frame is not None
    assert bed.frame.sleeping_places[0].mattress.name == "queen"
    assert (shelf.label, shelf.quantity, shelf.design, shelf.frame) == ("line 2", 1, None, None)
    two_by_four = section("2x4")
    assert shelf.parts == (OwnPart("shelf", two_by_four, 30 * INCH, 3), OwnPart("part", two_by_four, 30 * INCH, 1))
    assert shelf.hardware == ((Need("hex bolt", "3/8 in", 5 * INCH), 12), (Need("washer", "M10", None), 1))
    assert request.on_hand == (
        OnHand(two_by_four, 30 * INCH, 5, "SPF", "No.2"), OnHand(two_by_four, 30 * INCH, 1),
    )  # fmt: skip
    assert (request.shop.kerf, request.shop.longest_board) == (3 * MM, 144 * INCH)
    assert request.shop.end_trim == inch.shop.end_trim
    assert (request.species, request.grades) == (("Hem-Fir",), ("No.1", "Stud"))


def test_lumber_that_will_do_is_read_for_a_part_a_line_and_the_request(inch: PriceBook, ask: Ask) -> None:
    raw = {
        "lines": [
            {"parts": [{**PART, "grades": ["no. 1"]}, PART], "lumber": {"species": ["spf"], "grades": ["stud"]}},
            {"design": "slatted-bed", "options": {"mattress": "twin"}, "lumber": {"grades": ["#2"]}},
            {"parts": [PART]},
        ],
        "lumber": {"species": ["hem fir"]},
    }
    request = ask(inch, raw)
    off = take_off(request.lines, request.shop.rounding_step)
    named = {(cut.line, cut.species, cut.grades) for cut in off.cut_list}
    assert named == {(0, ("SPF",), ("No.1",)), (0, ("SPF",), ("Stud",)), (1, (), ("No.2",)), (2, (), ())}
    assert request.species == ("Hem-Fir",)


def test_an_unknown_kind_of_wood_is_named_where_it_stands(inch: PriceBook, faults_of: Faults) -> None:
    raw = {"lines": [{"parts": [{**PART, "species": ["SPF", "glass"]}], "lumber": {"grades": ["best"]}}]}
    assert {(fault.pointer, fault.code) for fault in faults_of(inch, raw)} == {
        (("lines", 0, "parts", 0, "species", 1), "unknown-name"),
        (("lines", 0, "lumber", "grades", 0), "unknown-name"),
    }


def test_unset_sections_and_defaults_are_those_of_the_books_shop(samples: dict[str, PriceBook], ask: Ask) -> None:
    for name, rail, size in (("sample-inch", "2x6", "queen"), ("sample-metric", "45x145", "eu-140")):
        frame = ask(samples[name], with_design()).lines[0].frame
        assert frame is not None
        assert frame.by_key["left rail"].section.name == rail
        assert frame.sleeping_places[0].mattress.name == size


@pytest.mark.parametrize(
    ("shop", "step"),
    [({}, INCH // 16), ({"rounding_step": "1/32 in"}, INCH // 32), ({"rounding_step": "1/4 in"}, INCH // 16)],
    ids=["the shop's own", "a finer one", "one too coarse to drill by"],
)
def test_furniture_is_laid_out_to_the_step_of_the_shop(inch: PriceBook, ask: Ask, shop: Any, step: int) -> None:
    """By hand: in a run of 74 in, twelve gaps between fourteen 3-1/2 in slats are 25/12 in, or 2-1/16 and a bit."""
    frame = ask(inch, {**with_design(), "shop": shop}).lines[0].frame
    assert frame is not None
    edges = {nm for box in frame.boxes.values() for nm in (*box.low, *box.high)}
    assert not any(nm % step for nm in edges)
    assert any(nm % (2 * step) for nm in edges)
