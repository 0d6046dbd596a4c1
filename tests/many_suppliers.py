"""Random price books of any number of suppliers, and orders that all of them could serve.

Every supplier sells some of twenty kinds of hardware in packs of three sizes and, one in three, boards; a trip costs
2 to 12, two in three deliver, most of them from a minimum.
"""

from __future__ import annotations

import random
from typing import Any

Raw = dict[str, Any]
KINDS = [
    {"item": "wood screw", "size": size, "length": f"{inches} in"}
    for size in ("#6", "#8", "#10", "#12")
    for inches in ("1", "1 1/2", "2", "2 1/2", "3")
]
BOARDS = {"2x4": (72, 96, 120), "1x6": (72, 96), "2x6": (96, 144)}


def money(amount: float) -> str:
    return f"{amount:.2f}"


def book_of(chance: random.Random, number: int) -> Raw:
    """A book of so many suppliers; every kind is sold by some."""
    suppliers, hardware, lumber = list[Raw](), list[Raw](), list[Raw]()
    for n in range(number):
        name, dear = f"Supplier {n:03}", chance.uniform(0.85, 1.2)
        row: Raw = {"name": name, "trip": money(chance.uniform(2, 12))}
        if chance.random() < 2 / 3:
            row |= {"delivery": money(chance.uniform(1, 8)), "minimum_order": money(chance.choice([0, 10, 20, 40, 80]))}
        suppliers.append(row)
        for k, kind in enumerate(KINDS):
            if chance.random() < 0.4 or n % len(KINDS) == k:
                for pack in chance.sample((10, 25, 50, 100), chance.randint(1, 2)):
                    price = dear * pack**0.8 * (6 + k % 5) / 60 * chance.uniform(0.9, 1.15)
                    code = f"S{k}-{pack}"
                    hardware.append({"supplier": name, "item_code": code, **kind, "pack": pack, "price": money(price)})
        if n % 3 == 0:
            for sort, lengths in BOARDS.items():
                for inches in lengths:
                    price = dear * inches * int(sort[2:]) * chance.uniform(0.95, 1.05) / 70
                    wood = {"section": sort, "species": "SPF", "grade": "No.2", "per": "each"}
                    code = f"{sort}-{inches}"
                    lumber.append(
                        {"supplier": name, "item_code": code, **wood, "length": f"{inches} in", "price": money(price)}
                    )
    return {
        "title": "Many suppliers", "units": "inch", "currency": "USD", "tax_rate": "8 %",
        "prices_include_tax": False, "as_of": "2026-01-02", "sample": False, "usual_sections": {"other": "2x4"},
        "shop": {"kerf": "1/8 in", "end_trim": "1/2 in", "rounding_step": "1/16 in", "keep_offcut": "12 in"},
        "suppliers": suppliers, "lumber": lumber, "hardware": hardware, "supplies": [],
    }  # fmt: skip


def line_of(chance: random.Random) -> Raw:
    """A line that asks for boards of three sections and ten kinds of hardware or more."""
    parts = [
        {"section": sort, "length": f"{chance.randint(14, 60)} in", "quantity": chance.randint(1, 6)}
        for sort in BOARDS
        for _ in range(2)
    ]
    needs = [{**kind, "quantity": chance.randint(4, 150)} for kind in chance.sample(KINDS, chance.randint(10, 20))]
    return {"parts": parts, "hardware": needs}
