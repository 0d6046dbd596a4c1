"""Price books are read from wherever they are, and changed without touching them."""

from __future__ import annotations

from pathlib import Path

import pytest

import sawbill
from sawbill.prices.shelf import sample_folder


def test_a_book_is_the_same_from_its_name_folder_workbook_zip_and_content(tmp_path: Path) -> None:
    book = sawbill.price_book("sample-metric")
    book.to_excel(tmp_path / "a.xlsx")
    book.to_zip(tmp_path / "b.zip")
    folder = sample_folder() / "sample-metric"
    others = [sawbill.price_book(each) for each in (folder, str(folder), tmp_path / "a.xlsx", str(tmp_path / "b.zip"))]
    others += [sawbill.price_book(book.to_dict()), sawbill.price_book(book)]
    assert {each.revision for each in others} == {book.revision}
    assert [each.name for each in others] == ["sample-metric"] * 2 + ["a", "b", "inline", "sample-metric"]
    assert sawbill.price_book(folder, name="mine").name == "mine"


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_its_tables_may_be_put_back_as_they_are(name: str) -> None:
    book = sawbill.price_book(name)
    tables = {table: getattr(book, table) for table in ("suppliers", "lumber", "hardware", "supplies")}
    assert book.replace(**tables).revision == book.revision
    assert tables["lumber"].attrs["units"] == {"price": book.currency}
    assert all(list(table.attrs["meanings"]) == list(table) for table in tables.values())


def test_a_changed_price_changes_the_total_and_not_the_book() -> None:
    book = sawbill.price_book("sample-inch")
    dearer = book.lumber.assign(price=lambda lumber: lumber["price"] * 2)
    before = sawbill.cut([("2x4", "30 in", 4)], book).to_dict()["totals"]
    after = sawbill.cut([("2x4", "30 in", 4)], book.replace(lumber=dearer)).to_dict()["totals"]
    assert float(after["lumber"]) == 2 * float(before["lumber"])
    assert sawbill.price_book("sample-inch").revision == book.revision


def test_every_fault_of_a_book_is_told_with_its_place(tmp_path: Path) -> None:
    book = sawbill.price_book("sample-inch")
    lumber = book.lumber
    lumber.loc[2, "price"] = -1
    lumber.loc[5, "section"] = "2x99"
    with pytest.raises(sawbill.FaultsError) as caught:
        book.replace(lumber=lumber, currency="dollars")
    assert [fault.field for fault in caught.value.faults] == ["currency", "lumber[2].price", "lumber[5].section"]
    assert [fault.value for fault in caught.value.faults] == ["dollars", "-1", "2x99"]
    for file in (sample_folder() / "sample-inch").iterdir():
        (tmp_path / file.name).write_text(file.read_text().replace("1x2", "1x99", 1))
    with pytest.raises(sawbill.FaultsError, match=r"lumber\.csv, line 2, section"):
        sawbill.price_book(tmp_path)


def test_a_name_that_is_no_book_is_refused_with_those_there_are() -> None:
    with pytest.raises(sawbill.FaultsError, match="sample-inch, sample-metric"):
        sawbill.price_book("no-such-book")
