from datetime import date
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.pricebook import content
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shop import Shop
from sawbill.trade.lengths import INCH


def test_the_settings_are_read(small):
    small["shop"] |= {"longest_board": "12 ft", "spare_boards": 2, "offcut_value": "12.5 %", "no_slivers": True}
    small["shop"]["yard_cuts"] = True
    small["shop"]["extra_for_fewer_setups"] = "2 %"
    book = read_json("small", small)
    assert (book.title, book.units, book.currency, book.decimals) == ("A small book", "inch", "USD", 2)
    assert (book.tax_rate, book.prices_include_tax, book.as_of, book.sample) == (
        Decimal("0.0825"),
        False,
        date(2026, 11, 1),
        True,
    )
    assert dict(book.usual_sections) == {"other": "2x4", "rail": "2x6"}
    wishes = {"offcut_value": Decimal("0.125"), "extra_for_fewer_setups": Decimal("0.02"), "no_slivers": True}
    assert book.shop == Shop(INCH // 8, INCH // 2, INCH // 16, 12 * INCH, 144 * INCH, 2, yard_cuts=True, **wishes)


def test_a_shop_without_wishes_is_as_older_books_meant(small):
    plain = read_json("small", small)
    assert (plain.shop.offcut_value, plain.shop.extra_for_fewer_setups, plain.shop.no_slivers) == (0, 0, False)
    small["shop"] |= {"offcut_value": "0 %", "extra_for_fewer_setups": "0 %", "no_slivers": False}
    assert read_json("small", small).revision == plain.revision


@pytest.mark.parametrize(
    "wish",
    [{"offcut_value": "50 %"}, {"extra_for_fewer_setups": "10 %"}, {"no_slivers": True}, {"yard_cuts": True}],
)
def test_a_wish_of_the_shop_is_told_back_and_makes_another_revision(small, wish):
    plain = read_json("small", small)
    small["shop"] |= wish
    wishing = read_json("small", small)
    assert wishing.revision != plain.revision
    assert content(wishing)["shop"] == content(plain)["shop"] | wish
    assert read_json("small", content(wishing)) == wishing


@pytest.mark.parametrize(
    ("key", "value", "code"),
    [
        ("title", "", "missing-value"),
        ("title", 5, "wrong-type"),
        ("title", "a\nb", "control-character"),
        ("units", "feet", "unknown-units"),
        ("currency", "usd", "unknown-currency"),
        ("currency", "XXX", "unknown-currency"),
        ("tax_rate", 8.25, "wrong-type"),
        ("tax_rate", "8.25", "not-a-rate"),
        ("prices_include_tax", "no", "wrong-type"),
        ("prices_include_tax", None, "wrong-type"),
        ("sample", 1, "wrong-type"),
        ("as_of", "1 November 2026", "not-a-date"),
        ("as_of", 20261101, "wrong-type"),
        ("usual_sections", "2x4", "wrong-type"),
        ("usual_sections", [], "wrong-type"),
        ("shop", None, "wrong-type"),
        ("titel", "x", "unknown-key"),
    ],
)
def test_a_setting_at_fault_is_told(small, faults_of, key, value, code):
    small[key] = value
    assert {pointer: found for pointer, (found, _) in faults_of(small).items()} == {f"/{key}": code}


@pytest.mark.parametrize(
    ("key", "value", "code"),
    [
        ("kerf", "", "missing-value"),
        ("kerf", "3", "not-a-length"),
        ("kerf", 3, "wrong-type"),
        ("kerf", "-1 mm", "not-a-length"),
        ("kerf", "2 in", "out-of-range"),
        ("end_trim", "1 m", "out-of-range"),
        ("rounding_step", "0 mm", "out-of-range"),
        ("keep_offcut", "1 km", "out-of-range"),
        ("longest_board", "1 in", "out-of-range"),
        ("spare_boards", 101, "out-of-range"),
        ("spare_boards", -1, "not-a-whole-number"),
        ("spare_boards", 10**4000, "out-of-range"),
        ("spare_boards", 1.5, "wrong-type"),
        ("spare_boards", True, "wrong-type"),
        ("offcut_value", "50.01 %", "not-a-rate"),
        ("offcut_value", "0.5", "not-a-rate"),
        ("offcut_value", 25, "wrong-type"),
        ("extra_for_fewer_setups", "10.01 %", "not-a-rate"),
        ("no_slivers", "yes", "wrong-type"),
        ("no_slivers", 1, "wrong-type"),
        ("kurf", "1 mm", "unknown-key"),
    ],
)
def test_a_setting_of_the_shop_at_fault_is_told(small, faults_of, key, value, code):
    small["shop"][key] = value
    assert {pointer: found for pointer, (found, _) in faults_of(small).items()} == {f"/shop/{key}": code}


@pytest.mark.parametrize(
    "key",
    [
        "title",
        "units",
        "currency",
        "tax_rate",
        "prices_include_tax",
        "as_of",
        "sample",
        "usual_sections",
        "shop",
    ],
)
def test_a_missing_key_is_told(small, faults_of, key):
    del small[key]
    assert faults_of(small) == {f"/{key}": ("missing-key", "")}


@pytest.mark.parametrize(
    ("sections", "pointer", "code"),
    [
        ({"other": "2x44"}, "/usual_sections/other", "unknown-section"),
        ({"other": "2x8"}, "/usual_sections/other", "not-sold"),
        ({"other": 4}, "/usual_sections/other", "wrong-type"),
        ({"rail": "2x6"}, "/usual_sections/other", "missing-key"),
        ({"other": "2x4", "Side rail": "2x6"}, "/usual_sections/Side rail", "not-a-role"),
    ],
)
def test_a_usual_section_at_fault_is_told(small, faults_of, sections, pointer, code):
    small["usual_sections"] = sections
    assert {where: found for where, (found, _) in faults_of(small).items()} == {pointer: code}


def test_an_unknown_key_is_told_the_nearest(small):
    small["curency"] = small.pop("currency")
    with pytest.raises(BookFaultsError, match="did you mean currency"):
        read_json("small", small)


def test_prices_are_still_checked_when_the_currency_is_unknown(small, faults_of):
    small["currency"] = "dollars"
    small["lumber"][2]["price"] = "12,50"
    assert set(faults_of(small)) == {"/currency", "/lumber/2/price"}


def test_every_fault_of_the_shop_is_told(small, faults_of):
    small["shop"] |= {"kerf": "3", "end_trim": "1 km", "blade": "x"}
    assert {pointer: code for pointer, (code, _) in faults_of(small).items()} == {
        "/shop/kerf": "not-a-length",
        "/shop/end_trim": "out-of-range",
        "/shop/blade": "unknown-key",
    }


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=10), inner, max_size=3),
    max_leaves=8,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.dictionaries(st.sampled_from(["kerf", "end_trim", "spare_boards", "x"]) | st.text(max_size=10), JSON))
def test_any_json_is_a_shop_or_told_its_faults(small, data):
    try:
        assert isinstance(read_json("small", {**small, "shop": {**small["shop"], **data}}).shop, Shop)
    except BookFaultsError as error:
        assert all(fault.remedy for fault in error.faults)
