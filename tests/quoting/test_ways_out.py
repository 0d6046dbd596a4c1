"""Ways out of checks: each is asked for again as a quote of its own, and holds what it promises."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import parse_qsl

import pytest

from sawbill import cutting
from sawbill.answer.quote import quote_json
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote
from sawbill.registry import designs
from sawbill.trade.option import Section

Make = Callable[[PriceBook, dict[str, Any]], Quote]
BAD = (Status.FAIL, Status.UNRECKONED)


@pytest.fixture(autouse=True)
def in_peace(monkeypatch: pytest.MonkeyPatch) -> None:
    """No clock cuts a trial short, however slow the machine."""
    monkeypatch.setattr(cutting, "EMERGENCY", 300.0)


def asked(design: str, options: Mapping[str, str], **rest: Any) -> dict[str, Any]:
    return {"lines": [{"design": design, "options": dict(options)}], **rest}


@pytest.mark.parametrize(
    ("design", "options", "site", "rule", "first"),
    [
        ("slatted-bed", {"mattress": "king", "centre_support": "none"}, {}, "slat-span", {"centre_support": "auto"}),
        ("daybed", {"mattress": "king"}, {"one_person": "24.8 kg"}, "one-person", {"rail": "4x6"}),
    ],
)
def test_a_way_out_is_a_quote_in_which_the_check_passes(
    inch: PriceBook, quote: Make, design: str, options: Mapping[str, str], site: dict[str, str], rule: str,
    first: Mapping[str, str],
) -> None:  # fmt: skip
    made = quote(inch, asked(design, options, site=site, ways_out="yes"))
    [found] = [each for each in quote_json(made)["ways_out"] if each["rule"] == rule]
    assert found["status"] == "warn" and 1 <= len(found["ways"]) <= 3
    assert dict(parse_qsl(found["ways"][0]["query"])) == first
    before = {(each.rule, each.source) for _, each in made.findings if each.status is Status.WARN}
    for way in found["ways"]:
        changed = {**options, **{each["option"]: each["after"] for each in way["changes"]}}
        then = quote(inch, asked(design, changed, site=site))
        told = quote_json(then)
        assert way["total"] == told["totals"]["total"]
        assert (way["mass_kg"], way["boards"]) == (
            told["frame"]["mass_kg"], sum(b.quantity for b in then.purchase.boards.bought),
        )  # fmt: skip
        assert not [
            each
            for _, each in then.findings
            if each.status in BAD or (each.rule == rule and each.status in (*BAD, Status.WARN))
        ]
        assert {(each.rule, each.source) for _, each in then.findings if each.status is Status.WARN} <= before


def test_what_nothing_helps_is_told_with_what_was_tried(inch: PriceBook, quote: Make) -> None:
    """No option makes a queen bed so short that it goes into a small car."""
    made = quote(inch, asked("low-platform", {"mattress": "twin"}, site={"vehicle_length": "30 in"}, ways_out=True))
    [found] = [each for each in quote_json(made)["ways_out"] if each["rule"] == "vehicle-length"]
    assert found["ways"] == [] and found["tried_single"] > 20 and found["tried_pairs"] > 0 and found["cut_short"]


def test_no_way_out_goes_below_what_is_usual(inch: PriceBook) -> None:
    from sawbill.asked.request import read_request
    from sawbill.quoting.ways_out.changes import reading_of, single_changes

    for design in designs().values():
        request = read_request(asked(design.name, {}), inch, designs())
        reading = reading_of(inch, request)
        for change in single_changes(design, {}, request, inch):
            option = next(each for each in design.options if each.name == change.option)
            usual = option.start(reading)
            if isinstance(option, Section):
                other = option.read(change.after, reading)
                assert other.thickness >= usual.thickness and other.width >= usual.width
            assert change.option not in ("market", "mattress")
        sizes = [change.after for change in single_changes(design, {}, request, inch) if change.option == "bolt_size"]
        assert "1/4 in" not in sizes and "5/16 in" not in sizes


def test_nothing_is_looked_for_unless_it_is_asked(inch: PriceBook, quote: Make) -> None:
    assert (
        quote_json(quote(inch, asked("slatted-bed", {"centre_support": "none", "mattress": "king"})))["ways_out"] == []
    )
