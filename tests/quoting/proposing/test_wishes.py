"""What a proposal says of wishes: what each costs, which is in the way, what is near; and how its words are read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

import pytest

from sawbill.answer.proposed import proposal_json, proposal_text
from sawbill.asked.request import RequestFaultsError
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Common
from sawbill.quoting.proposing import Proposal, propose, read_proposal
from sawbill.quoting.proposing.looking import Batch, Known
from sawbill.quoting.proposing.pool import Pool
from sawbill.quoting.quote import Quote
from sawbill.registry import designs

Raw = dict[str, Any]
Make = Callable[[PriceBook, Raw], Quote]
BED: Raw = {
    "designs": ["slatted-bed"], "options": {"mattress": "twin"},
    "open": {"rail": ["2x6", "2x8"], "doubled_middle": "any", "bolt_size": ["5/16 in", "3/8 in"]},
}  # fmt: skip


@pytest.fixture(scope="module")
def made(inch: PriceBook) -> Proposal:
    return propose({**BED, "wishes": {"mass": {"most": "45 kg"}}}, [inch], designs())


def faults(inch: PriceBook, **changed: Any) -> dict[tuple[Any, ...], str]:
    with pytest.raises(RequestFaultsError) as caught:
        propose({**BED, **changed}, [inch], designs())
    return {fault.pointer: fault.code for fault in caught.value.faults}


def test_every_proposal_is_what_its_quote_says(made: Proposal, inch: PriceBook, quote: Make) -> None:
    for told in proposal_json(made, [inch])["proposals"]:
        again = quote(inch, {key: value for key, value in told["request"].items() if key != "price_book"})
        assert f"{again.totals.total / 100:.2f}" == told["total"]
        assert {each["option"] for each in told["changes"]} <= BED["open"].keys()


def test_what_it_saves_is_less_than_what_is_usual_costs(made: Proposal, inch: PriceBook, quote: Make) -> None:
    usual = quote(inch, {"lines": [{"design": "slatted-bed", "options": BED["options"]}]}).totals.total
    assert [row.saves for row in made.rows] == [usual - row.found.figures.total for row in made.rows]
    assert made.rows[0].saves > 0


def test_proposals_are_apart_and_the_best_comes_first(made: Proposal) -> None:
    totals = [row.found.figures.total for row in made.rows]
    assert totals == sorted(totals) and len(totals) > 1
    for i, row in enumerate(made.rows):
        assert all(row.spot.apart(other.spot) >= 2 for other in made.rows[:i])


def test_a_wish_never_makes_it_cheaper(made: Proposal) -> None:
    for each in made.wishes:
        assert each.without is not None
        assert each.without.found.figures.total <= made.rows[0].found.figures.total


def test_what_is_in_the_way_is_told_with_the_nearest(inch: PriceBook) -> None:
    """No bed of these weighs 20 kg: the lightest is told, and that nothing else is in the way."""
    none = propose({**BED, "wishes": {"mass": {"most": "20 kg"}}}, [inch], designs())
    mass = next(each for each in none.wishes if each.wish.name == "mass")
    assert not none.rows and mass.without is not None and mass.value == mass.without.found.figures.mass_g
    answer = proposal_json(none, [inch])
    assert "the nearest with failed checks, new warnings kept is" in proposal_text(answer, "inch")


def test_the_same_request_gives_the_same_answer(made: Proposal, inch: PriceBook) -> None:
    again = propose({**BED, "wishes": {"mass": {"most": "45 kg"}}}, [inch], designs())
    assert proposal_json(again, [inch]) == proposal_json(made, [inch])


def test_options_are_opened_by_lists_ranges_and_words(inch: PriceBook) -> None:
    from sawbill.quoting.proposing import read_proposal

    def values(**opened: Any) -> list[tuple[Any, ...]]:
        asked = read_proposal({**BED, "open": opened}, [inch], designs())
        return [each.values for each in asked.grid.tables[0].opened]

    assert values(clear_height="8 in to 10 in by 1 in") == [("8 in", "9 in", "10 in")]
    assert values(clear_height={"from": "8 in", "to": "9 in", "step": "1/2 in"}) == [("8 in", "8 1/2 in", "9 in")]
    assert values(rail="2x6, 2x8") == [("2x6", "2x8")]
    assert values(rail=["2x6", "2 x 6"]) == [("2x6",)]
    assert values(doubled_middle="any") == [("yes", "no")]
    assert values(bolt_size="near") == [("3/8 in", "1/2 in")]
    usual = read_proposal({key: value for key, value in BED.items() if key != "open"}, [inch], designs())
    assert [each.name for each in usual.grid.tables[0].opened] == ["rail", "ledger", "end_board", "post", "slat"]


def test_every_fault_is_told_at_once(inch: PriceBook) -> None:
    told = faults(
        inch, wishes={"mass": {"most": "heavy"}, "colour": {"most": "1"}}, make_least="joy", proposals=0, quantity=0,
    )  # fmt: skip
    assert told == {
        ("wishes", "mass", "most"): "not-a-bound", ("wishes", "colour"): "unknown-key",
        ("make_least",): "not-a-choice", ("proposals",): "out-of-range", ("quantity",): "out-of-range",
    }  # fmt: skip
    opened = {"rail": "3x99", "slat": "any"}
    told = faults(inch, options={"mattress": "vast"}, open=opened, make_least="joy", quantity=0)
    assert told == {
        ("options", "mattress"): "unknown-mattress", ("open", "rail"): "unknown-section",
        ("make_least",): "not-a-choice", ("quantity",): "out-of-range",
    }  # fmt: skip
    assert faults(inch, open={"rail": ["2x6", "3x99"]}) == {("open", "rail", 1): "unknown-section"}
    assert faults(inch, open={"mattress": ["twin"]}) == {("open", "mattress"): "not-both"}
    assert faults(inch, open={"clear_height": "10 in to 8 in"}) == {("open", "clear_height"): "not-a-range"}
    lengths = dict.fromkeys(("headboard_rise", "footboard_rise", "clear_height", "slat_gap"), "any")
    assert faults(inch, open=lengths) == {("open",): "too-many-combinations"}


WEAK: Raw = {
    "designs": ["slatted-bed"], "options": {"mattress": "queen"},
    "open": {"slat": ["1x4", "2x4"], "ledger": ["2x2", "2x3", "2x4"], "centre_support": ["none", "beam"]},
}  # fmt: skip


def test_what_processes_are_asked_is_the_same_however_many_there_are(inch: PriceBook) -> None:
    """One may be asked after another has answered, or all before any has: both know as much of what others fail by."""

    def asked(*, ahead: bool) -> list[tuple[Batch, list[Known]]]:
        told: list[tuple[Batch, list[Known]]] = []

        def run(function: Callable[[Any, Any], Any], shared: Any, items: Iterable[Any]) -> Iterator[Any]:
            for item in list(items) if ahead else items:
                told.append((item, function(shared, item)))
                yield told[-1][1]

        proposed = read_proposal(WEAK, [inch], designs())
        pool = Pool(proposed.grid, Common([inch], proposed.common), run, lambda _: None)
        for _ in range(2):
            pool.look("check", [(number, None) for number in range(proposed.grid.size)])
        return told

    one_by_one = asked(ahead=False)
    assert one_by_one == asked(ahead=True)
    assert len(one_by_one) > 3 and one_by_one[-1][0].weaknesses, "else this shows nothing"
