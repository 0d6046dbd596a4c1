"""Findings: how what was measured compares with what a rule asks."""

from __future__ import annotations

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


def test_what_was_not_checked_has_no_numbers() -> None:
    finding = not_checked("force", "a standard", "Not held against the frame.", clause="4.2")
    assert (finding.status, finding.clause) == (Status.NOT_CHECKED, "4.2")
    assert (finding.least, finding.most, finding.found) == (None, None, None)
