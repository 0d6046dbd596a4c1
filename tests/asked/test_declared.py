"""What is declared of requests, member by member: it describes itself, its example may be, and its bounds hold."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest

from sawbill.asked.request import CUTTING_PLAN, QUOTE
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.asked import COMPARISON
from sawbill.trade.declaring.kinds import Kind, Length, Mass, Number, Share, Whole
from sawbill.trade.declaring.members import Either, Group, Member, Rows
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.lengths import MM


def listed(group: Group, at: str) -> Iterator[tuple[str, Member]]:
    """Every member of a group and of the groups in it, with where it stands."""
    for name, member in group.members.items():
        yield f"{at} {name}", member
        inner: Kind = member.kind.inner if isinstance(member.kind, Rows) else member.kind
        inner = inner.group if isinstance(inner, Either) else inner
        if isinstance(inner, Group):
            yield from listed(inner, f"{at} {name}")


MEMBERS = dict(each for group in (QUOTE, CUTTING_PLAN, COMPARISON) for each in listed(group, group.title))


def written(kind: Kind, bound: Any) -> Any:
    """A bound as a caller writes it."""
    if isinstance(kind, Length):
        return f"{bound // MM}.{bound % MM:06d} mm"
    if isinstance(kind, Mass):
        return f"{bound} g"
    if isinstance(kind, Share):
        return f"{(bound * 100).normalize():f} %"
    return f"{bound:f}" if isinstance(kind, Number) else bound


def bounds(kind: Kind) -> Iterator[tuple[Any, bool]]:
    """The values at the bounds of a kind and just beyond them, and whether they may be."""
    smallest: Any = {Share: Decimal("0.000001"), Number: Decimal("0.0001")}.get(type(kind), 1)
    if isinstance(kind, Length | Mass | Number | Share | Whole):
        least = Decimal(0) if isinstance(kind, Share) else kind.least
        yield from ((least, True), (kind.most, True), (kind.most + smallest, False))
        if least > 0:
            yield least - smallest, False


@pytest.fixture(scope="module")
def reading(inch: PriceBook) -> Reading:
    return Reading(inch.units, inch.usual_section, inch.section)


@pytest.mark.parametrize("place", MEMBERS)
def test_a_member_says_what_it_is_and_its_example_may_be(reading: Reading, place: str) -> None:
    member = MEMBERS[place]
    assert member.help.endswith("."), place
    if member.example is not None:
        assert member.kind.check(member.example) is None
    if member.example is not None and not member.late and not isinstance(member.kind, Rows):
        member.kind.read(member.name, member.example, reading)


@pytest.mark.parametrize(
    ("place", "bound", "may_be"),
    [(place, *each) for place, member in MEMBERS.items() for each in bounds(member.kind)],
)
def test_a_member_is_taken_at_its_bounds_and_refused_beyond(
    reading: Reading, place: str, bound: Any, may_be: bool
) -> None:
    kind = MEMBERS[place].kind
    raw = written(kind, bound)
    assert kind.check(raw) is None
    if may_be:
        assert kind.read("it", raw, reading) == bound
    else:
        with pytest.raises(OptionError) as refused:
            kind.read("it", raw, reading)
        assert refused.value.code == "out-of-range"
