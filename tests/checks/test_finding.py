"""Findings: how a measured length compares with what a rule asks."""

from __future__ import annotations

from typing import Literal

import pytest

from sawbill.checks.finding import PRACTICE, Finding, Status, compare


@pytest.mark.parametrize(
    ("found", "relation", "met"),
    [(9, "<=", True), (10, "<=", True), (11, "<=", False), (9, ">=", False), (10, ">=", True), (11, ">=", True)],
)
def test_a_rule_is_met_up_to_its_limit(found: int, relation: Literal["<=", ">="], met: bool) -> None:
    finding = compare("rule", PRACTICE, found, relation, 10, ("good", "bad"), ("part",))
    status, message = (Status.PASS, "good") if met else (Status.WARN, "bad")
    assert finding == Finding("rule", "common practice, no source", relation, 10, found, status, message, ("part",))


def test_a_rule_may_fail_outright() -> None:
    finding = compare("rule", "a law", 11, "<=", 10, ("good", "bad"), otherwise=Status.FAIL)
    assert (finding.status, finding.parts) == (Status.FAIL, ())
