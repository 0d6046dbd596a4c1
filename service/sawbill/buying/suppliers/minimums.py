"""Buying enough for a delivery: the ways in which more is bought of a supplier than was."""

from __future__ import annotations

from collections.abc import Iterator

from sawbill.buying.suppliers.market import Basket, Market
from sawbill.buying.suppliers.wants import Must, PackWant, item_key, tier_of

Bought = tuple[tuple[int, int, int], ...]
"""What must be bought, as (want, offer, how many), in that order."""


def must_of(must: Bought, want: int) -> Must:
    """What of it is of one want."""
    return tuple((offer, number) for j, offer, number in must if j == want)


def enough_more(market: Market, must: Bought, basket: Basket, who: int) -> Iterator[Bought]:
    """Every way to buy more of a supplier whose goods fall short of his minimum; together they leave none out.

    Of m items that he sells, what is spent on one at least must rise by the m-th part of what is missing. Only what
    the order has a use for is bought, and an item is paid at the lowest price that its number reaches.
    """
    short = market.sellers[who].minimum - basket.goods.get(who, 0)
    items = list(_items(market, who))
    fixed = {(j, item_key(market.wants[j].offers[i])): i for j, i, _ in must}
    for j, offers in items:
        want, counts = market.wants[j], basket.mets[j].counts
        spent = sum(market.paid(want, i) * counts.get(i, 0) for i in offers)
        for i in offers:
            price, (least, limit) = market.paid(want, i), tier_of(want.offers[i], want.offers)
            if not price or fixed.get((j, item_key(want.offers[i])), i) != i:
                continue
            number = max(least, -(-(spent * len(items) + short) // (len(items) * price)))
            if limit is None or number <= limit:
                rest = (each for each in must if each[:2] != (j, i))
                yield tuple(sorted((*rest, (j, i, number))))


def _items(market: Market, who: int) -> Iterator[tuple[int, list[int]]]:
    """What a supplier sells that the order has a use for: the offers of each item, with their want."""
    for j, want in enumerate(market.wants):
        if isinstance(want, PackWant) and not want.need.short:
            continue
        items: dict[tuple[str, ...], list[int]] = {}
        for i, offer in enumerate(want.offers):
            if want.of[i] == who:
                items.setdefault(item_key(offer), []).append(i)
        yield from ((j, offers) for offers in items.values())
