"""The shape of a request: its faults, and the request without them, so that the rest of it can be read on."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any, Final, TypeVar

from marshmallow import Schema

from sawbill.asked.request import MOST_PARTS, Pointer, RequestFault
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown
from sawbill.web.schemas.fields import Told

T = TypeVar("T")

MOST_WORDED: Final = 100
"""How many faults are put into words, in the order of their places: as many as a problem lists (`MOST_ERRORS`)."""


def faults_of(raw: object, schema: Schema) -> list[RequestFault]:
    """Check the shape of a request: every fault of type, size or name, in the order of their places.

    Of a flood only the first are put into words, which takes most of the time; the others are there to be counted.
    """
    messages = schema.validate(raw)  # type: ignore[arg-type]  # anything
    told = first_in_order(_told(messages), lambda each: each[1])
    worded = [_fault(each, at) for each, at in told[:MOST_WORDED]]
    counted = (RequestFault(at, each.code, "") for each, at in told[MOST_WORDED:])
    return [*worded, *counted, *_too_many_parts(raw)]


def without(raw: Mapping[str, Any], faults: Iterable[RequestFault]) -> dict[str, Any]:
    """Leave out of a request what is at fault; entries of lists keep their places."""
    sound = _without(raw, {fault.pointer for fault in faults}, ())
    for row in sound.get("on_hand", ()):
        if isinstance(row.get("length"), dict):
            row["length"] = f"{Decimal(str(row['length']['mm'])):f} mm"
    return sound  # type: ignore[no-any-return]  # JSON


def merged(shape: Iterable[RequestFault], meaning: Iterable[RequestFault]) -> list[RequestFault]:
    """Join the faults of both readings in the order of their places, one a place.

    What a value means is not told where the shape of it, of what holds it or of what it holds is wrong.
    """
    found: dict[Pointer, RequestFault] = {}
    for fault in shape:
        found.setdefault(fault.pointer, fault)
    wrong = {pointer[:n] for pointer in found for n in range(len(pointer) + 1)}
    ends = set(found)
    for fault in meaning:
        within = any(fault.pointer[:n] in ends for n in range(len(fault.pointer) + 1))
        if not within and fault.pointer not in wrong:
            found.setdefault(fault.pointer, fault)
    return first_in_order(found.values(), lambda fault: fault.pointer)


def first_in_order(all_of_them: Iterable[T], place: Callable[[T], Pointer]) -> list[T]:
    """Put those first that are told, in the order of their places; the order of a flood behind them tells nothing."""
    numbered = [(_order(place(each)), number, each) for number, each in enumerate(all_of_them)]
    first = heapq.nsmallest(MOST_WORDED, numbered)
    taken = {number for _, number, _ in first}
    return [each for _, _, each in first] + [each for _, number, each in numbered if number not in taken]


def _order(pointer: Pointer) -> list[tuple[int, str]]:
    return [(step, "") if isinstance(step, int) else (-1, step) for step in pointer]


def _told(messages: Any, pointer: Pointer = ()) -> Iterator[tuple[Told, Pointer]]:
    """Take marshmallow's nested messages apart, each with the pointer to what it is about."""
    if isinstance(messages, Mapping):
        for key, below in messages.items():
            yield from _told(below, pointer if key == "_schema" else (*pointer, key))
    else:
        yield from ((told, pointer) for told in messages)


def _fault(told: Told, pointer: Pointer) -> RequestFault:
    name = "the request" if not pointer else f"entry {pointer[-1]}" if isinstance(pointer[-1], int) else pointer[-1]
    near = f"; {nearest(str(pointer[-1])[:60], told.known)}" if told.known else ""
    return RequestFault(pointer, told.code, f"{shown(name)} {told.detail}{near}")


def _too_many_parts(raw: object) -> Iterator[RequestFault]:
    """Bound the own parts and hardware of all the lines together."""
    lines = raw.get("lines") if isinstance(raw, Mapping) else None
    lines = [line for line in lines if isinstance(line, Mapping)] if isinstance(lines, list) else []
    tables = (line.get(key) for line in lines for key in ("parts", "hardware"))
    count = sum(len(rows) for rows in tables if isinstance(rows, list))
    if count > MOST_PARTS:
        detail = f"lines have {count} entries of own parts and hardware together; they may have {MOST_PARTS}"
        yield RequestFault(("lines",), "too-many", detail)


def _without(value: Any, wrong: set[Pointer], at: Pointer) -> Any:
    if isinstance(value, dict):
        return {key: _without(each, wrong, (*at, key)) for key, each in value.items() if (*at, key) not in wrong}
    if isinstance(value, list):
        return [{} if (*at, i) in wrong else _without(each, wrong, (*at, i)) for i, each in enumerate(value)]
    return value
