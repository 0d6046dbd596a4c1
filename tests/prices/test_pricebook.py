import hashlib
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import canonical, content
from sawbill.prices.shelf import sample_folder
from sawbill.trade.lengths import INCH, MM


@pytest.fixture(scope="module")
def book():
    return read_folder(sample_folder() / "sample-inch")


def test_a_role_that_is_not_named_takes_the_section_of_the_others(book):
    assert book.usual_section("rail") == "2x6"
    assert book.usual_section("ledger") == "2x4"
    assert book.usual_section("a role no design has yet") == "2x4"


def test_a_supplier_without_a_rate_of_its_own_charges_the_books(book):
    other = replace(book, suppliers=(replace(book.suppliers[0], tax_rate=Decimal(0)), *book.suppliers[1:]))
    assert other.tax_rate_at(book.suppliers[0].name) == 0
    assert other.tax_rate_at(book.suppliers[1].name) == Decimal("0.0825")


def test_a_board_is_cut_from_its_measured_length_and_priced_by_its_stated_one(book):
    measured = next(offer for offer in book.lumber if offer.item_code == "KD-2x4-8")
    assert (measured.length, measured.usable_length) == (96 * INCH, 96 * INCH + 3 * INCH // 4)
    stated = next(offer for offer in book.lumber if offer.item_code == "A-204-08")
    assert stated.usable_length == stated.length == 96 * INCH


def test_the_revision_is_half_of_a_sha_256_in_hexadecimal(book):
    """128 bits: a search for two contents with one name takes some 2^64 tries (NIST SP 800-107 rev. 1, 5.1)."""
    assert re.fullmatch(r"[0-9a-f]{32}", book.revision)
    assert hashlib.sha256(canonical(book)).hexdigest().startswith(book.revision)


@pytest.mark.parametrize(
    "change",
    [
        lambda b: {"title": b.title + "."},
        lambda b: {"as_of": date(2026, 11, 2)},
        lambda b: {"sample": not b.sample},
        lambda b: {"prices_include_tax": not b.prices_include_tax},
        lambda b: {"tax_rate": b.tax_rate + Decimal("0.0001")},
        lambda b: {"units": "metric"},
        lambda b: {"currency": "CAD"},
        lambda b: {"usual_sections": {**b.usual_sections, "slat": "1x4"}},
        lambda b: {"shop": replace(b.shop, kerf=b.shop.kerf + 1)},
        lambda b: {"shop": replace(b.shop, longest_board=3000 * MM)},
        lambda b: {"shop": replace(b.shop, spare_boards=1)},
        lambda b: {"suppliers": (*b.suppliers[:-1], replace(b.suppliers[-1], delivery=None))},
        lambda b: {"lumber": b.lumber[1:]},
        lambda b: {"lumber": (replace(b.lumber[0], price=b.lumber[0].price + Decimal("0.01")), *b.lumber[1:])},
        lambda b: {"lumber": (replace(b.lumber[0], in_stock=0), *b.lumber[1:])},
        lambda b: {"lumber": (replace(b.lumber[0], measured_length=b.lumber[0].length + 1), *b.lumber[1:])},
        lambda b: {"hardware": b.hardware[:-1]},
        lambda b: {"supplies": (replace(b.supplies[0], least_quantity=2), *b.supplies[1:])},
    ],
)
def test_any_change_of_content_changes_the_revision(book, change):
    assert replace(book, **change(book)).revision != book.revision


def test_the_name_does_not_change_the_revision(book):
    renamed = replace(book, name="another")
    assert renamed.revision == book.revision
    assert "name" not in content(renamed)


def test_books_of_the_same_content_are_equal(book):
    assert read_json("sample-inch", content(book)) == book
