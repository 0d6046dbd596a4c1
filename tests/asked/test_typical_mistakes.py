"""Thirty things that people type and no rule asks for: what each is read as, or the message that names what is right.

Which mistakes are typical is common practice, no source. Each goes the whole way, from a request to what is built.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from sawbill.asked.request import Request, RequestFault
from sawbill.prices.pricebook import PriceBook

Raw = dict[str, Any]


def bed(**options: object) -> Raw:
    return {"lines": [{"design": "slatted-bed", "options": options}]}


def part(**changes: object) -> Raw:
    return {"lines": [{"parts": [{"section": "2x4", "length": "30 in", **changes}]}]}


def shop(**changes: object) -> Raw:
    return {**part(), "shop": changes}


def site(**changes: object) -> Raw:
    return {**part(), "site": changes}


READ: list[tuple[Raw, Raw]] = [  # what is typed, and what it is read as
    (bed(clear_height="10 in."), bed(clear_height="10 in")),
    (bed(clear_height="10 1\u20442 in"), bed(clear_height="10-1/2 in")),
    (bed(clear_height='10"'), bed(clear_height="10 in")),
    (bed(clear_height="250 millimetres"), bed(clear_height="250 mm")),
    (bed(clear_height="25 cm."), bed(clear_height="250 mm")),
    (bed(mattress="Queen"), bed(mattress="queen")),
    (bed(mattress="cal king"), bed(mattress="california-king")),
    (bed(mattress="double"), bed(mattress="full")),
    (bed(mattress="140x200 cm"), bed(mattress="140 cm x 200 cm")),
    (bed(mattress='60" x 80"'), bed(mattress="60 in x 80 in")),
    (bed(bolt_size='3/8"'), bed(bolt_size="3/8 in")),
    (bed(rail="2 x 6"), bed(rail="2x6")),
    (bed(rail="2X6"), bed(rail="2x6")),
    (site(one_person="50 lbs"), site(one_person="50 lb")),
    (site(one_person="50 pounds"), site(one_person="50 lb")),
    (site(one_person="20 kgs"), site(one_person="20 kg")),
    (site(indoors="on"), site(indoors=True)),
    (site(indoors="1"), site(indoors=True)),
    (site(ceiling="8'"), site(ceiling="8 ft")),
    (part(length="2 ft 6 in"), part(length="30 in")),
]
ANSWERED: list[tuple[Raw, str]] = [  # what is typed, and what the message says would be right
    (part(length="2,5 in"), "2.5 in"),
    (part(length="30"), "no unit"),
    (part(section="2x44"), "2x4"),
    (part(quantity="2"), "whole number"),
    (bed(clear_hieght="8 in"), "did you mean clear_height?"),
    (bed(mattress="qeen"), "queen"),
    (bed(mattress="60x80"), "no unit"),
    ({"lines": [{"design": "slated-bed"}]}, "slatted-bed"),
    (shop(kerf="1/8"), "no unit"),
    (site(celing="8 ft"), "did you mean ceiling?"),
]


def test_they_are_thirty() -> None:
    typed = [str(raw) for raw, _ in (*READ, *ANSWERED)]
    assert len(set(typed)) == len(typed) == 30


@pytest.mark.parametrize(("typed", "meant"), READ)
def test_what_is_plain_is_read(
    inch: PriceBook, ask: Callable[[PriceBook, Raw], Request], typed: Raw, meant: Raw
) -> None:
    read, right = ask(inch, typed), ask(inch, meant)
    assert (read.lines, read.site) == (right.lines, right.site)


@pytest.mark.parametrize(("typed", "right"), ANSWERED)
def test_what_is_not_is_answered_with_what_would_be_right(
    inch: PriceBook, faults_of: Callable[[PriceBook, Raw], tuple[RequestFault, ...]], typed: Raw, right: str
) -> None:
    [fault] = faults_of(inch, typed)
    assert right in fault.detail
