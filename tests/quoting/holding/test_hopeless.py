"""What is sure not to hold: the same whatever is looked for first, and never of a bed whose boards hold."""

from __future__ import annotations

from itertools import product

from sawbill.asked.request import read_request
from sawbill.buying.suppliers import until
from sawbill.buying.takeoff import take_off
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.holding import held
from sawbill.quoting.holding.hopeless import Verdict, Weakness, fails_in_any_wood
from sawbill.quoting.holding.strongest import strongest
from sawbill.registry import designs


def verdict(book: PriceBook, known: list[Weakness], **options: str) -> tuple[Verdict, bool]:
    """The verdict on a queen bed, and whether the boards bought for it hold."""
    raw = {"lines": [{"design": "slatted-bed", "options": {"mattress": "queen", **options}}]}
    request = read_request(raw, book, designs())
    [line] = request.lines
    assert line.frame is not None
    off, strong = take_off(request.lines, request.shop.rounding_step), strongest(line, request, book)
    found = fails_in_any_wood(line.frame, off, request, book.lumber, strong, known)
    return found, held(off, request, book, until(300)).holds


def test_weaknesses_of_others_change_no_verdict_and_what_fails_is_never_bought_so_that_it_holds(
    inch: PriceBook,
) -> None:
    """Of beds whose slats, ledgers and support differ; every weakness met is looked for in all that follow."""
    known: list[Weakness] = []
    fails = set()
    for slat, ledger, support in product(("1x4", "2x4"), ("2x3", "2x4"), ("beam", "beam and leg")):
        options = {"slat": slat, "ledger": ledger, "centre_support": support}
        alone, holds = verdict(inch, [], **options)
        beside, _ = verdict(inch, known, **options)
        assert alone.fails == beside.fails
        assert not (alone.fails and holds)
        fails.add(alone.fails)
        known += [each for each in (alone.weakness,) if each is not None and each not in known]
    assert fails == {True, False} and len(known) > 1, "else this shows nothing"
