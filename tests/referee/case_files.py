"""Cases as JSON: an order at the planner's door, or the body of a request, and a sentence that says what it shows."""

from __future__ import annotations

import json
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

from tests.referee import order_claims, request_claims
from tests.referee.order_claims import Verdict

from sawbill.cutting import Order, Piece, SmallPart, Stock

CASES = Path(__file__).with_name("cases")


def order_json(order: Order) -> dict[str, Any]:
    """Write an order; lengths are whole nanometres, what is as usual is left out."""
    raw = asdict(order)
    raw["credit"], raw["extra_cost"] = str(order.credit), str(order.extra_cost)
    raw["pieces"] = [{**piece, "materials": sorted(piece["materials"])} for piece in raw["pieces"]]
    usual: dict[str, Any] = {"available": None, "trim": 0, "on_hand": False, "carry": None}
    raw["stocks"] = [{key: x for key, x in row.items() if key not in usual or x != usual[key]} for row in raw["stocks"]]
    plain = {"small_parts": (), "kerf": 0, "no_slivers": False, "keep": None, "credit": "0", "extra_cost": "0"}
    return {key: value for key, value in raw.items() if key not in plain or value != plain[key]}


def order_of(raw: dict[str, Any]) -> Order:
    """Read an order."""
    pieces = (Piece(**{**row, "materials": frozenset(row["materials"])}) for row in raw.get("pieces", ()))
    return Order(
        **{
            **raw,
            "stocks": tuple(Stock(**row) for row in raw["stocks"]),
            "pieces": tuple(pieces),
            "small_parts": tuple(SmallPart(**row) for row in raw.get("small_parts", ())),
            "credit": Fraction(raw.get("credit", "0")),
            "extra_cost": Fraction(raw.get("extra_cost", "0")),
        }
    )


def order_text(shows: str, order: Order) -> str:
    """Write the case of an order."""
    return _text({"shows": shows, "order": order_json(order)})


def request_text(shows: str, address: str, request: dict[str, Any]) -> str:
    """Write the case of a request."""
    return _text({"shows": shows, "address": address, "request": request})


def _text(case: dict[str, Any]) -> str:
    return json.dumps(case, indent=1) + "\n"


def load(path: Path) -> dict[str, Any]:
    """Read a case."""
    found = json.loads(path.read_text())
    assert isinstance(found, dict)
    return found


def judged(case: dict[str, Any]) -> Verdict:
    """Have a case answered, and hold the answer against the referee."""
    if "order" in case:
        return order_claims.judge(order_of(case["order"]))
    return request_claims.judge(case["address"], case["request"])
