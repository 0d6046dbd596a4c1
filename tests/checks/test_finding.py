"""Findings: how what was measured compares with what a rule asks."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from sawbill.checks.finding import PRACTICE, Finding, Relation, Status, compare, not_checked, within


@pytest.mark.parametrize(
    ("found", "relation", "met"),
    [(9, "<=", True), (10, "<=", True), (11, "<=", False), (9, ">=", False), (10, ">=", True), (11, ">=", True)],
)
def test_a_rule_is_met_up_to_its_limit(found: int, relation: Relation, met: bool) -> None:
    finding = compare("rule", PRACTICE, found, relation, 10, ("good", "bad"), ("part",), clause="3(a)", unit="count")
    status, message = (Status.PASS, "good") if met else (Status.WARN, "bad")
    least, most = (None, 10) if relation == "<=" else (10, None)
    asked = Finding("rule", PRACTICE, status, message, "3(a)", least, most, found, "count", ("part",))
    assert finding == asked


@pytest.mark.parametrize(("found", "met"), [(59, False), (60, True), (75, True), (76, False)])
def test_a_rule_with_two_bounds_is_met_on_both_and_between(found: int, met: bool) -> None:
    finding = within("rule", "a law", found, (60, 75), ("good", "bad"), otherwise=Status.FAIL)
    assert (finding.status, finding.least, finding.most) == (Status.PASS if met else Status.FAIL, 60, 75)


def test_a_rule_may_fail_outright() -> None:
    finding = compare("rule", "a law", 11, "<=", 10, ("good", "bad"), otherwise=Status.FAIL)
    assert (finding.status, finding.parts) == (Status.FAIL, ())


@pytest.mark.parametrize(
    ("found", "bounds", "used"),
    [
        (9, (None, 12), "3/4"), (12, (None, 12), "1"), (15, (None, 12), "5/4"), (0, (None, 12), "0"),
        (16, (12, None), "3/4"), (12, (12, None), "1"), (9, (12, None), "4/3"), (5, (0, None), "0"),
        (60, (60, 75), "1"), (70, (60, 75), "14/15"), (90, (60, 75), "6/5"), (50, (60, 75), "6/5"),
        (-3, (None, 12), "0"), (0, (12, None), None), (-1, (None, 0), None), (7, (None, None), None),
    ],
)  # fmt: skip
def test_the_utilisation_is_how_much_of_a_limit_is_used(
    found: int, bounds: tuple[int | None, int | None], used: str | None
) -> None:
    finding = within("rule", PRACTICE, found, bounds, ("good", "bad"))
    assert finding.utilisation == (None if used is None else Fraction(used))


def test_a_rule_is_met_just_when_no_more_than_all_of_its_limit_is_used() -> None:
    for found, least, most in product(range(1, 9), (None, 2, 5), (None, 5, 7)):
        finding = within("rule", PRACTICE, found, (least, most), ("good", "bad"))
        if finding.utilisation is not None:
            assert (finding.status is Status.PASS) == (finding.utilisation <= 1)


def test_counts_and_what_was_not_checked_use_no_limit() -> None:
    assert within("rule", PRACTICE, 2, (2, None), ("good", "bad"), unit="count").utilisation is None
    assert not_checked("force", "a standard", "Not held against the frame.").utilisation is None


def test_what_was_not_checked_has_no_numbers() -> None:
    finding = not_checked("force", "a standard", "Not held against the frame.", clause="4.2")
    assert (finding.status, finding.clause) == (Status.NOT_CHECKED, "4.2")
    assert (finding.least, finding.most, finding.found) == (None, None, None)
