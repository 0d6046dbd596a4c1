"""A failing case made small: whatever can be left out or made simpler while the same kind of difference stays."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any, TypeVar

from sawbill.cutting import Order

Case = TypeVar("Case")
MOST_TRIES = 1500


def shrunk(case: Case, smaller: Callable[[Case], Iterator[Case]], fails: Callable[[Case], bool]) -> Case:
    """Take the first smaller case that still fails, again and again, until none does."""
    tries = 0
    while tries < MOST_TRIES:
        for other in smaller(case):
            tries += 1
            if tries >= MOST_TRIES or fails(other):
                break
        else:
            return case
        if tries < MOST_TRIES:
            case = other
    return case


def kinds(differences: tuple[str, ...]) -> frozenset[str]:
    """The words that differences begin with."""
    return frozenset(each.split(":")[0] for each in differences)


def smaller_orders(order: Order) -> Iterator[Order]:
    """Orders with one thing less, the largest steps first."""
    for name in ("pieces", "small_parts", "stocks"):
        rows = getattr(order, name)
        for i in range(len(rows)):
            yield replace(order, **{name: rows[:i] + rows[i + 1 :]})
    plain: dict[str, Any] = {"extra_cost": Fraction(0), "credit": Fraction(0), "no_slivers": False, "kerf": 0}
    for name, value in plain.items():
        if getattr(order, name) != value:
            yield replace(order, **{name: value})
    for name in ("pieces", "small_parts"):
        rows = getattr(order, name)
        for i, row in enumerate(rows):
            for count in (1, row.count // 2, row.count - 1):
                if 0 < count < row.count:
                    yield replace(order, **{name: (*rows[:i], replace(row, count=count), *rows[i + 1 :])})
    for i, stock in enumerate(order.stocks):
        changes: list[dict[str, Any]] = []
        changes += [{"carry": None}] if stock.carry is not None else []
        changes += [{"available": None}] if stock.available is not None and not stock.on_hand else []
        changes += [{"trim": 0}] if stock.trim else []
        for change in changes:
            yield replace(order, stocks=(*order.stocks[:i], replace(stock, **change), *order.stocks[i + 1 :]))


def smaller_requests(request: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Requests with one row, key or wish less, or a smaller count; what they then lack is for the door to say."""
    yield from _less(request)


KEPT = frozenset(
    {
        *("title", "units", "currency", "tax_rate", "prices_include_tax", "as_of", "sample", "usual_sections"),
        *("kerf", "end_trim", "rounding_step", "keep_offcut", "name", "supplier", "item_code", "section", "species"),
        *("grade", "length", "price", "per", "item", "size", "pack", "amount", "price_book"),
    }
)
"""Keys that a request cannot do without."""


def _less(value: Any) -> Iterator[Any]:
    if isinstance(value, list):
        if len(value) > 3:
            yield value[: len(value) // 2]
            yield value[len(value) // 2 :]
        for i in range(len(value)):
            yield value[:i] + value[i + 1 :]
        for i, each in enumerate(value):
            yield from ([*value[:i], other, *value[i + 1 :]] for other in _less(each))
    elif isinstance(value, dict):
        for key in value:
            if key not in KEPT and not isinstance(value[key], list):
                yield {name: other for name, other in value.items() if name != key}
        for key, each in value.items():
            yield from ({**value, key: other} for other in _less(each))
    elif isinstance(value, int) and not isinstance(value, bool) and value > 1:
        yield from dict.fromkeys((1, value // 2, value - 1))
