"""Quotes: money from the rows of the book to the total, and the same answer however it is asked."""

from __future__ import annotations

import csv
import hashlib
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Any

import pytest

from sawbill.asked.request import Request
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import sample_folder
from sawbill.quoting.quote import Quote, make_quote
from sawbill.registry import designs
from sawbill.trade.lengths import FOOT, METRE, parse_length
from sawbill.trade.lumber import section

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Make = Callable[[PriceBook, dict[str, Any]], Quote]
Build = Callable[..., PriceBook]

QUEEN = {"design": "slatted-bed", "options": {"mattress": "queen"}}


def half_up(amount: Fraction) -> int:
    return floor(amount + Fraction(1, 2))


# ---- money


def rows(book: str, table: str) -> dict[tuple[str, str, int], dict[str, str]]:
    """The rows of a table as they stand in its file, by supplier, item code and least quantity."""
    with (sample_folder() / book / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        listed = list(csv.DictReader(file))
    return {(row["supplier"], row["item_code"], int(row["least_quantity"] or 1)): row for row in listed}


def suppliers(book: str) -> list[dict[str, str]]:
    """The rows of the suppliers' table as they stand in its file."""
    with (sample_folder() / book / "suppliers.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def board_cents(row: dict[str, str]) -> int:
    """The price of one board in cents, from the price of a unit and how many units it has, rounded half up."""
    length, wood = parse_length(row["length"]), section(row["section"])
    units = {
        "each": Fraction(1),
        "ft": Fraction(length, FOOT),
        "m": Fraction(length, METRE),
        "m3": Fraction(wood.thickness * wood.width * length, METRE**3),
    }
    if row["per"] == "board foot":
        assert wood.nominal_thickness is not None
        assert wood.nominal_width is not None
        units["board foot"] = wood.nominal_thickness * wood.nominal_width * Fraction(length, 12 * FOOT)
    return half_up(Fraction(row["price"]) * units[row["per"]] * 100)


@pytest.mark.parametrize(
    ("book", "rate", "included"),
    [("sample-inch", Fraction("0.0825"), False), ("sample-metric", Fraction("0.20"), True)],
)
@pytest.mark.parametrize(
    "rest",
    [{}, {"lumber": {"grades": ["No.1", "Select Structural", "C16", "fifths", "C24"]}}, {"shop": {"spare_boards": 1}}],
    ids=["any lumber", "some grades", "spare boards"],
)
def test_money_adds_up_from_the_rows_of_the_book_to_the_total(
    samples: Mapping[str, PriceBook], quote: Make, book: str, rate: Fraction, included: bool, rest: dict[str, Any]
) -> None:
    made = quote(samples[book], {"lines": [QUEEN], **rest})
    lumber, hardware, supplies = (rows(book, table) for table in ("lumber", "hardware", "supplies"))
    boards = sum(
        line.quantity * board_cents(lumber[line.offer.supplier, line.offer.item_code, line.offer.least_quantity])
        for line in made.purchase.boards.bought
    )
    packs = {
        name: sum(
            count * half_up(Fraction(table[offer.supplier, offer.item_code, offer.least_quantity]["price"]) * 100)
            for item in items
            for offer, count in item.packs
        )
        for name, table, items in (
            ("hardware", hardware, made.purchase.hardware),
            ("supplies", supplies, made.purchase.supplies),
        )
    }
    spend = boards + packs["hardware"] + packs["supplies"]
    visited = {supplier for supplier, _ in made.purchase.lines}
    costs = {row["name"]: min(Fraction(row["trip"]), Fraction(row["delivery"] or 1000)) for row in suppliers(book)}
    trips = half_up(100 * sum(costs[name] for name in visited))
    tax = half_up(spend * rate / (1 + rate) if included else spend * rate)
    found = made.totals
    assert (found.lumber, found.hardware, found.supplies) == (boards, packs["hardware"], packs["supplies"])
    assert (found.trips, found.tax) == (trips, tax)
    assert found.total == spend + trips + (0 if included else tax)
    assert 0 < found.used < spend
    for item in made.purchase.hardware:
        assert sum(offer.pack * count for offer, count in item.packs) - item.quantity == item.left_over >= 0
        assert item.quantity == dict(made.take_off.hardware)[item.need]


SHELF = {
    "parts": [{"section": "2x4", "length": "30 in", "quantity": 3}],
    "hardware": [{"item": "wood screw", "size": "#8", "length": "2 in", "quantity": 12}],
}


@pytest.fixture
def two_suppliers(tiny_book: Build) -> Callable[..., PriceBook]:
    """Boards at 4.05 from one supplier, screws at 3.30 from another with a tax of its own."""

    def build(**settings: Any) -> PriceBook:
        return tiny_book(
            [{"length": "96 in", "price": "4.05"}],
            [
                {
                    "item": "wood screw",
                    "size": "#8",
                    "length": "2 in",
                    "pack": 25,
                    "price": "3.30",
                    "supplier": "Other yard",
                }
            ],
            **settings,
        )

    return build


def test_tax_on_top_is_worked_out_by_hand(two_suppliers: Build, quote: Make) -> None:
    """One board of 4.05 at 10 %: 0.405, so 0.41 (half up); screws of 3.30 at 5 %: 0.165, so 0.17."""
    found = quote(two_suppliers(), {"lines": [SHELF]}).totals
    assert (found.lumber, found.hardware, found.supplies) == (405, 330, 0)
    assert (found.tax, found.total) == (41 + 17, 405 + 330 + 58)


def test_tax_within_the_prices_is_worked_out_by_hand(two_suppliers: Build, quote: Make) -> None:
    """Of 4.05 with 10 % in it 4.05 / 11 = 0.368 is tax, of 3.30 with 5 % 3.30 / 21 = 0.157: together 0.53."""
    found = quote(two_suppliers(prices_include_tax=True), {"lines": [SHELF]}).totals
    assert (found.tax, found.total) == (37 + 16, 405 + 330)


def test_what_is_used_leaves_out_the_leftover_of_boards_and_packs(two_suppliers: Build, quote: Make) -> None:
    """Three pieces of 30 in and three cuts of 1/8 in out of 96 in leave 5-5/8 in; 12 of 25 screws are used."""
    worth = Fraction(405 * (90 * 8 + 3), 96 * 8) + Fraction(330 * 12, 25)
    assert quote(two_suppliers(), {"lines": [SHELF]}).totals.used == half_up(worth)


def test_groups_without_a_purchase_cost_nothing_and_are_not_missing(two_suppliers: Build, quote: Make) -> None:
    own = {"section": "2x4", "length": "96 in", "quantity": 1}
    found = quote(two_suppliers(), {"lines": [{"parts": SHELF["parts"]}], "on_hand": [own]})
    assert found.totals == replace(found.totals, lumber=0, hardware=0, supplies=0, tax=0, total=0, used=0)


# ---- the same answer however it is asked


@pytest.mark.parametrize("book", ["sample-inch", "sample-metric"])
@pytest.mark.parametrize("design", sorted(designs()))
def test_each_sample_book_quotes_each_design_without_an_option(
    samples: Mapping[str, PriceBook], quote: Make, book: str, design: str
) -> None:
    made = quote(samples[book], {"lines": [{"design": design}]})
    usual = {samples[book].usual_section(role) for role in ("rail", "ledger", "end_board", "post", "slat")}
    assert {cut.section.name for cut in made.take_off.cut_list} <= usual
    assert made.totals.total > 0
    # Some pieces are for two to lift; nothing else is said against any design as it comes.
    told = {finding.rule for _, finding in made.findings if finding.status in (Status.WARN, Status.FAIL)}
    assert told <= {"one-person"}


def test_the_same_request_in_inches_and_in_its_exact_millimetres_is_the_same_quote(
    inch: PriceBook, quote: Make
) -> None:
    def asked(length: Callable[[str], str]) -> dict[str, Any]:
        options = {
            "mattress": {
                side: length(inches) for side, inches in (("width", "60"), ("length", "80"), ("thickness", "12"))
            },
            "clear_height": length("8.5"),
            "slat_gap": length("2.75"),
            "mattress_allowance": length("0.875"),
        }
        return {
            "lines": [
                {"design": "slatted-bed", "options": options},
                {"parts": [{"section": "2x4", "length": length("31.875")}]},
            ],
            "on_hand": [{"section": "2x4", "length": length("36"), "quantity": 2}],
            "shop": {"kerf": length("0.125"), "end_trim": length("0.5")},
        }

    inches = quote(inch, asked(lambda text: f"{text} in"))
    metric = quote(inch, asked(lambda text: f"{Decimal(text) * Decimal('25.4'):f} mm"))
    assert [line.frame and line.frame.boxes for line in inches.request.lines] == [
        line.frame and line.frame.boxes for line in metric.request.lines
    ]
    assert metric == inches


LINES = [
    {"design": "slatted-bed", "options": {"mattress": "twin", "slat_retention": "screws"}},
    {
        "parts": [
            {"section": "1x6", "length": "30 in", "quantity": 5},
            {"section": "2x4", "length": "41 in", "quantity": 3},
        ]
    },
]
HAND = [
    {"section": "2x4", "length": "7 ft", "quantity": 2},
    {"section": "2x4", "length": "5 ft 3 in", "quantity": 1, "species": "SPF"},
    {"section": "1x6", "length": "3 ft", "quantity": 1},
]


def told(quote: Quote) -> tuple[Any, ...]:
    """What a maker pays and cuts, whatever the parts are called."""
    boards = quote.purchase.boards
    cut = Counter(
        (each.wood.material, each.wood.length, each.board.count, tuple(sorted(c.length for c in each.board.cuts)))
        for each in boards.cut
    )
    return quote.totals, boards.bought, boards.bound, cut, quote.purchase.hardware, quote.purchase.supplies


def test_the_order_of_boards_on_hand_changes_nothing(inch: PriceBook, quote: Make) -> None:
    first = quote(inch, {"lines": LINES[1:], "on_hand": HAND})
    assert sum(each.wood.offer is None for each in first.purchase.boards.cut) >= 2
    for turned in (HAND[::-1], [HAND[1], HAND[2], HAND[0]]):
        assert told(quote(inch, {"lines": LINES[1:], "on_hand": turned})) == told(first)


def test_the_order_of_the_lines_changes_the_ids_and_no_money(inch: PriceBook, quote: Make) -> None:
    first = quote(inch, {"lines": LINES})
    assert told(quote(inch, {"lines": LINES[::-1]}))[:3] == told(first)[:3]


ASKED_ELSEWHERE = """
import hashlib
from sawbill.quoting.quote import make_quote
from sawbill.asked.request import read_request
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.registry import designs

book = Shelf(sample_folder()).get("sample-inch")
request = read_request({"lines": %r, "on_hand": %r}, book, designs())
print(hashlib.sha256(repr(make_quote(request, book)).encode()).hexdigest())
"""


def test_the_same_request_gives_the_same_quote_again_and_in_other_processes(inch: PriceBook, quote: Make) -> None:
    request = {"lines": LINES, "on_hand": HAND[:1]}
    here = quote(inch, request)
    assert quote(inch, request) == here
    seen = {hashlib.sha256(repr(here).encode()).hexdigest()}
    for seed in ("0", "1"):
        program = [sys.executable, "-c", ASKED_ELSEWHERE % (LINES, HAND[:1])]
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        seen.add(subprocess.run(program, env=environment, capture_output=True, text=True, check=True).stdout.strip())
    assert len(seen) == 1


# ---- summaries and warnings


def test_spare_boards_that_cannot_be_had_are_told_of(ask: Ask, inch: PriceBook) -> None:
    """Two boards are needed: of two in stock none is left, of four two are."""
    board = next(each for each in inch.lumber if each.section.name == "2x4" and each.length == 8 * FOOT)
    pieces = [{"section": "2x4", "length": "60 in", "quantity": 2}]
    for in_stock, spare, told in ((2, 1, "1 asked for, 0 bought"), (4, 2, None), (3, 2, "2 asked for, 0 bought")):
        book = replace(inch, lumber=(replace(board, in_stock=in_stock, least_quantity=1),))
        made = make_quote(ask(book, {"lines": [{"parts": pieces}], "shop": {"spare_boards": spare}}), book)
        found = [each.message for each in made.warnings if each.code == "spare-boards-lacking"]
        assert len(found) == bool(told) and all(f"Spare boards of 2x4: {told}." in each for each in found)


def test_a_frame_is_weighed_by_the_species_that_is_cut_for_it(tiny_book: Build, ask: Ask, inch: PriceBook) -> None:
    """Hem-Fir weighs 29.2 lb/ft3 (AWC Wood Structural Design Data, 1992): 29.2 x 0.45359237 kg a cubic foot."""
    book = replace(inch, lumber=tuple(replace(offer, species="Hem-Fir") for offer in inch.lumber))
    made = make_quote(ask(book, {"lines": [QUEEN]}), book)
    [line], [summary] = made.request.lines, made.frames
    assert line.frame is not None
    volume = sum(x * y * z for x, y, z in (box.size for box in line.frame.boxes.values()))
    assert summary.mass_g == half_up(Fraction(volume, FOOT**3) * Fraction("29.2") * Fraction("453.59237"))
    assert summary.size == line.frame.bounds.size
    carried = sum(piece.mass_g * piece.count for piece in summary.carried_pieces)
    assert abs(carried - summary.mass_g) <= len(line.frame.parts)


def test_warnings_name_the_parts_they_concern_by_id(inch: PriceBook, quote: Make) -> None:
    wide = quote(inch, {"lines": [{"design": "slatted-bed", "options": {"slat_gap": "4 in"}}]})
    ids = {cut.name: cut.id for cut in wide.take_off.cut_list}
    by_code = {notice.code: notice for notice in wide.warnings}
    assert by_code["slat-gap"].severity == "warn"
    assert by_code["slat-gap"].parts == (ids["slat"],)
    low = quote(inch, {"lines": [{"design": "low-platform"}]})
    [ripped] = [notice.parts for notice in low.warnings if notice.code == "rip-before-cutting"]
    assert set(ripped) == {cut.id for cut in low.take_off.cut_list if cut.ripped is not None}
    assert by_code["price-sample"].severity == "note"
    assert "plan-not-proven" not in by_code


def test_a_book_of_real_prices_is_not_called_a_sample(inch: PriceBook, ask: Ask) -> None:
    book = replace(inch, sample=False)
    codes = [notice.code for notice in make_quote(ask(book, {"lines": [SHELF]}), book).warnings]
    assert codes == []


def test_a_piece_too_heavy_for_one_person_is_told(inch: PriceBook, quote: Make) -> None:
    """A side rail of 4x12 with posts of 4x4 is over 23 kg (Revised NIOSH Lifting Equation, 1991)."""
    heavy = {"design": "slatted-bed", "options": {"rail": "2x12", "ledger": "2x12", "post": "4x4"}}
    made = quote(inch, {"lines": [heavy]})
    limits = {piece.name: piece.mass_g > 23_000 for piece in made.frames[0].carried_pieces}
    assert limits["left rail"]
    assert not limits["slat"]
    [told_of] = [notice for notice in made.warnings if notice.code == "one-person"]
    assert all(name in told_of.message for name, heavy in limits.items() if heavy)
    assert "slat" not in told_of.message.partition(": ")[2]
    assert told_of.mass_g == max(piece.mass_g for piece in made.frames[0].carried_pieces)


# ---- the wood and the site, handed to the checks


def treated(book: PriceBook, *sections: str) -> PriceBook:
    lumber = tuple(replace(offer, treated=offer.section.name in sections) for offer in book.lumber)
    return replace(book, lumber=lumber)


def test_parts_cut_from_treated_boards_fail_indoors_and_are_named(inch: PriceBook, ask: Ask) -> None:
    book = treated(inch, "2x6")
    for site, statuses in (({}, [Status.FAIL]), ({"indoors": False}, [])):
        made = make_quote(ask(book, {"lines": [QUEEN], "site": site}), book)
        held = [finding for _, finding in made.findings if finding.rule == "treated-wood"]
        assert [finding.status for finding in held] == statuses
        if held:
            cuts = [cut for cut in made.take_off.cut_list if set(cut.keys) & set(held[0].parts)]
            assert {cut.section.name for cut in cuts if not cut.ripped} == {"2x6"}, "small parts come from its offcuts"
            assert "treated-wood" in {notice.code for notice in made.warnings}


def test_wood_on_hand_may_be_treated_so_nothing_is_said(inch: PriceBook, quote: Make) -> None:
    hand = {"section": "2x6", "length": "16 ft", "quantity": 1, "species": "SPF", "grade": "No.2"}
    made = quote(inch, {"lines": [QUEEN], "on_hand": [hand]})
    assert any(each.wood.offer is None for each in made.purchase.boards.cut)
    [held] = [finding for _, finding in made.findings if finding.rule == "treated-wood"]
    assert held.status is Status.NOT_CHECKED


def test_the_site_of_a_request_is_what_its_frames_are_held_against(inch: PriceBook, quote: Make) -> None:
    site = {"door_width": "12 in", "ceiling": "8 ft", "one_person": "5 kg"}
    made = quote(inch, {"lines": [QUEEN, QUEEN], "site": site})
    by_rule = {(line, finding.rule): finding for line, finding in made.findings}
    for line in (0, 1):
        assert by_rule[line, "door-width"].most == 12 * FOOT // 12
        assert by_rule[line, "ceiling"].status is Status.PASS
        assert (by_rule[line, "one-person"].status, by_rule[line, "one-person"].most) == (Status.WARN, 5000)
        assert "door height" in by_rule[line, "site"].message and "ceiling" not in by_rule[line, "site"].message


def test_the_load_home_is_the_boards_that_are_fetched(tiny_book: Build, ask: Ask) -> None:
    """SPF weighs 28.5 lb/ft3 (AWC, 1992): a 2x4 of 8 ft, 1-1/2 x 3-1/2 in, is 8 x 5.25/144 ft3."""
    rows = [{"length": "8 ft", "price": "4.00"}]
    lines = [{"parts": [{"section": "2x4", "length": "90 in", "quantity": 3}]}]
    one = Fraction(8) * Fraction("5.25") / 144 * Fraction("28.5") * Fraction("453.59237")
    book = tiny_book(rows)
    load = make_quote(ask(book, {"lines": lines}), book).load_home
    assert (load.mass_g, load.longest) == (half_up(one * 3), 8 * FOOT)
    brought = tiny_book(rows, suppliers=[{"name": "Yard", "trip": "9.00", "delivery": "5.00"}])
    load = make_quote(ask(brought, {"lines": lines}), brought).load_home
    assert (load.mass_g, load.longest) == (0, None)


@pytest.mark.parametrize(("vehicle", "told"), [("8 ft", False), ("95.999 in", True)])
def test_a_board_longer_than_the_load_space_is_told(tiny_book: Build, ask: Ask, vehicle: str, told: bool) -> None:
    book = tiny_book([{"length": "8 ft", "price": "4.00"}])
    lines = [{"parts": [{"section": "2x4", "length": "90 in"}]}]
    made = make_quote(ask(book, {"lines": lines, "site": {"vehicle_length": vehicle}}), book)
    notices = [notice for notice in made.warnings if notice.code == "board-longer-than-vehicle"]
    assert len(notices) == told
    if notices:
        assert dict(notices[0].lengths) == {"longest": 8 * FOOT, "vehicle_length": parse_length(vehicle)}


def test_a_bunk_bed_s_quote_says_who_may_not_sleep_up_there_and_that_it_is_no_certificate(
    inch: PriceBook, quote: Make
) -> None:
    told = {each.code: each.message for each in quote(inch, {"lines": [{"design": "bunk-bed"}]}).warnings}
    assert "under six years" in told["ages"]
    assert "never a certificate" in told["not-a-certificate"]
