"""Small purchases of every kind, held against one integer programme over all that may be done."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from tests.buying.suppliers.whole import Whole

from sawbill.asked.lines import Need
from sawbill.buying.boards import NothingFitsError
from sawbill.buying.suppliers import beyond, cheapest_sourcing, minimums, ways
from sawbill.buying.takeoff import CutLine, TakeOff
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lengths import INCH
from sawbill.trade.lumber import section

Raw = dict[str, Any]
Build = Callable[..., PriceBook]
SCREW = {"item": "wood screw", "size": "#8", "length": "2 in"}
BOLT = {"item": "hex bolt", "size": "3/8 in", "length": "4 in"}
NEEDS = (Need("wood screw", "#8", 2 * INCH), Need("hex bolt", "3/8 in", 4 * INCH))
SECTIONS = ("2x4", "2x6")


def cents(amount: int) -> str:
    return f"{amount / 100:.2f}"


class Case:
    """A random book, request and take-off."""

    def __init__(self, seed: int, build: Build, ask: Callable[[PriceBook, Raw], Any]) -> None:
        self.chance = random.Random(seed)
        names = [f"Yard {n}" for n in range(self.chance.randint(1, 4))]
        suppliers = [self.supplier(name) for name in names]
        lumber = [row for name in names for row in self.lumber(name)]
        hardware = [row for name in names for row in self.hardware(name)]
        if not any(row["section"] == "2x4" for row in lumber):
            lumber.append(
                {"supplier": names[0], "item_code": "B", "section": "2x4", "length": "72 in", "price": "6.00"}
            )
        self.spare = seed % 7 == 0 and seed % 5 != 0
        if self.spare:
            lumber = [{key: value for key, value in row.items() if key != "in_stock"} for row in lumber]
        self.bargains = any("least_quantity" in row for row in lumber)
        included = self.chance.random() < 0.2
        self.book = build(lumber, hardware, suppliers=suppliers, prices_include_tax=included)
        raw: Raw = {"lines": [{"parts": [{"section": "2x4", "length": "20 in"}]}]}
        if self.chance.random() < 0.4:
            raw["on_hand"] = [
                {"section": self.chance.choice(SECTIONS), "length": "44 in", "quantity": self.chance.randint(1, 2)}
            ]
        if self.chance.random() < 0.3:
            raw["owned_hardware"] = [{**SCREW, "quantity": self.chance.randint(1, 30)}]
        self.credits = seed % 5 == 0
        if self.credits:
            raw["shop"] = {"offcut_value": "25 %", "keep_offcut": "9 in"}
        if self.spare:
            raw["shop"] = {"spare_boards": self.chance.randint(1, 2)}
        self.request = ask(self.book, raw)
        self.off = TakeOff(tuple(self.cuts()), tuple(self.needs()), 0, 0)

    def supplier(self, name: str) -> Raw:
        row: Raw = {"name": name, "trip": cents(self.chance.choice([0, 100, 300, 600, 900]))}
        if self.chance.random() < 0.5:
            row |= {
                "delivery": cents(self.chance.choice([0, 100, 200, 500])),
                "minimum_order": cents(self.chance.choice([0, 1000, 1500, 2500, 4000])),
            }
        if self.chance.random() < 0.3:
            row["tax_rate"] = self.chance.choice(["0 %", "5 %", "20 %"])
        return row

    def lumber(self, name: str) -> list[Raw]:
        rows: list[Raw] = []
        for number in range(self.chance.randint(0, 3)):
            inches = self.chance.choice([36, 48, 60, 72])
            sort = self.chance.choice(SECTIONS)
            price = round(inches * self.chance.uniform(7, 12) * (1.5 if sort == "2x6" else 1))
            row: Raw = {
                "supplier": name,
                "item_code": f"B{number}",
                "section": sort,
                "length": f"{inches} in",
                "price": cents(price),
            }
            stock = {"in_stock": self.chance.randint(2, 4)} if self.chance.random() < 0.25 else {}
            rows.append(row | stock)
            if self.chance.random() < 0.3:
                least = self.chance.randint(2, 4)
                rows.append(row | stock | {"price": cents(round(price * 0.85)), "least_quantity": least})
        return rows

    def hardware(self, name: str) -> list[Raw]:
        rows: list[Raw] = []
        for kind, code in ((SCREW, "S"), (BOLT, "T")):
            for number in range(self.chance.randint(0, 2)):
                pack = self.chance.choice([1, 5, 10, 25])
                price = round(pack**0.8 * self.chance.uniform(15, 40))
                row: Raw = {
                    "supplier": name,
                    "item_code": f"{code}{number}",
                    **kind,
                    "pack": pack,
                    "price": cents(price),
                }
                stock = {"in_stock": self.chance.randint(2, 5)} if self.chance.random() < 0.25 else {}
                rows.append(row | stock)
                if self.chance.random() < 0.25:
                    rows.append(
                        row | stock | {"price": cents(round(price * 0.8)), "least_quantity": self.chance.randint(2, 4)}
                    )
        return rows

    def cuts(self) -> list[CutLine]:
        found = []
        for n in range(self.chance.randint(0, 3)):
            sort = section(self.chance.choice(SECTIONS))
            found.append(
                CutLine("ABC"[n], 0, "piece", sort, self.chance.randint(10, 44) * INCH, self.chance.randint(1, 3))
            )
        if self.chance.random() < 0.3 and not self.credits:
            found.append(
                CutLine(
                    "R",
                    0,
                    "block",
                    section(self.chance.choice(SECTIONS)),
                    5 * INCH,
                    self.chance.randint(1, 6),
                    ripped=INCH,
                )
            )
        return found

    def needs(self) -> list[tuple[Need, int]]:
        return [(need, self.chance.randint(1, 40)) for need in NEEDS if self.chance.random() < 0.7]


def check(seed: int, build: Build, ask: Any) -> None:
    case = Case(seed, build, ask)
    least = Whole(case.off, case.request, case.book).least()
    if least is None:
        with pytest.raises(NothingFitsError):
            cheapest_sourcing(case.off, case.request, case.book)
        return
    found = cheapest_sourcing(case.off, case.request, case.book)
    if case.spare and (case.bargains or any(each.minimum_order for each in case.book.suppliers)):
        assert found.cost - found.gap <= least <= found.cost, seed
    else:
        assert (found.cost, found.gap) == (least, 0), seed


@pytest.mark.parametrize("seed", range(0, 120, 10))
def test_no_purchase_costs_less_than_the_one_proven(seed: int, tiny_book: Build, ask: Any) -> None:
    for each in range(seed, seed + 10):
        check(each, tiny_book, ask)


def test_a_dearer_board_and_one_beyond_the_need_reach_a_minimum(tiny_book: Build, ask: Any) -> None:
    """Case 2551: of one kind wood on hand is enough, and a board more of it still counts towards the delivery."""
    check(2551, tiny_book, ask)


def test_where_few_ways_to_reach_a_minimum_are_kept_no_purchase_costs_less_than_the_bound(
    tiny_book: Build, ask: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Goods reckoned to be more than they are may only lower the bound, whose gap is told."""
    monkeypatch.setattr(ways, "MOST", 2)
    monkeypatch.setattr(ways, "PARTS", 3)
    open_ = 0
    for seed in range(400, 500):
        case = Case(seed, tiny_book, ask)
        least = Whole(case.off, case.request, case.book).least()
        if least is not None:
            found = cheapest_sourcing(case.off, case.request, case.book)
            assert found.cost - found.gap <= least <= found.cost, seed
            open_ += found.cost > least
    assert open_, "every purchase was the cheapest all the same, so this shows nothing"


def test_pieces_sold_singly_by_two_who_deliver_take_little_time_and_are_bought_at_the_least(
    tiny_book: Build, ask: Any
) -> None:
    """Any number may come from either, so that no way beats another: too many to be joined one by one."""
    names = ("Yard 0", "Yard 1")
    lumber = [{"supplier": names[0], "item_code": "B", "section": "2x4", "length": "72 in", "price": "6.00"}]
    hardware = [
        {"supplier": name, "item_code": f"{code}{n}", **kind, "pack": pack, "price": cents(price + n)}
        for n, name in enumerate(names)
        for kind, code, pack, price in ((SCREW, "S", 1, 12), (SCREW, "P", 7, 80), (BOLT, "T", 1, 7), (BOLT, "U", 9, 60))
    ]
    suppliers = [
        {"name": name, "trip": "30.00", "delivery": "1.00", "minimum_order": minimum}
        for name, minimum in zip(names, ("20.00", "15.00"), strict=True)
    ]
    book = tiny_book(lumber, hardware, suppliers=suppliers)
    request = ask(book, {"lines": [{"parts": [{"section": "2x4", "length": "20 in"}]}]})
    cuts = (CutLine("A", 0, "piece", section("2x4"), 40 * INCH, 1),)
    off = TakeOff(cuts, tuple((need, 40) for need in NEEDS), 0, 0)
    found = cheapest_sourcing(off, request, book)
    least = Whole(off, request, book).least()
    assert least is not None
    assert found.cost - found.gap <= least <= found.cost


def test_boards_beyond_the_need_are_as_cheap_listed_as_added_one_kind_after_the_other(
    tiny_book: Build, ask: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Too many purchases to be listed, or one fewer than that, make no difference to what is found."""
    listed = list[bool]()
    looked = minimums.Minimums.lists_boards.fget
    assert looked is not None
    monkeypatch.setattr(
        minimums.Minimums, "lists_boards", property(lambda own: listed.append(looked(own)) or listed[-1])
    )
    for most in (0, 12):
        monkeypatch.setattr(beyond, "MOST", most)
        for seed in range(500, 540):
            check(seed, tiny_book, ask)
    assert {True, False} == set(listed)
