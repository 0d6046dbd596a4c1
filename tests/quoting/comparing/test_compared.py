"""Requests for a comparison: what they mean, and every fault of them at once."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from sawbill.asked.request import RequestFault, RequestFaultsError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import Compared, read_comparison
from sawbill.quoting.comparing.criteria import USUAL, Bound
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.registry import designs

BEDS = ["slatted-bed", "low-platform"]


@pytest.fixture(scope="module")
def books(samples: Mapping[str, PriceBook]) -> list[PriceBook]:
    return [samples["sample-inch"], samples["sample-metric"]]


def read(books: list[PriceBook], **raw: Any) -> Compared:
    return read_comparison({"designs": BEDS, **raw}, books, designs())


def faults(books: list[PriceBook], **raw: Any) -> list[RequestFault]:
    with pytest.raises(RequestFaultsError) as caught:
        read(books, **raw)
    return list(caught.value.faults)


def test_what_is_not_asked_has_its_usual_value(books: list[PriceBook]) -> None:
    compared = read(books)
    assert [(row.design.name, row.book, row.quantity) for row in compared.combinations] == [
        ("slatted-bed", 0, 1), ("slatted-bed", 1, 1), ("low-platform", 0, 1), ("low-platform", 1, 1),
    ]  # fmt: skip
    wishes = compared.wishes
    assert (wishes.sort, wishes.descending, wishes.bounds, wishes.judged_by, wishes.baseline) == (
        "row", False, (), USUAL, None,
    )  # fmt: skip


def test_rows_without_number_are_too_many_as_any(books: list[PriceBook]) -> None:
    names = [option.name for option in designs()["slatted-bed"].options][:12]
    swept = {name: [f"{value}" for value in range(50)] for name in names}
    (fault,) = faults(books[:1], designs=["slatted-bed"], options=swept)
    assert fault.code == "too-many-rows" and f"{50**12} rows; it may have {MOST_ROWS}" in fault.detail


def test_a_minus_sorts_the_most_first(books: list[PriceBook]) -> None:
    wishes = read(books, sort="-mass").wishes
    assert (wishes.sort, wishes.descending) == ("mass", True)


def test_bounds_are_read_by_the_kind_of_their_number(books: list[PriceBook]) -> None:
    limits = {
        "total": {"most": "300.50"}, "boards": {"least": 4, "most": "12"}, "waste": {"most": "12 %"},
        "mass": {"most": "60 kg"}, "longest_piece": {"most": "84 in"}, "hands_on": {"most": "8 h"},
    }  # fmt: skip
    assert read(books, filter=limits).wishes.bounds == (
        Bound("total", most=Decimal("300.50")), Bound("boards", 4, 12), Bound("waste", most=Decimal("0.12")),
        Bound("mass", most=Fraction(60_000)), Bound("longest_piece", most=2_133_600_000),
        Bound("hands_on", most=Fraction(480)),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "text"),
    [("total", "1,000"), ("boards", "few"), ("waste", "0.1"), ("mass", "60"), ("longest_piece", "84"),
     ("hands_on", "8 hours")],
)  # fmt: skip
def test_a_bound_that_is_no_such_number_says_what_would_be_right(
    books: list[PriceBook], name: str, text: str
) -> None:  # fmt: skip
    (fault,) = faults(books, filter={name: {"most": text}})
    assert (fault.pointer, fault.code) == (("filter", name, "most"), "not-a-bound")
    assert text in fault.detail and "write" in fault.detail


@pytest.mark.parametrize(
    ("baseline", "row"),
    [(3, 3), ({"design": "low-platform"}, 2), ({"price_book": "sample-metric"}, 1), ({}, 0),
     ({"design": "low-platform", "price_book": "sample-metric", "quantity": 1, "label": "low-platform"}, 3)],
)  # fmt: skip
def test_a_baseline_is_a_row_by_its_number_or_by_what_it_is(books: list[PriceBook], baseline: Any, row: int) -> None:
    assert read(books, baseline=baseline).wishes.baseline == row


def test_a_baseline_may_be_told_by_its_options(books: list[PriceBook]) -> None:
    compared = read(books, options={"mattress": ["twin", "queen"]}, baseline={"options": {"mattress": "queen"}})
    assert compared.wishes.baseline == 2


@pytest.mark.parametrize("baseline", [4, -1, {"design": "bench"}, {"options": {"mattress": "queen"}}])
def test_a_baseline_that_is_no_row_is_refused(books: list[PriceBook], baseline: Any) -> None:
    assert [(fault.pointer, fault.code) for fault in faults(books, baseline=baseline)] == [
        (("baseline",), "no-such-row")
    ]


def test_every_fault_is_told_at_once_with_the_nearest_name(books: list[PriceBook]) -> None:
    found = faults(
        books, designs=["slatted-bd", "bench", {"design": "bench", "label": "bench", "options": {"lenth": "4 ft"}}],
        options={"mattres": ["twin"], "length": ["40 in", "40 in"]}, quantities=[0, 2, 2], sort="totl",
        judge_by=["wast"], shop={"kerf": "1 km"}, site={"cieling": "8 ft"}, units="furlong",
    )  # fmt: skip
    places = {(fault.pointer, fault.code) for fault in found}
    assert places == {
        (("designs", 0), "unknown-design"), (("designs", 2), "repeated"),
        (("designs", 2, "options", "lenth"), "unknown-option"), (("options", "mattres"), "unknown-option"),
        (("options", "length", 1), "repeated"), (("quantities", 0), "out-of-range"), (("quantities", 2), "repeated"),
        (("sort",), "not-a-choice"), (("judge_by", 0), "not-a-choice"), (("shop", "kerf"), "out-of-range"),
        (("site", "cieling"), "unknown-key"), (("units",), "not-a-choice"),
    }  # fmt: skip
    told = " ".join(fault.detail for fault in found)
    for nearest in ("slatted-bed", "length", "total", "waste", "ceiling"):
        assert f"did you mean {nearest}?" in told


def test_an_option_is_known_if_one_of_the_designs_has_it(books: list[PriceBook]) -> None:
    compared = read(books, designs=["slatted-bed", "bench"], options={"mattress": ["twin"]})
    assert [row.left_out for row in compared.combinations] == [(), (), ("mattress",), ("mattress",)]
    (fault,) = faults(books, designs=["bench", "shelf-unit"], options={"mattress": ["twin"]})
    assert fault.code == "unknown-option" and fault.detail.startswith("none of the designs has an option")


@pytest.mark.parametrize("key", ["designs", "quantities"])
def test_an_empty_list_is_missing(books: list[PriceBook], key: str) -> None:
    assert [(fault.pointer, fault.code) for fault in faults(books, **{key: []})] == [((key,), "missing")]


def test_the_rows_are_bounded_at_their_number(books: list[PriceBook]) -> None:
    swept = {"mattress": ["twin", "twin-xl", "full", "queen", "king"]}
    quantities = list(range(1, MOST_ROWS // 20 + 1))
    assert len(read(books, options=swept, quantities=quantities).combinations) == MOST_ROWS
    (fault,) = faults(books, options=swept, quantities=[*quantities, MOST_ROWS])
    assert fault.code == "too-many-rows"
    assert f"{MOST_ROWS + 20} rows; it may have {MOST_ROWS}" in fault.detail
