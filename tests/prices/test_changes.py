"""What changed between two price books, held against lists worked out by hand."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.prices.changes import Changes, changes
from sawbill.prices.pricebook import PriceBook

Book = Callable[..., PriceBook]


def board(code: str = "A", price: str = "4.00", **more: Any) -> dict[str, Any]:
    return {"item_code": code, "length": "8 ft", "price": price, **more}


def screws(price: str = "5.00", **more: Any) -> dict[str, Any]:
    return {
        "item_code": "S",
        "item": "wood screw",
        "size": "#8",
        "length": "2 in",
        "pack": "100",
        "price": price,
    } | more


def empty(found: Changes) -> bool:
    lists = (found.rose, found.fell, found.came, found.went, found.items, found.suppliers, found.settings)
    return not any(lists)


def test_a_book_has_not_changed_against_itself(samples: dict[str, PriceBook]) -> None:
    for book in samples.values():
        assert empty(changes(book, book))


def test_what_rose_and_what_fell_is_told_with_both_prices_and_percent(tiny_book: Book) -> None:
    old = tiny_book([board("A", "4.28"), board("B", "3.00")], [screws("5.00")])
    new = tiny_book([board("A", "4.49"), board("B", "2.00")], [screws("5.01")])
    found = changes(old, new)
    assert [(each.item.table, each.item.item_code, each.old, each.new, each.percent) for each in found.rose] == [
        ("lumber", "A", Decimal("4.28"), Decimal("4.49"), Decimal("4.91")),  # 0.21 / 4.28 = 4.907 %
        ("hardware", "S", Decimal("5.00"), Decimal("5.01"), Decimal("0.20")),
    ]
    assert [(each.item.item_code, each.percent) for each in found.fell] == [("B", Decimal("-33.33"))]
    assert [each.item.what for each in (*found.rose, *found.fell)] == [
        "2x4 x 96 in SPF No.2",
        "wood screw #8 x 2 in, pack of 100",
        "2x4 x 96 in SPF No.2",
    ]
    assert not found.came and not found.went and not found.items and not found.settings


def test_what_came_and_what_went(tiny_book: Book) -> None:
    found = changes(tiny_book([board("A"), board("B")]), tiny_book([board("B"), board("C", "6.00")]))
    assert [(each.item.item_code, each.old, each.new, each.percent) for each in found.went] == [
        ("A", Decimal("4.00"), None, None)
    ]
    assert [(each.item.item_code, each.old, each.new, each.percent) for each in found.came] == [
        ("C", None, Decimal("6.00"), None)
    ]


def test_a_code_that_stands_for_another_thing_went_and_came(tiny_book: Book) -> None:
    found = changes(tiny_book([board("A")]), tiny_book([board("A", length="10 ft")]))
    assert [each.item.what for each in found.went] == ["2x4 x 96 in SPF No.2"]
    assert [each.item.what for each in found.came] == ["2x4 x 120 in SPF No.2"]
    assert not found.rose and not found.items


def test_each_price_by_quantity_is_an_item_of_its_own(tiny_book: Book) -> None:
    old = tiny_book([board(), board(price="3.50", least_quantity="20")])
    new = tiny_book([board(), board(price="3.60", least_quantity="20"), board(price="3.00", least_quantity="100")])
    found = changes(old, new)
    assert [(each.item.least_quantity, each.new) for each in found.rose] == [(20, Decimal("3.60"))]
    assert [(each.item.least_quantity, each.new) for each in found.came] == [(100, Decimal("3.00"))]


def test_a_price_told_by_another_unit_is_compared_by_what_a_board_costs(tiny_book: Book) -> None:
    found = changes(tiny_book([board(price="4.00")]), tiny_book([board(price="0.5", per="ft")]))
    assert not found.rose and not found.fell
    assert [(each.name, each.old, each.new) for each in found.items] == [
        ("price", "4.00", "0.50"),
        ("per", "each", "ft"),
    ]


def test_what_else_changed_of_an_item_is_told_by_column(tiny_book: Book) -> None:
    found = changes(tiny_book([board(in_stock="4")]), tiny_book([board(price="4.10", treated="yes")]))
    assert len(found.rose) == 1
    assert [(each.name, each.old, each.new) for each in found.items] == [("in_stock", "4", ""), ("treated", "", "yes")]


def test_settings_and_suppliers_that_changed_are_told(tiny_book: Book) -> None:
    shop = {"kerf": "3/32 in", "end_trim": "0 in", "rounding_step": "1/16 in", "keep_offcut": "12 in"}
    suppliers = [{"name": "Yard", "trip": "3.00"}, {"name": "New yard"}]
    found = changes(
        tiny_book([board()]),
        tiny_book([board()], tax_rate="11 %", sample=True, shop=shop | {"no_slivers": True}, suppliers=suppliers),
    )
    assert [(each.name, each.old, each.new) for each in found.settings] == [
        ("tax_rate", "10 %", "11 %"),
        ("sample", "false", "true"),
        ("shop.kerf", "1/8 in", "3/32 in"),
        ("shop.no_slivers", "", "true"),
    ]
    told = [(each.place, each.name, each.old, each.new) for each in found.suppliers]
    assert ("New yard", "name", "", "New yard") in told
    assert ("Other yard", "name", "Other yard", "") in told
    assert ("Yard", "trip", "0.00", "3.00") in told


def test_prices_of_another_currency_are_not_compared(tiny_book: Book) -> None:
    found = changes(tiny_book([board()]), tiny_book([board(price="400")], currency="JPY"))
    assert not found.comparable
    assert not found.rose and not found.fell
    assert ("currency", "USD", "JPY") in [(each.name, each.old, each.new) for each in found.settings]
    assert [(each.name, each.old, each.new) for each in found.items] == [("price", "4.00", "400")]


@pytest.mark.parametrize(
    ("old", "new", "percent"), [("1", "3", "200.00"), ("8", "7", "-12.50"), ("3", "2.99", "-0.33")]
)
def test_a_percentage_is_of_the_old_price(tiny_book: Book, old: str, new: str, percent: str) -> None:
    found = changes(tiny_book([board(price=old)]), tiny_book([board(price=new)]))
    assert [str(each.percent) for each in (*found.rose, *found.fell)] == [percent]


PRICES = st.dictionaries(st.sampled_from("ABCDEF"), st.integers(1, 500), min_size=1)


@given(PRICES, PRICES)
def test_the_way_back_is_the_same_the_other_way_round(
    tiny_book: Book, old: dict[str, int], new: dict[str, int]
) -> None:
    before, after = (tiny_book([board(c, f"{p / 100:.2f}") for c, p in prices.items()]) for prices in (old, new))
    there, back = changes(before, after), changes(after, before)
    assert [each.item for each in there.rose] == [each.item for each in back.fell]
    assert [each.item for each in there.came] == [each.item for each in back.went]
    assert {each.item.item_code for each in there.rose} == {c for c in old if c in new and new[c] > old[c]}
    assert {each.item.item_code for each in there.came} == set(new) - set(old)
    assert {each.item.item_code for each in there.went} == set(old) - set(new)
