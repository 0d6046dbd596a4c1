"""Comparisons: every row is the quote that a single request gives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from sawbill.answer.declared.compared import ComparedRow, RowOf
from sawbill.answer.declared.fields import PLAIN
from sawbill.answer.quote import quote_json
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Row, compare, figures_of
from sawbill.quoting.comparing.criteria import Wishes
from sawbill.quoting.comparing.grid import Combination, Entry, Grid
from sawbill.quoting.comparing.judging import judge
from sawbill.quoting.quote import Quote
from sawbill.registry import designs
from sawbill.trade.lumber import section

NAMES = ("slatted-bed", "low-platform", "daybed", "loft-bed")
MATTRESSES = ("twin", "queen")
Make = Callable[[PriceBook, dict[str, Any]], Quote]


def grid(names: Sequence[str] = NAMES, quantities: Sequence[int] = (1,), **options: Any) -> list[Combination]:
    entries = [Entry(name, designs()[name], {}) for name in names]
    return list(Grid(entries, options, 2, quantities))


@pytest.fixture(scope="module")
def books(samples: Mapping[str, PriceBook]) -> list[PriceBook]:
    return [samples["sample-inch"], samples["sample-metric"]]


@pytest.fixture(scope="module")
def rows(books: list[PriceBook]) -> list[Row]:
    return list(compare(grid(mattress=MATTRESSES), {}, books))


def single(row: Row, books: list[PriceBook]) -> tuple[PriceBook, dict[str, Any]]:
    """The request for a quote that a row stands for."""
    asked = row.combination
    line = {"design": asked.design.name, "options": dict(asked.options), "quantity": asked.quantity}
    return books[asked.book], {"lines": [line]}


@pytest.mark.parametrize("phases", [["making"], ["making", "finishing", "taking-apart"]])
def test_what_a_row_may_be_sold_for_is_what_its_single_quote_says(
    rows: list[Row], books: list[PriceBook], quote: Make, phases: list[str]
) -> None:
    pricing = {"contingency": "7 %", "labour_rate": "31.50", "factor": "2.5", "markup": "30 %", "margin": "25 %"}
    for row in rows[::5]:
        book, asked = single(row, books)
        made = quote(book, {**asked, "pricing": {**pricing, "labour_for": phases}})
        answer = quote_json(made)
        told = ComparedRow.written(RowOf(row, book, pricing=made.request.pricing), PLAIN)
        assert told["budget"] == answer["totals"]["budget"]
        assert told["selling_prices"] == answer["selling_prices"] and len(told["selling_prices"]) == 4
        bare = told_of(row, books)
        assert (bare["budget"], bare["selling_prices"]) == (None, []), "nothing is told that is not asked for"


def told_of(row: Row, books: list[PriceBook]) -> dict[str, Any]:
    """A row as it stands by itself."""
    return ComparedRow.written(RowOf(row, books[row.combination.book]), PLAIN)


def test_every_row_has_the_numbers_of_its_single_quote(rows: list[Row], books: list[PriceBook], quote: Make) -> None:
    assert len(rows) == len(NAMES) * len(MATTRESSES) * 2
    for row in rows:
        answer, told = quote_json(quote(*single(row, books))), told_of(row, books)
        frame = answer["frame"]
        assert told["status"] == "quoted"
        for name in ("total", "lumber", "hardware", "supplies", "trips", "tax"):
            assert told[name] == answer["totals"][name]
        assert told["each"] == answer["shares"][0]["each"]
        assert told["boards"] == sum(x["quantity"] for x in answer["shopping_list"] if x["kind"] == "lumber")
        assert told["mass_kg"] == frame["mass_kg"]
        assert told["longest_piece"] == max((x["longest"] for x in frame["carried_pieces"]), key=lambda x: x["mm"])
        assert told["hands_on_minutes"] == answer["hands_on_minutes"]
        assert told["proof"] == answer["proof"]["status"]
        statuses = Counter(check["status"] for check in answer["checks"])
        assert told["failed_checks"] == statuses["fail"]
        worst = next(each for each in ("fail", "unreckoned", "warn", "pass", "not_checked") if statuses[each])
        assert told["worst_check"] == worst
        strength = {
            "bending", "shear", "posts", "bolts", "bolted-end", "bearing", "net-section", "torsion", "hangers",
            "screws", "pushed-boards", "pushed-uprights", "pushed-fasteners", "slat-screws", "racking",
        }  # fmt: skip
        used = [x["utilisation"] for x in answer["checks"] if x["rule"] in strength]
        assert told["unreckoned"] == statuses["unreckoned"]
        assert told["worst_utilisation"] == (None if statuses["unreckoned"] else max(used))
        assert told["waste"] == round(float(waste(answer)), 4)
        assert told["revision"] == answer["price_book"]["revision"]


def waste(answer: Mapping[str, Any]) -> Fraction:
    """Waste by volume, worked out anew from the printed cutting plan and the rows of leftovers worth keeping."""
    volume, used = Fraction(0), Fraction(0)
    for row in answer["cutting_plan"]:
        wood = section(row["section"])
        area = wood.thickness * wood.width
        volume += row["count"] * area * Fraction(str(row["stock_length"]["mm"]))
        used += row["count"] * area * sum(Fraction(str(cut["length"]["mm"])) for cut in row["cuts"])
    for row in answer["leftovers"]:
        wood = section(row["section"])
        used += row["quantity"] * wood.thickness * wood.width * Fraction(str(row["length"]["mm"]))
    return 1 - used / volume


def test_a_crew_gives_the_same_rows_as_one_after_the_other(rows: list[Row], books: list[PriceBook]) -> None:
    few = grid(names=NAMES[:2], mattress=MATTRESSES)
    assert list(compare(few, {}, books)) == rows[: len(few)]


def test_a_row_that_its_design_refuses_says_why_and_the_others_are_quoted(books: list[PriceBook]) -> None:
    asked = grid(names=["low-platform"], mattress=["twin", "no such size"])
    rows = list(compare(asked, {}, books[:1] * 2))
    assert [row.status for row in rows] == ["quoted", "quoted", "refused", "refused"]
    (reason,) = rows[2].reasons
    assert reason.code == "unknown-mattress"
    assert rows[2].figures is None


def test_a_row_that_cannot_be_bought_says_what_the_price_book_lacks(
    tiny_book: Callable[..., PriceBook], books: list[PriceBook]
) -> None:
    poor = tiny_book([{"length": "8 ft", "price": "4.00"}])
    entry = Entry("bench", designs()["bench"], {})
    rows = list(compare(Grid([entry], {}, 2, [1]), {}, [books[0], poor]))
    assert [row.status for row in rows] == ["quoted", "cannot_be_bought"]
    assert {reason.code for reason in rows[1].reasons} <= {"hardware-not-sold", "supply-not-sold", "section-not-sold"}
    assert all(reason.detail for reason in rows[1].reasons)


def test_what_rows_have_in_common_holds_for_each(books: list[PriceBook], quote: Make) -> None:
    common = {"shop": {"spare_boards": 1}, "units": "metric", "rates": {"cut": 10}}
    rows = list(compare(grid(names=["bench"]), common, books))
    for row in rows:
        book, raw = single(row, books)
        assert row.figures == figures_of(quote(book, {**raw, **common}))
    assert rows != list(compare(grid(names=["bench"]), {}, books))


def test_the_worst_check_is_the_worst_and_the_failed_ones_are_counted(books: list[PriceBook], quote: Make) -> None:
    line = {"design": "slatted-bed", "options": {"mattress": "queen"}}
    made = quote(books[0], {"lines": [line], "site": {"one_person": "5 kg"}})
    figures = figures_of(made)
    assert (figures.worst_check, figures.failed_checks) == (Status.WARN, 0), "a rail is more than 5 kg"
    findings = [(number, replace(finding, status=Status.FAIL)) for number, finding in made.findings[:2]]
    failed = figures_of(replace(made, findings=(*findings, *made.findings[2:])))
    assert (failed.worst_check, failed.failed_checks) == (Status.FAIL, 2)
    nothing = figures_of(replace(made, findings=()))
    assert (nothing.worst_check, nothing.worst_utilisation) == (None, None)


def test_the_worst_utilisation_is_of_strength_and_of_nothing_else(books: list[PriceBook], quote: Make) -> None:
    line = {"design": "slatted-bed", "options": {"mattress": "69 in x 80 in", "end_board": "2x4"}}
    asked = {"lines": [line], "site": {"one_person": "5 kg"}, "lumber": {"must_hold": False}}
    made = quote(books[0], asked)
    used = {finding.rule: finding.utilisation for _, finding in made.findings}
    strength = [used[rule] for rule in ("bending", "shear", "posts", "bolts", "bolted-end", "sag")]
    worst, one_person = max(each for each in strength if each is not None), used["one-person"]
    assert figures_of(made).worst_utilisation == worst
    assert one_person is not None and 1 < worst < one_person
    looks = quote(books[1], {"lines": [line_of_looks()]})
    assert figures_of(looks).worst_utilisation is None, "no table tells the strength of wood sorted by its looks"
    assert figures_of(looks).unreckoned == 1


def test_thin_slats_that_nobody_reckons_never_read_as_safer_than_sound_ones(books: list[PriceBook]) -> None:
    """A twin bed on 1x2 or 2x4 slats: one who drops onto a 1x2 bends it far beyond any grade in the tables.

    By hand: 1400 N on one place, on slats at most 4 in apart, so (4 + 1.5) in / 350 mm of it on one; across 39 in less
    the ledgers' middles, spread over 350 mm: over 30 MPa, where Select Structural Douglas Fir takes 24 (10 minutes).
    """
    span, thick, wide = 37.5 * 25.4, 0.75 * 25.4, 1.5 * 25.4
    load = 1400 * (5.5 * 25.4 / 350)
    assert load / 4 * (span - 350 / 2) * 6 / (wide * thick**2) > 30
    asked = grid(["slatted-bed"], mattress=["twin"], slat=["1x2", "2x4"], slat_gap=["4 in"])
    rows = compare([each for each in asked if each.book == 0], {}, books)
    thin, sound = judge([*rows], books, Wishes())
    assert thin.row.figures is not None and sound.row.figures is not None
    assert thin.row.figures.total < sound.row.figures.total, "else this shows nothing"
    assert (thin.row.figures.worst_check, thin.row.figures.worst_utilisation) == (Status.UNRECKONED, None)
    assert (thin.best_in, sound.dominated_by) == ((), None)
    assert "total" in sound.best_in


def line_of_looks() -> dict[str, Any]:
    """A shelf unit all of which is cut from boards that are sorted for their looks."""
    options = dict.fromkeys(("upright", "shelf_board", "cleat", "back_rail"), "28x120")
    return {"design": "shelf-unit", "options": options}
