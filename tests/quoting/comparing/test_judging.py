"""Judging: filtered, sorted, the best in each, those another row outdoes, less the baseline."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.cutting import Status
from sawbill.making.rates import Minutes
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.comparing.comparison import Figures, Row
from sawbill.quoting.comparing.criteria import CRITERIA, Bound, Wishes
from sawbill.quoting.comparing.grid import Combination
from sawbill.quoting.comparing.judging import Judged, judge
from sawbill.registry import designs

BOOKS = [Shelf(sample_folder()).get(name) for name in ("sample-inch", "sample-metric")]
"""One in USD, one in EUR."""


def row(number: int, book: int = 0, quantity: int = 1, minutes: int = 60, **numbers: Any) -> Row:
    """A row whose figures are all the same but those told."""
    figures = {
        "total": 100, "each": 100, "lumber": 50, "hardware": 20, "supplies": 10, "trips": 10, "tax": 10, "boards": 4,
        "waste": Fraction(1, 10), "mass_g": 9000, "longest_piece": 2_000_000_000, "failed_checks": 0,
    }  # fmt: skip
    asked = Combination(number, "x", designs()["bench"], {}, (), book, quantity)
    time = Minutes(Fraction(minutes // 2), Fraction(minutes))
    more = {"worst_check": None, "worst_utilisation": Fraction(1, 2), "hands_on": time, "proof": Status.PROVEN}
    return Row(asked, Figures(**{**figures, **more, **numbers}))


def refused(number: int) -> Row:
    return Row(Combination(number, "x", designs()["bench"], {}, (), 0, 1), None, "refused")


def numbers(judged: Sequence[Judged]) -> list[int]:
    return [each.row.combination.number for each in judged]


def test_unasked_the_rows_stay_in_the_order_of_the_grid() -> None:
    rows = [row(0, total=3), refused(1), row(2, total=1)]
    assert numbers(judge(rows, BOOKS, Wishes())) == [0, 1, 2]
    assert numbers(judge(rows, BOOKS, Wishes(descending=True))) == [2, 1, 0]


def test_rows_are_sorted_equal_ones_by_the_grid_those_without_figures_last() -> None:
    rows = [row(0, total=3), refused(1), row(2, total=1), row(3, total=3), row(4, total=2)]
    assert numbers(judge(rows, BOOKS, Wishes("total"))) == [2, 4, 0, 3, 1]
    assert numbers(judge(rows, BOOKS, Wishes("total", descending=True))) == [0, 3, 4, 2, 1]


def test_amounts_of_two_currencies_are_not_sorted_into_each_other_other_numbers_are() -> None:
    rows = [row(0, 1, total=1, boards=1), row(1, 0, total=5, boards=2), row(2, 1, total=3, boards=3)]
    assert numbers(judge(rows, BOOKS, Wishes("total"))) == [1, 0, 2]
    assert numbers(judge(rows, BOOKS, Wishes("boards"))) == [0, 1, 2]


@pytest.mark.parametrize(
    ("bound", "kept"),
    [
        (Bound("total", most=Decimal("1.00")), [0, 1]), (Bound("total", most=Decimal("0.99")), [0]),
        (Bound("total", least=Decimal("1.00")), [1, 2]), (Bound("boards", least=5, most=5), [1]),
        (Bound("mass", most=Fraction(8999)), []), (Bound("waste", most=Decimal("0.1")), [0, 1, 2]),
        (Bound("hands_on", most=Fraction(60)), [0, 1, 2]), (Bound("hands_on", most=Fraction(59)), []),
    ],
)  # fmt: skip
def test_a_bound_keeps_what_just_meets_it_and_no_row_without_figures(bound: Bound, kept: list[int]) -> None:
    rows = [row(0, total=99), row(1, total=100, boards=5), row(2, total=101), refused(3)]
    assert numbers(judge(rows, BOOKS, Wishes(bounds=(bound,)))) == kept


def test_a_money_bound_is_in_the_currency_of_the_row_with_its_decimals(tiny_book: Callable[..., PriceBook]) -> None:
    yen = tiny_book([{"length": "8 ft", "price": "400"}], currency="JPY")
    assert yen.decimals == 0
    rows = [row(0, 0, total=500), row(1, 1, total=500)]
    assert numbers(judge(rows, [BOOKS[0], yen], Wishes(bounds=(Bound("total", most=Decimal(5)),)))) == [0]


def test_the_best_in_each_are_named_also_where_several_are() -> None:
    rows = [row(0, total=1, boards=9), row(1, total=2, boards=3), row(2, total=1, boards=9), refused(3)]
    best = {each.row.combination.number: set(each.best_in) for each in judge(rows, BOOKS, Wishes())}
    same = set(CRITERIA) - {"total", "boards", "failed_checks", "unreckoned"}
    assert best == {0: same | {"total"}, 1: same | {"boards"}, 2: same | {"total"}, 3: set()}


def test_rows_of_another_currency_or_quantity_are_not_held_against_each_other() -> None:
    rows = [row(0, total=1), row(1, 1, total=9), row(2, quantity=4, total=9)]
    judged = judge(rows, BOOKS, Wishes(judged_by=("total",)))
    assert [each.best_in for each in judged] == [(), (), ()], "each has none like it"
    assert [each.dominated_by for each in judged] == [None, None, None]


def test_a_row_is_dominated_by_one_that_is_nowhere_worse_and_somewhere_better() -> None:
    rows = [row(0, total=2, boards=2), row(1, total=1, boards=3), row(2, total=2, boards=3), row(3, total=2, boards=2)]
    judged = judge(rows, BOOKS, Wishes(judged_by=("total", "boards")))
    assert [each.dominated_by for each in judged] == [None, None, 0, None], "equal rows do not outdo each other"
    assert [each.dominated_by for each in judge(rows, BOOKS, Wishes(judged_by=("boards",)))] == [None, 0, 0, None]


def test_rows_are_judged_among_those_that_are_told() -> None:
    rows = [row(0, total=1, failed_checks=1), row(1, total=2)]
    (judged,) = judge(rows, BOOKS, Wishes(bounds=(Bound("failed_checks", most=0),), judged_by=("total",)))
    assert judged.dominated_by is None


def test_differences_are_less_the_baseline_money_only_within_its_currency() -> None:
    rows = [row(0, total=100, boards=4, minutes=60), row(1, total=90, boards=6, minutes=100), row(2, 1), refused(3)]
    base, other, foreign, none = judge(rows, BOOKS, Wishes(baseline=0))
    assert set(base.difference.values()) == {0}
    assert (other.difference["total"], other.difference["boards"], other.difference["hands_on"]) == (-10, 2, 40)
    assert other.least_time_difference == 20
    money = {name for name, criterion in CRITERIA.items() if criterion.kind == "money"}
    assert set(foreign.difference) == set(CRITERIA) - money
    assert none.difference == {}
    assert all(each.difference == {} for each in judge(rows, BOOKS, Wishes(baseline=3)))
    assert all(each.difference == {} for each in judge(rows, BOOKS, Wishes()))


VALUES = st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4), st.integers(0, 4)), min_size=1, max_size=12)


@given(VALUES)
def test_no_undominated_row_could_be_traded_for_another_at_no_loss(values: list[tuple[int, int, int]]) -> None:
    rows = [row(n, total=a, boards=b, failed_checks=c) for n, (a, b, c) in enumerate(values)]
    judged = judge(rows, BOOKS, Wishes(judged_by=("total", "boards", "failed_checks")))

    def outdoes(mine: tuple[int, ...], other: tuple[int, ...]) -> bool:
        return mine != other and all(a <= b for a, b in zip(mine, other, strict=True))

    for each in judged:
        own = values[each.row.combination.number]
        expected = next((n for n, other in enumerate(values) if outdoes(other, own)), None)
        assert each.dominated_by == expected
    assert any(each.dominated_by is None for each in judged), "the least of all stand"


@given(VALUES, st.sampled_from(["total", "boards", "-total", "-boards"]))
def test_sorting_loses_no_row_and_keeps_its_order(values: list[tuple[int, int, int]], sort: str) -> None:
    rows = [row(n, total=a, boards=b) for n, (a, b, _) in enumerate(values)]
    name, descending = sort.removeprefix("-"), sort.startswith("-")
    judged = judge(rows, BOOKS, Wishes(name, descending))
    found = [CRITERIA[name].of(each.row.figures) for each in judged if each.row.figures]
    assert found == sorted(found, reverse=descending)
    assert sorted(numbers(judged)) == list(range(len(values)))


def test_the_figures_of_a_mapping_are_all_that_criteria_read() -> None:
    made: Mapping[str, Any] = {name: criterion.of(row(0).figures) for name, criterion in CRITERIA.items()}  # type: ignore[arg-type]
    assert made["mass"] == 9000 and made["hands_on"] == 60


def test_where_strength_is_not_known_it_counts_as_the_worst_is_best_in_nothing_and_differs_by_nothing() -> None:
    used = [Fraction(1, 2), None, Fraction(6, 5), None]
    rows = [row(number, worst_utilisation=each) for number, each in enumerate(used)]
    judged = judge(rows, BOOKS, Wishes("worst_utilisation", baseline=0))
    assert numbers(judged) == [0, 2, 1, 3]
    assert [("worst_utilisation" in each.best_in) for each in judged] == [True, False, False, False]
    assert [each.difference.get("worst_utilisation") for each in judged] == [0, Fraction(7, 10), None, None]
    holds = Wishes(bounds=(Bound("worst_utilisation", most=1),))
    assert numbers(judge(rows, BOOKS, holds)) == [0]
    nobody = [row(number, worst_utilisation=None) for number in (0, 1)]
    assert all("worst_utilisation" not in each.best_in for each in judge(nobody, BOOKS, Wishes()))


def test_a_row_that_is_not_reckoned_is_the_best_of_nothing_and_outdoes_none() -> None:
    """However cheap and light it is, and alone among its like too."""
    cheap = {"total": 1, "boards": 1, "mass_g": 1, "worst_utilisation": None, "unreckoned": 1}
    judged = {each.row.combination.number: each for each in judge([row(0, **cheap), row(1)], BOOKS, Wishes())}
    assert (judged[0].best_in, judged[1].dominated_by) == ((), None)
    assert {"total", "boards", "mass", "worst_utilisation"} <= set(judged[1].best_in)
    both = judge([row(0, **cheap), row(1, **{**cheap, "total": 2})], BOOKS, Wishes())
    assert [(each.best_in, each.dominated_by) for each in both] == [((), None)] * 2
    same = judge([row(0, unreckoned=1, worst_utilisation=None), row(1)], BOOKS, Wishes())
    assert [each.dominated_by for each in same] == [1, None], "of two as cheap the one that is reckoned"


def test_rows_that_are_not_reckoned_may_be_left_out() -> None:
    rows = [row(0, unreckoned=2, worst_utilisation=None), row(1)]
    assert numbers(judge(rows, BOOKS, Wishes(bounds=(Bound("unreckoned", most=0),)))) == [1]


def test_a_row_that_fails_a_check_is_the_best_of_nothing_and_outdoes_none_that_holds() -> None:
    """Whatever rows are judged by, also where nobody asks for its failed checks."""
    cheap = {"total": 1, "boards": 1, "mass_g": 1, "failed_checks": 1}
    by_total = Wishes(judged_by=("total",))
    judged = {each.row.combination.number: each for each in judge([row(0, **cheap), row(1)], BOOKS, by_total)}
    assert (judged[0].best_in, judged[1].dominated_by) == ((), None)
    assert {"total", "boards", "mass"} <= set(judged[1].best_in)
    failing = judge([row(0, **cheap), row(1, **{**cheap, "total": 2})], BOOKS, by_total)
    assert [(each.best_in, each.dominated_by) for each in failing] == [((), None), ((), 0)]


@given(st.lists(st.tuples(st.integers(0, 2), st.booleans(), st.integers(1, 3)), min_size=2, max_size=7))
def test_what_is_best_holds_and_nothing_is_outdone_by_what_is_less_sure_whatever_the_rows(
    drawn: list[tuple[int, bool, int]],
) -> None:
    rows = [
        row(n, failed_checks=failed, unreckoned=int(unknown), worst_utilisation=None if unknown else 1, total=total)
        for n, (failed, unknown, total) in enumerate(drawn)
    ]  # fmt: skip

    def doubt(number: int) -> int:  # holds, nobody knows, fails
        failed, unknown, _ = drawn[number]
        return 2 if failed else int(unknown)

    for each in judge(rows, BOOKS, Wishes(judged_by=("total",))):
        me = each.row.combination.number
        cheapest = min((total for n, (*_, total) in enumerate(drawn) if not doubt(n)), default=None)
        assert ("total" in each.best_in) == (not doubt(me) and drawn[me][2] == cheapest)
        assert not (doubt(me) and each.best_in)
        better = [
            n for n, (_, unknown, total) in enumerate(drawn)
            if not unknown and (doubt(n), total) != (doubt(me), drawn[me][2]) and doubt(n) <= doubt(me)
            and total <= drawn[me][2]
        ]  # fmt: skip
        assert each.dominated_by == (better[0] if better else None)
