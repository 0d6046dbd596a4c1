"""Requests at random, each with a price book of its own: suppliers, quantity prices, packs, taxes, stock, wishes."""

from __future__ import annotations

from random import Random
from typing import Any

Json = dict[str, Any]
SECTIONS = ("45x95", "45x145", "45x45", "22x95")
SCREWS = (
    {"item": "wood screw", "size": "4.5 mm", "length": "50 mm"},
    {"item": "wood screw", "size": "5 mm", "length": "80 mm"},
    {"item": "washer", "size": "M10"},
)
DESIGNS: tuple[Json, ...] = (
    {"design": "bench", "options": {"depth": "390 mm"}},
    {"design": "bench", "options": {"length": "1000 mm", "back": "yes"}},
    {"design": "shelf-unit", "options": {"shelves": 3}},
    {"design": "slatted-bed", "options": {"mattress": "twin"}},
    {"design": "low-platform", "options": {"mattress": "twin"}},
)


def random_request(chance: Random) -> tuple[str, Json]:
    """Make up a request: the address it goes to, and its body."""
    plan = chance.random() < 0.5
    sections = SECTIONS[: chance.choice([1, 1, 2, 3])]
    longest = chance.choice([2400, 3600, 3600, 4800])
    step = chance.choice(["whole", "whole", "tens", "fine"])
    book = random_book(chance, sections, longest, step, hardware=not plan)
    parts = [_part(chance, sections, longest, step) for _ in range(chance.choice([1, 2, 3, 3, 4, 5, 6]))]
    request: Json = {"price_book": book}
    if plan:
        request["pieces"] = parts
    else:
        wanted = chance.sample(SCREWS, chance.randint(0, 3))
        hardware = [{**screw, "quantity": chance.randint(1, 60)} for screw in wanted]
        request["lines"] = [_line(chance, parts, hardware)]
        if hardware and chance.random() < 0.3:
            request["owned_hardware"] = [{**hardware[0], "quantity": chance.randint(1, 40)}]
    if chance.random() < 0.4:
        request["on_hand"] = [_board_on_hand(chance, longest, step) for _ in range(chance.choice([1, 1, 2]))]
    if chance.random() < 0.2:
        request["lumber"] = {"species": chance.choice([["spruce"], ["pine"], ["spruce", "pine"]])}
    return ("/v1/cutting-plans" if plan else "/v1/quotes"), request


def _line(chance: Random, parts: list[Json], hardware: list[Json]) -> Json:
    line: Json = {"parts": parts, "quantity": chance.choice([1, 1, 1, 2])}
    return {**line, "hardware": hardware} if hardware else line


def random_design_request(chance: Random, sample: Json) -> tuple[str, Json]:
    """Make up a request for a design, which may have small parts to be ripped; sample: a book for its fasteners."""
    book = random_book(chance, ("45x95", "45x145", "22x95"), 3000, "tens", hardware=False)
    sold = {row["section"] for row in book["lumber"]}
    for i, section in enumerate(("45x95", "45x145", "22x95")):
        if section not in sold:
            book["lumber"].append(_board_row(chance, book["suppliers"][0]["name"], section, 2400, f"M{i}"))
    seller = chance.choice(book["suppliers"])["name"]
    sizes = ("M8", "M10", "4.5 mm", "5 mm")
    fitting = [row for row in sample["hardware"] if row.get("size") in sizes and row["pack"] not in ("1", "5")]
    book["hardware"] = [_rounded({**row, "supplier": seller}, book) for row in fitting]
    book["supplies"] = [
        _rounded({**row, "supplier": seller}, book) for row in sample["supplies"] if "ml" in row["amount"]
    ]
    book["usual_sections"] = {"rail": "45x145", "slat": "22x95", "other": "45x95"}
    request: Json = {"price_book": book, "lines": [chance.choice(DESIGNS)], "lumber": {"must_hold": False}}
    if chance.random() < 0.3:
        request["on_hand"] = [_board_on_hand(chance, 2400, "tens")]
    return "/v1/quotes", request


def _rounded(row: Json, book: Json) -> Json:
    """A row of a book with two decimals, in the currency of another."""
    return {**row, "price": f"{float(row['price']):.0f}" if book["currency"] == "JPY" else row["price"]}


def random_book(chance: Random, sections: tuple[str, ...], longest: int, step: str, hardware: bool) -> Json:
    """A price book of one to six suppliers, each with some of the sections and fasteners."""
    decimals = chance.choice([2, 2, 2, 2, 0, 3])
    currency = {2: "EUR", 0: "JPY", 3: "KWD"}[decimals]
    taxes = ["0 %"] if chance.random() < 0.3 else ["20 %", "8.25 %", "0 %", "5 %"]
    suppliers = [
        _supplier(chance, i, decimals, taxes) for i in range(chance.choice([1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 6, 12]))
    ]
    lumber, fasteners = [], []
    for supplier in suppliers:
        for section in sections:
            if chance.random() < 0.7 or (supplier is suppliers[0] and section is sections[0]):
                lumber += _boards(chance, supplier["name"], section, longest, step, decimals)
        for screw in SCREWS if hardware else ():
            if chance.random() < 0.7 or supplier is suppliers[0]:
                fasteners += _packs(chance, supplier["name"], screw, decimals)
    plain = not any(row.keys() & {"in_stock", "least_quantity"} for row in lumber)
    shop = _shop(chance, longest, single=len(suppliers) == 1, plain=plain)
    if "offcut_value" in shop:
        lumber = [row for row in lumber if "same" not in row]
    _number(lumber, "L")
    _number(fasteners, "H")
    return {
        "title": "A book at random",
        "units": "metric",
        "currency": currency,
        "tax_rate": chance.choice(taxes),
        "prices_include_tax": chance.random() < 0.4,
        "as_of": "2026-01-02",
        "sample": False,
        "usual_sections": {"other": sections[0]},
        "shop": shop,
        "suppliers": suppliers,
        "lumber": lumber,
        "hardware": fasteners,
        "supplies": [],
    }


def _supplier(chance: Random, number: int, decimals: int, taxes: list[str]) -> Json:
    row: Json = {"name": f"Y{number}", "trip": amount(chance, 0, 12, decimals)}
    if chance.random() < 0.5:
        row["delivery"] = amount(chance, 0, 10, decimals)
        if chance.random() < 0.7:
            row["minimum_order"] = amount(chance, 5, 120, decimals)
    if chance.random() < 0.3:
        row["tax_rate"] = chance.choice(taxes)
    return row


def amount(chance: Random, least: float, most: float, decimals: int) -> str:
    """An amount of money: as said of a currency with two decimals, a hundred times as much of one with none."""
    value = chance.uniform(least, most) * (100 if decimals == 0 else 1)
    if chance.random() < 0.3:
        value = round(value)
    return f"{value:.{decimals}f}"


def _boards(chance: Random, supplier: str, section: str, longest: int, step: str, decimals: int) -> list[Json]:
    """Some lengths of a section at prices about their length, some of them cheaper from a quantity on."""
    rows = []
    rate = chance.uniform(2, 6)
    for _ in range(chance.choice([1, 1, 2, 3])):
        metres = chance.randint(longest // 200, longest // 100) / 10
        row = _board_row(chance, supplier, section, round(metres * 1000), "")
        price = rate * metres * chance.uniform(0.85, 1.15)
        if chance.random() < 0.2:
            row |= {"per": "m", "price": amount(chance, rate, rate, decimals)}
        else:
            row["price"] = amount(chance, price, price, decimals)
        if float(row["price"]) == 0:
            row["price"] = "1"
        if step == "fine" and chance.random() < 0.3:
            row["measured_length"] = f"{metres * 1000 + chance.uniform(-8, 8):.3f} mm"
        if chance.random() < 0.15:
            row["in_stock"] = str(chance.randint(1, 5))
        rows.append(row)
        if chance.random() < 0.2:
            cheaper = f"{float(row['price']) * chance.uniform(0.6, 0.95):.{decimals}f}"
            rows.append({**row, "least_quantity": str(chance.randint(2, 8)), "price": cheaper, "same": True})
    return [row for row in rows if float(row["price"]) > 0]


def _board_row(chance: Random, supplier: str, section: str, millimetres: int, code: str) -> Json:
    return {
        "supplier": supplier,
        "item_code": code,
        "section": section,
        "species": chance.choice(["spruce", "spruce", "pine"]),
        "grade": chance.choice(["C24", "C24", "C16"]),
        "length": f"{millimetres} mm",
        "price": str(max(1, millimetres // 300)),
        "per": "each",
    }


def _packs(chance: Random, supplier: str, screw: Json, decimals: int) -> list[Json]:
    rows = []
    for _ in range(chance.choice([1, 1, 2])):
        pack = chance.choice([1, 5, 10, 25, 50])
        price = pack * chance.uniform(0.05, 0.2) + 0.5
        row = {"supplier": supplier, "item_code": "", **screw, "pack": str(pack)}
        row["price"] = amount(chance, price, price, decimals)
        if chance.random() < 0.1:
            row["in_stock"] = str(chance.randint(1, 6))
        rows.append(row)
        if chance.random() < 0.15:
            cheaper = f"{float(row['price']) * 0.8:.{decimals}f}"
            rows.append({**row, "least_quantity": str(chance.randint(2, 4)), "price": cheaper, "same": True})
    return [row for row in rows if float(row["price"]) > 0]


def _number(rows: list[Json], letter: str) -> None:
    """Give each item a code of its own; a row of the same item at another price has the code of the row before."""
    code = 0
    for row in rows:
        code += not row.pop("same", False)
        row["item_code"] = f"{letter}{code}"


def _shop(chance: Random, longest: int, single: bool, plain: bool) -> Json:
    """How the shop cuts. An offcut is worth something only where the prices of one supplier, one each, decide what.

    Spare boards are asked for where there are as many as are wanted at one price: elsewhere the answer may do without.
    """
    shop: Json = {
        "kerf": chance.choice(["3 mm", "3 mm", "0 mm", "3.175 mm"]),
        "end_trim": chance.choice(["0 mm", "0 mm", "10 mm"]),
        "rounding_step": "1 mm",
        "keep_offcut": chance.choice(["300 mm", "500 mm"]),
    }
    if chance.random() < 0.25:
        shop["longest_board"] = f"{chance.randint(longest // 200, longest // 100) * 100} mm"
        shop["yard_cuts"] = chance.random() < 0.6
    if chance.random() < 0.2:
        shop["no_slivers"] = True
    if chance.random() < 0.1:
        shop["extra_for_fewer_setups"] = chance.choice(["1 %", "5 %"])
    if single and chance.random() < 0.4:
        shop["offcut_value"] = chance.choice(["10 %", "25 %", "50 %"])
    if plain and chance.random() < 0.4:
        shop["spare_boards"] = chance.choice([1, 1, 2])
    return shop


def _part(chance: Random, sections: tuple[str, ...], longest: int, step: str) -> Json:
    length = _length(chance, longest // 8, longest * 3 // 4, step)
    part: Json = {"section": chance.choice(sections), "length": length, "quantity": chance.randint(1, 8)}
    if chance.random() < 0.25:
        part["shortest"] = f"{float(length.split()[0]) * chance.uniform(0.8, 1):.0f} mm"
        if float(part["shortest"].split()[0]) > float(length.split()[0]):
            part["shortest"] = length
    if chance.random() < 0.15:
        part["species"] = [chance.choice(["spruce", "pine"])]
    if chance.random() < 0.15:
        part["grades"] = chance.choice([["C24"], ["C16", "C24"], ["C16"]])
    return part


def _length(chance: Random, least: int, most: int, step: str) -> str:
    if step == "fine":
        return f"{chance.uniform(least, most):.3f} mm"
    grid = 10 if step == "tens" else 1
    return f"{chance.randint(least // grid, most // grid) * grid} mm"


def _board_on_hand(chance: Random, longest: int, step: str) -> Json:
    board: Json = {
        "section": chance.choice(SECTIONS[:3]),
        "length": _length(chance, longest // 6, longest, step),
        "quantity": chance.randint(1, 3),
    }
    if chance.random() < 0.5:
        board["species"] = chance.choice(["spruce", "pine"])
    if chance.random() < 0.3:
        board["grade"] = "C24"
    return board
