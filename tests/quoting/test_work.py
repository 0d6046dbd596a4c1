"""The work of a request: several lines, own parts, the maker's own rates, over HTTP as well."""

from typing import Any

import pytest

from sawbill.asked.request import RequestFaultsError, read_request
from sawbill.buying.takeoff import take_off
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.work import Work, work_of
from sawbill.registry import designs

SHELF = {"label": "shelf", "parts": [{"section": "1x8", "length": "30 in", "quantity": 3}], "quantity": 2}
BED = {"label": "bed", "design": "slatted-bed", "quantity": 2}


@pytest.fixture(scope="module")
def book() -> PriceBook:
    return Shelf(sample_folder()).get("sample-inch")


def work(book: PriceBook, **raw: Any) -> Work:
    request = read_request(raw, book, designs())
    return work_of(request, take_off(request.lines, request.shop.rounding_step), {}, "inch")


def test_own_parts_are_cut_and_no_more(book: PriceBook) -> None:
    made = work(book, lines=[SHELF], rates={"saw_setup": 5, "mark": "1 min", "cut": "60 s"})
    assert [each.step.title for each in made.steps] == ["Measure, mark and cut"]
    assert (made.hands_on.least, made.hands_on.most) == (5 + 6 * 2, 5 + 6 * 2), "one stop, 6 parts"
    assert "saw for cross cuts" in [tool.name for tool in made.tools]


def test_a_line_of_hardware_alone_makes_no_work(book: PriceBook) -> None:
    made = work(book, lines=[{"hardware": [{"item": "hex nut", "size": "3/8 in"}]}])
    assert (made.steps, made.tools) == ((), ())


def test_the_steps_of_each_line_follow_each_other_and_their_times_add_up(book: PriceBook) -> None:
    made = work(book, lines=[BED, SHELF])
    assert [each.line for each in made.steps] == sorted(each.line for each in made.steps)
    assert made.steps[-1].line == 1
    assert sum(time.most for time in made.times.values()) == sum(each.hands_on.most for each in made.steps)
    assert made.waiting.least == sum(each.waiting.least for each in made.steps)
    assert len({(tool.name, tool.size) for tool in made.tools}) == len(made.tools)


def test_finishing_and_taking_apart_are_told_by_themselves(book: PriceBook) -> None:
    made = work(book, lines=[{**BED, "options": {**BED.get("options", {}), "finish": "oil"}}])
    by_title = {each.step.title: each for each in made.steps}
    assert made.times["finishing"] == by_title["Finish"].hands_on
    assert made.times["taking-apart"] == by_title["Take apart"].hands_on
    assert made.paid(("making", "finishing")) == made.hands_on + by_title["Finish"].hands_on
    others = [each for each in made.steps if each.step.title not in ("Finish", "Take apart")]
    assert made.hands_on.least == sum(each.hands_on.least for each in others)


def test_what_two_do_together_takes_half_as_long_and_taking_apart_is_no_part_of_it(book: PriceBook) -> None:
    made = work(book, lines=[BED])
    reckoned = sum(
        each.hands_on.most / each.step.people + each.waiting.most
        for each in made.steps if each.step.title != "Take apart"
    )  # fmt: skip
    assert made.elapsed.most == reckoned
    assert {each.step.people for each in made.steps} == {1, 2}


def test_steps_name_parts_of_the_cut_list_of_their_line(book: PriceBook) -> None:
    request = read_request({"lines": [SHELF, BED]}, book, designs())
    off = take_off(request.lines, request.shop.rounding_step)
    ids = {number: {cut.id for cut in off.cut_list if cut.line == number} for number in (0, 1)}
    for each in work_of(request, off, {}, "inch").steps:
        assert set(each.step.parts) <= ids[each.line]


def test_every_faulty_rate_is_told_at_once(book: PriceBook) -> None:
    raw = {"lines": [SHELF], "rates": {"cutt": 2, "cut": "soon", "drill": -1, "sand": 3}}
    with pytest.raises(RequestFaultsError) as caught:
        read_request(raw, book, designs())
    assert [(fault.pointer, fault.code) for fault in caught.value.faults] == [
        (("rates", "cutt"), "unknown-rate"), (("rates", "cut"), "not-a-time"), (("rates", "drill"), "out-of-range"),
    ]  # fmt: skip
    assert "did you mean cut?" in caught.value.faults[0].detail


def test_a_practised_pair_makes_the_queen_bed_in_about_two_hours_beside_glue_drying(book: PriceBook) -> None:
    """Common practice, no source: without finish, and both work all the time."""
    made = work(book, lines=[{"design": "slatted-bed", "options": {"mattress": "queen", "finish": "none"}}])
    of_a_pair = (made.hands_on.least + made.hands_on.most) / 2 / 2
    assert 90 <= of_a_pair <= 150
    assert made.elapsed.least >= made.waiting.least + made.hands_on.least / 2, "what passes is not what is worked"
