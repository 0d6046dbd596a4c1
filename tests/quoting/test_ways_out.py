"""Ways out of checks: each is asked for again as a quote of its own, and holds what it promises."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import islice
from typing import Any
from urllib.parse import parse_qsl

import pytest

from sawbill import cutting
from sawbill.answer.quote import quote_json
from sawbill.asked.request import read_request
from sawbill.checks.finding import Status, compare
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.proposing.opening import may_save, usually_open
from sawbill.quoting.quote import Quote
from sawbill.quoting.ways_out import Seen, Trial, Unmet, Way, WaysOut, out_of, unmet
from sawbill.quoting.ways_out.changes import Change, easing, pairs, reading_of, single_changes
from sawbill.quoting.ways_out.search import Limits
from sawbill.registry import designs
from sawbill.trade.design import Design
from sawbill.trade.option import Choice, Flag, Section

Make = Callable[[PriceBook, dict[str, Any]], Quote]
BAD = (Status.FAIL, Status.UNRECKONED)


@pytest.fixture(autouse=True)
def in_peace(monkeypatch: pytest.MonkeyPatch) -> None:
    """No clock cuts a trial short, however slow the machine."""
    monkeypatch.setattr(cutting, "EMERGENCY", 300.0)
    monkeypatch.setattr("sawbill.quoting.ways_out.search.EMERGENCY", 300.0)


def asked(design: str, options: Mapping[str, str], **rest: Any) -> dict[str, Any]:
    return {"lines": [{"design": design, "options": dict(options)}], **rest}


@pytest.mark.parametrize(
    ("design", "options", "site", "rule", "first"),
    [
        ("slatted-bed", {"mattress": "king", "centre_support": "none"}, {}, "slat-span", {"centre_support": "auto"}),
        ("daybed", {"mattress": "king"}, {"one_person": "24.8 kg"}, "one-person", {"slat_retention": "screws"}),
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


def test_halves_that_one_person_lifts_in_the_wood_that_is_bought_are_a_way_out(inch: PriceBook, quote: Make) -> None:
    """In the strongest wood on sale, which is heavier, more than one person would have to lift a half."""
    made = quote(inch, asked("loft-bed", {}, site={"vehicle_length": "70 in"}, ways_out="yes"))
    [found] = [each for each in quote_json(made)["ways_out"] if each["rule"] == "vehicle-length"]
    assert [dict(parse_qsl(way["query"])) for way in found["ways"]] == [{"in_halves": "yes"}]
    then = quote(inch, asked("loft-bed", {"in_halves": "yes"}, site={"vehicle_length": "70 in"}))
    told = {each.rule: each.status for _, each in then.findings}
    assert (told["vehicle-length"], told["one-person"]) == (Status.PASS, Status.PASS)


def test_what_eases_carrying_is_tried_first_where_a_check_of_carrying_is_not_met(
    inch: PriceBook, quote: Make
) -> None:  # fmt: skip
    """Of a loft bed its halves; a check of strength is mended by whatever is nearest."""
    made = quote(inch, asked("loft-bed", {}, site={"vehicle_length": "70 in"}))
    [found] = unmet(made.request, inch, designs(), made.holding)
    assert (found.finding.rule, found.singles[0].option) == ("vehicle-length", "in_halves")
    both = [{each.option for each in pair} for pair in pairs(found.singles, found.easing)]
    eased = ["in_halves" in each for each in both]
    assert eased == sorted(eased, reverse=True) and 0 < sum(eased) < len(eased)
    assert sorted(map(str, pairs(found.singles))) == sorted(map(str, pairs(found.singles, found.easing)))
    assert easing(designs()["loft-bed"], "bending") == frozenset()
    assert easing(designs()["bench"], "vehicle-length") == frozenset()


def test_no_way_out_of_one_line_has_another_fail(inch: PriceBook, quote: Make) -> None:
    """A 2x6 rail is light enough, but without the trip for the 4x6 the other bed is cut from a yard's weak boards."""
    beds = [("slatted-bed", {"mattress": "twin", "rail": "4x6"}), ("low-platform", {"mattress": "eu-80"})]

    def told(first: dict[str, str], **rest: Any) -> Quote:
        lines = [{"design": name, "options": {**options}} for name, options in beds]
        lines[0]["options"] = {**beds[0][1], **first}
        return quote(inch, {"lines": lines, "lumber": {"must_hold": "no"}, "site": {"one_person": "14 kg"}, **rest})

    def failing(made: Quote) -> set[tuple[int, str]]:
        return {(number, each.rule) for number, each in made.findings if each.status in BAD}

    [found] = told({}, ways_out="yes").ways_out
    assert (found.line, found.finding.rule, failing(told({}))) == (0, "one-person", set())
    assert failing(told({"rail": "2x6"})) == {(1, "bending")}, "else this shows nothing"
    ways = [{each.option: each.after for each in way.changes} for way in found.ways]
    assert ways and {"rail": "2x6"} not in ways
    assert [failing(told(way)) for way in ways] == [set()] * len(ways)


def test_what_nothing_helps_is_told_with_what_was_tried(inch: PriceBook, quote: Make) -> None:
    """No option makes a queen bed so short that it goes into a small car."""
    made = quote(inch, asked("low-platform", {"mattress": "twin"}, site={"vehicle_length": "30 in"}, ways_out=True))
    [found] = [each for each in quote_json(made)["ways_out"] if each["rule"] == "vehicle-length"]
    assert found["ways"] == [] and found["tried_single"] > 20 and found["tried_pairs"] > 0 and found["cut_short"]


def test_back_to_what_is_usual_comes_before_all_other_changes(inch: PriceBook) -> None:
    design, request = designs()["daybed"], read_request(asked("daybed", {}), inch, designs())
    odd = {"ledger": "2x12", "arm_height": "14 in", "screw_size": "#12"}
    usual = {each.name: each.describe(reading_of(inch, request))["default"] for each in design.options}
    first = single_changes(design, odd, request, inch)[: len(odd)]
    assert {each.option: each.after for each in first} == {
        "ledger": usual["ledger"], "arm_height": usual["arm_height"]["text"], "screw_size": usual["screw_size"],
    }  # fmt: skip


def test_no_way_out_goes_below_what_is_usual(inch: PriceBook) -> None:
    for design in designs().values():
        request = read_request(asked(design.name, {}), inch, designs())
        reading = reading_of(inch, request)
        for change in single_changes(design, {}, request, inch):
            option = next(each for each in design.options if each.name == change.option)
            usual = option.start(reading)
            if isinstance(option, Section):
                other = option.read(change.after, reading)
                assert other.thickness >= usual.thickness and other.width >= usual.width
            assert not option.stays
            assert change.option not in ("market", "mattress", "work", "finish")
        sizes = [change.after for change in single_changes(design, {}, request, inch) if change.option == "bolt_size"]
        assert "1/4 in" not in sizes and "5/16 in" not in sizes


def test_what_may_be_changed_is_what_the_options_of_anybodys_design_declare(inch: PriceBook) -> None:
    """Sizes of bolts go no lower than usual, and what stays is changed neither to mend a check nor to save."""
    mine = (
        Choice("through", "Bolts.", choices=("1/4 in", "3/8 in", "1/2 in"), default="3/8 in", fastener="bolt"),
        Choice("colour", "Paint.", choices=("white", "green"), default="white"),
        Flag("lid", "A lid.", default=True),
    )
    chest = replace(designs()["bench"], options=mine)
    request = read_request(asked("bench", {}), inch, designs())

    def told(of: Design) -> tuple[list[tuple[str, str]], list[str], list[str]]:
        changes = [(each.option, each.after) for each in single_changes(of, {}, request, inch)]
        return changes, may_save(of, ()), usually_open(of)

    assert told(chest) == (
        [("through", "1/2 in"), ("colour", "green"), ("lid", "no")], ["colour", "lid", "through"], ["through", "lid"],
    )  # fmt: skip
    kept = replace(chest, options=tuple(replace(each, stays=True) for each in mine))
    assert told(kept) == ([], [], [])


def test_nothing_is_looked_for_unless_it_is_asked(inch: PriceBook, quote: Make) -> None:
    assert (
        quote_json(quote(inch, asked("slatted-bed", {"centre_support": "none", "mattress": "king"})))["ways_out"] == []
    )


CHANGES = tuple(Change(f"option_{number}", "a", "b", 1) for number in range(6))


def looked(tried: Callable[[tuple[Change, ...]], Seen], limits: Limits, at_once: int = 1) -> WaysOut:
    """Look through six changes and their pairs, so many of them tried at once, whatever is asked for of them."""
    finding = compare("slat-span", "practice", 2, "<=", 1, ("good", "bad"), ())
    asked = Unmet(0, finding, frozenset(), CHANGES, better_boards=False)

    def run(trials: Iterable[Trial]) -> Iterator[Seen]:
        waiting = iter(trials)
        while some := [*islice(waiting, at_once)]:
            yield from [tried(each.changes) for each in some]

    return out_of(asked, run, limits)


def way(changes: tuple[Change, ...], total: int) -> Way:
    return Way(changes, total, 1, 1, 1)


@pytest.mark.parametrize("at_once", [1, 4, 50])
def test_the_search_ends_by_its_steps_however_many_are_tried_at_once(at_once: int) -> None:
    none = looked(lambda _: Seen(None, 2), Limits(21, 21), at_once)
    assert (none.singles, none.pairs, none.cut_short) == (6, 5, True)
    whole = looked(lambda _: Seen(None, 2), Limits(999, 999), at_once)
    assert (whole.singles, whole.pairs, whole.cut_short) == (6, 15, False)
    more = looked(lambda each: Seen(way(each, 5) if each[0] is CHANGES[1] else None, 2), Limits(99, 4), at_once)
    assert (more.singles, len(more.ways), more.cut_short) == (4, 1, True)


def test_of_changes_with_the_same_figures_the_nearest_is_told_and_pairs_only_where_no_change_is_enough() -> None:
    alike = looked(lambda each: Seen(way(each, 5), 1), Limits(99, 99))
    assert ([each.changes for each in alike.ways], alike.singles, alike.pairs) == ([(CHANGES[0],)], 6, 0)
    both = looked(lambda each: Seen(way(each, 5) if len(each) == 2 else None, 1), Limits(99, 99))
    assert ([len(each.changes) for each in both.ways], both.pairs) == ([2], 1)


def test_a_search_that_a_clock_ends_says_so(inch: PriceBook, quote: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sawbill.quoting.ways_out.search.EMERGENCY", -1.0)
    made = quote(inch, asked("slatted-bed", {"mattress": "king", "centre_support": "none"}, ways_out=True))
    assert all(each.cut_short and each.late and each.singles <= 1 for each in made.ways_out)
    assert not made.proof.lasting
