"""What a form shows of all that may be asked: headings, labels, and values that may be written as they are told."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest

from sawbill.asked.pricing import PRICING
from sawbill.asked.request import QUOTE, SITE
from sawbill.asked.wood import LUMBER_THAT_HOLDS
from sawbill.prices.shop import SHOP
from sawbill.registry import designs
from sawbill.trade import option
from sawbill.trade.declaring import headings
from sawbill.trade.declaring.headings import Heading, by_heading
from sawbill.trade.declaring.members import Group, Member
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.design import SYSTEMS, Design
from sawbill.trade.lengths import INCH, System, exact_length

MEMBERS = (*SHOP.values(), *SITE.members.values(), *PRICING.members.values(), *LUMBER_THAT_HOLDS.members.values())
READABLE = [each for each in MEMBERS if each.name not in ("species", "grades", "labour_for")]
BY_SYSTEM = [(each, system) for each, system in itertools.product(READABLE, SYSTEMS)]
IDS = [f"{each.name} {system}" for each, system in BY_SYSTEM]


def reading(system: System) -> Reading:
    return Reading(system, lambda role: "2x4")


@pytest.mark.parametrize(("member", "system"), BY_SYSTEM, ids=IDS)
def test_the_least_and_the_most_that_a_form_tells_may_be_asked_for(member: Member, system: System) -> None:
    told = member.kind.describe(system)
    assert told["unit"]
    if "least" in told:
        least, most = (member.kind.read(member.name, told[end], reading(system)) for end in ("least", "most"))
        assert least < most


@pytest.mark.parametrize(("member", "system"), BY_SYSTEM, ids=IDS)
def test_a_value_is_written_as_it_may_be_asked_for(member: Member, system: System) -> None:
    read = member.kind.read(member.name, member.example, reading(system))
    text = member.kind.text(read, system)
    again = int(text) if text.isdigit() else text
    assert member.kind.read(member.name, again, reading(system)) == read


def test_a_length_is_written_exactly_in_either_system() -> None:
    assert exact_length(INCH * 3 // 32, "inch") == "3/32 in"
    assert exact_length(2 * INCH + 1, "inch") == "50.800001 mm"
    assert exact_length(INCH, "metric") == "25.4 mm"


@pytest.mark.parametrize("design", designs().values(), ids=designs())
def test_no_two_options_of_a_design_are_called_alike(design: Design) -> None:
    assert Counter(each.label for each in design.options).most_common(1)[0][1] == 1


def test_what_a_request_holds_stands_under_headings_of_its_own() -> None:
    alone = [each for each in QUOTE.members.values() if not isinstance(each.kind, Group)]
    strays = {each.name for each in (*MEMBERS, *alone) if each.heading == headings.WHAT}
    assert strays == {"lines", "label"}, "what is made, and what it is called"


def test_a_design_may_have_headings_of_its_own_in_the_order_of_its_options() -> None:
    drawers = Heading("Drawers", "unset: none")
    count = option.Count("drawers", "How many.", default=0, least=0, most=3, heading=drawers)
    width, rail = option.Length("width", "How wide.", INCH, 0, INCH), option.Section("rail", "The rail.", "rail")
    depth = option.Length("depth", "How deep.", INCH, 0, INCH, label="From front to back")
    assert by_heading([count, width, rail, depth]) == {
        drawers: [count], headings.SIZE: [width, depth], headings.BOARDS: [rail],
    }  # fmt: skip
    assert drawers.told == "Drawers; unset: none"
    assert [each.label for each in (count, depth)] == ["Drawers", "From front to back"]
