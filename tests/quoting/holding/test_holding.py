"""Boards that hold: what is bought, what that costs, and what is said of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import pytest

from sawbill.answer.quote import quote_json
from sawbill.checks.finding import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import read_comparison
from sawbill.quoting.comparing.comparison import compare, figures_of
from sawbill.quoting.quote import Quote
from sawbill.registry import designs

Make = Callable[[PriceBook, dict[str, Any]], Quote]
ANY = {"must_hold": False}


def asked(design: str, options: Mapping[str, str], **rest: Any) -> dict[str, Any]:
    return {"lines": [{"design": design, "options": dict(options)}], **rest}


def failing(quote: Quote) -> set[str]:
    return {each.rule for _, each in quote.findings if each.status in (Status.FAIL, Status.UNRECKONED)}


def kinds_bought(quote: Quote) -> set[tuple[str | None, str | None]]:
    return {(boards.wood.species, boards.wood.grade) for boards in quote.purchase.boards.cut}


def without(book: PriceBook, *woods: tuple[str, str]) -> PriceBook:
    return replace(book, lumber=tuple(each for each in book.lumber if (each.species, each.grade) not in woods))


@pytest.mark.parametrize(
    ("design", "options", "rules", "free", "paid"),
    [
        ("daybed", {"mattress": "king"}, {"pushed-boards"}, 205_93, 206_05),
        ("daybed", {"mattress": "full", "centre_support": "beam"}, {"bending"}, 170_49, 170_62),
        ("daybed", {"mattress": "twin-xl"}, {"bending"}, 140_56, 140_70),
        ("low-platform", {"mattress": "eu-80"}, {"bending"}, 92_93, 92_99),
    ],
)
def test_what_wood_on_sale_mends_is_mended_at_the_least_cost(
    inch: PriceBook, quote: Make, design: str, options: Mapping[str, str], rules: set[str], free: int, paid: int
) -> None:
    cheapest = quote(inch, asked(design, options, lumber=ANY))
    assert failing(cheapest) == rules and cheapest.totals.total == free
    made = quote(inch, asked(design, options))
    assert not failing(made) and made.totals.total == paid
    assert made.proof.gap == 0
    told = quote_json(made)["holding"]
    assert (told["holds"], told["unmended"]) == (True, [])
    assert {each["rule"] for each in told["failed"]} == rules
    assert (told["cheapest_total"], told["costs"]) == (f"{free / 100:.2f}", f"{(paid - free) / 100:.2f}")


def test_what_it_costs_is_the_first_thing_said(inch: PriceBook, quote: Make) -> None:
    made = quote(inch, asked("daybed", {"mattress": "king"}))
    first = made.warnings[0]
    assert (first.code, first.severity) == ("boards-that-hold", "note")
    assert first.message.startswith("These boards hold, and cost 0.12 USD more than the cheapest, with which: the end")
    assert "choose" not in first.message, "nothing is advised that was not tried"
    told = quote_json(made)
    end = next(each for each in told["holding"]["failed"] if each["rule"] == "pushed-boards")
    assert {"section": "2x4", "species": "SPF", "grade": "Stud"} in end["boards"]
    names = {row["part"]: row["name"] for row in told["cut_list"]}
    assert {names[part] for part in end["parts"]} == {"end board"}


def test_a_trip_that_it_takes_is_told_apart(inch: PriceBook, quote: Make) -> None:
    """Where one yard sells no graded boards but studs, better ones are fetched from another."""
    book = without(inch, ("SPF", "No.2"))
    bed = asked("low-platform", {"mattress": "california-king"})
    cheapest, made = quote(book, {**bed, "lumber": ANY}), quote(book, bed)
    assert failing(cheapest) and not failing(made)
    told = quote_json(made)
    trips = made.totals.trips - cheapest.totals.trips
    assert trips > 0 and told["holding"]["costs_trips"] == f"{trips / 100:.2f}"
    assert told["holding"]["costs"] == f"{(made.totals.total - cheapest.totals.total) / 100:.2f}"
    assert f"Trips and deliveries cost {trips / 100:.2f} USD more." in told["warnings"][0]["message"]


def test_what_no_wood_on_sale_mends_is_said_first_and_the_rest_holds(inch: PriceBook, quote: Make) -> None:
    """Of a daybed whose bolts no wood makes stronger, the boards that bend too far are mended all the same."""
    poor = without(inch, ("SPF", "No.2"), ("Hem-Fir", "No.2"), ("Douglas Fir-Larch", "No.1"))
    poor = without(poor, ("Douglas Fir-Larch", "No.2"))
    made = quote(poor, asked("daybed", {"mattress": "king"}))
    first = made.warnings[0]
    assert (first.code, first.severity) == ("no-boards-hold", "warn")
    told = quote_json(made)["holding"]
    assert not told["holds"] and {each["rule"] for each in told["unmended"]} == failing(made)


def test_a_bed_that_holds_at_once_is_bought_once(inch: PriceBook, quote: Make) -> None:
    made = quote(inch, asked("slatted-bed", {"mattress": "queen"}))
    assert made.holding.purchases == 1 and made.holding.bought is made.holding.free
    assert quote_json(made)["holding"]["failed"] == []
    assert made.warnings[0].code == "price-sample"


def test_unknown_wood_is_never_bought_for_what_known_wood_would_hold(inch: PriceBook, quote: Make) -> None:
    """Ungraded boards a cent cheaper: the cheapest boards are of them, and no part that carries is."""
    cheap = [
        replace(each, grade="2 Common", each=each.each - 1, item_code=f"{each.item_code}-C")
        for each in inch.lumber if (each.species, each.grade) == ("SPF", "No.2")
    ]  # fmt: skip
    book = replace(inch, lumber=(*inch.lumber, *cheap))
    bed = asked("low-platform", {"mattress": "california-king"})
    assert ("SPF", "2 Common") in kinds_bought(quote(book, {**bed, "lumber": ANY}))
    made = quote(book, bed)
    assert not failing(made)
    unknown = {cut.id for cut in made.take_off.cut_list for wood in made.woods[cut.id] if wood.grade is None}
    assert not unknown
    carried = {key for _, each in made.findings for key in each.parts}
    common = [cut for cut in made.take_off.cut_list for wood in made.woods[cut.id] if wood.grade.name == "2 Common"]
    assert not carried & {key for cut in common for key in cut.keys}


def test_boards_on_hand_without_a_grade_do_not_hold(inch: PriceBook, quote: Make) -> None:
    """They are free, and still nothing that carries is cut from them; with a grade they are."""
    board = {"section": "2x6", "length": "12 ft", "quantity": 4, "species": "SPF"}
    bed = asked("slatted-bed", {"mattress": "twin"})
    plain = quote(inch, bed)
    unknown = quote(inch, {**bed, "on_hand": [board]})
    assert not failing(unknown) and unknown.totals.total <= plain.totals.total
    known = quote(inch, {**bed, "on_hand": [{**board, "grade": "No.2"}]})
    assert not failing(known) and known.totals.total < unknown.totals.total
    assert "unknown-strength" in failing(quote(inch, {**bed, "on_hand": [board], "lumber": ANY}))


def test_several_beds_are_bought_together_so_that_all_hold(inch: PriceBook, quote: Make) -> None:
    line = {"design": "daybed", "options": {"mattress": "king"}, "quantity": 3}
    made = quote(inch, {"lines": [line, {"design": "low-platform", "options": {"mattress": "eu-80"}}]})
    assert not failing(made)
    alone = [quote(inch, {"lines": [each]}).totals.total for each in made_lines(line)]
    assert made.totals.total < sum(alone)
    keys = [key for cut in made.take_off.cut_list if cut.line == 0 for key in cut.keys]
    assert sorted(keys) == sorted(made.request.lines[0].frame.by_key), "every part is in one line of the cut list"
    assert all(cut.quantity == 3 * len(cut.keys) for cut in made.take_off.cut_list if cut.line == 0)


def made_lines(line: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    return [line, {"design": "low-platform", "options": {"mattress": "eu-80"}}]


def test_the_cut_list_tells_parts_apart_that_may_be_cut_from_other_wood(inch: PriceBook, quote: Make) -> None:
    made = quote(inch, asked("daybed", {"mattress": "eu-120"}))
    cheapest = quote(inch, asked("daybed", {"mattress": "eu-120"}, lumber=ANY))
    assert len(made.take_off.cut_list) == len(cheapest.take_off.cut_list) + 1
    ids = [cut.id for cut in made.take_off.cut_list]
    assert ids == sorted(ids, key=lambda word: (len(word), word)) and len(set(ids)) == len(ids)
    alike: dict[tuple[str, int], list[Any]] = {}
    for cut in made.take_off.cut_list:
        alike.setdefault((cut.name, cut.length), []).append(cut)
    [apart] = [cuts for cuts in alike.values() if len(cuts) > 1]
    assert any(cut.may_be is not None for cut in apart)
    for cut in apart:
        assert cut.may_be is None or set(made.woods[cut.id]) <= set(cut.may_be)
    marks = {mark for row in quote_json(made)["drilling"] for mark in [row["mark"]]}
    assert {mark.rstrip("0123456789") for mark in marks} <= set(ids)


def test_rows_of_a_comparison_hold_as_single_quotes_do(inch: PriceBook, quote: Make) -> None:
    raw = {"designs": ["daybed"], "options": {"mattress": ["king", "twin"]}}
    compared = read_comparison(raw, [inch], designs())
    rows = list(compare(compared.combinations, compared.common, [inch]))
    assert [row.figures.failed_checks for row in rows if row.figures] == [0, 0]
    assert rows[0].figures == figures_of(quote(inch, asked("daybed", {"mattress": "king"})))


def test_own_parts_have_nothing_to_hold(inch: PriceBook, quote: Make) -> None:
    made = quote(inch, {"lines": [{"parts": [{"section": "2x4", "length": "30 in"}]}]})
    assert quote_json(made)["holding"] is None and made.holding.purchases == 1


def test_what_nobody_knows_does_not_hold_though_no_wood_decides_it(inch: PriceBook, quote: Make) -> None:
    """Whether a frame stands that is held at one place alone is not reckoned, in whatever wood."""
    holding = quote(inch, asked("slatted-bed", {"mattress": "queen"})).holding
    [one, *_] = [each for _, each in holding.bought.findings if each.rule == "bending"]
    for rule, holds in (("stands", False), ("held-at-one-place", False), ("room-width", True)):
        told = replace(one, rule=rule, status=Status.UNRECKONED)
        bought = replace(holding.bought, findings=(*holding.bought.findings, (0, told)))
        assert replace(holding, bought=bought).holds == holds and holding.holds


def test_where_something_is_left_it_is_not_said_that_the_boards_hold(inch: PriceBook, quote: Make) -> None:
    poor = without(inch, ("SPF", "No.2"), ("Hem-Fir", "No.2"), ("Douglas Fir-Larch", "No.1"))
    for mattress in ("king", "uk-king", "eu-160"):
        made = quote(poor, asked("daybed", {"mattress": mattress}))
        leads = [notice.message for notice in made.warnings if notice.code == "boards-that-hold"]
        assert made.holding.holds or not any(lead.startswith("These boards hold") for lead in leads)
