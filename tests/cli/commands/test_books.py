"""The commands for price books and groups, used as in a terminal."""

from pathlib import Path

import pytest
from tests.cli.commands.test_store import run
from tests.store.prepared import with_tables

from sawbill.prices.pricebook import PriceBook
from sawbill.store import Store, Who


@pytest.fixture
def data(tmp_path: Path, samples: dict[str, PriceBook]) -> str:
    """A store with a price book of anna's."""
    folder = str(with_tables(tmp_path / "data"))
    with Store.open(folder) as store:
        store.prepare()
        store.books.put(samples["sample-inch"], None, Who("anna"))
    return folder


def reads(data: str, owner: str) -> list[str]:
    with Store.open(data) as store:
        return [entry.name for entry in store.books.list(Who(owner))]


def test_a_book_is_shared_listed_and_taken_back(data: str) -> None:
    assert run("group", "add", "makers", "ben", "cid", "--data", data).exit_code == 0
    assert run("group", "list", "--data", data).output == "makers  ben cid\n"
    assert "shared with nobody" in run("book", "list", "--data", data).output
    shared = ("sample-inch", "--to", "group:makers", "--data", data)
    assert run("book", "let", *shared, "--may", "write").exit_code == 0
    assert reads(data, "ben") == ["sample-inch"]
    assert "sample-inch  anna  " in (told := run("book", "list", "--data", data).output)
    assert "group:makers may write" in told
    assert run("group", "remove", "makers", "ben", "--data", data).exit_code == 0
    assert (reads(data, "ben"), reads(data, "cid")) == ([], ["sample-inch"])
    assert run("book", "keep-from", *shared).exit_code == 0
    assert reads(data, "cid") == []


def test_a_book_is_given_away_and_brought_back(data: str) -> None:
    assert run("book", "give", "sample-inch", "--owner", "ben", "--data", data).exit_code == 0
    with Store.open(data) as store:
        store.books.delete("sample-inch", store.books.get("sample-inch", Who("ben")).revision, Who("ben"))
    assert "  deleted 2" in run("book", "list", "--data", data).output
    told = run("book", "give", "sample-inch", "--owner", "cid", "--data", data)
    assert (told.exit_code, "no stored price book" in told.output) == (2, True)
    assert run("book", "undelete", "sample-inch", "--data", data).output.startswith("sample-inch  ben  ")
    assert reads(data, "ben") == ["sample-inch"]


@pytest.mark.parametrize(
    ("words", "remedy"),
    [
        (("book", "let", "sample-inch", "--to", "ben", "--may", "read"), "owner:NAME or group:NAME"),
        (("book", "let", "none", "--to", "everyone", "--may", "read"), "no stored price book with this name"),
        (("book", "give", "sample-inch", "--owner", "Ben"), "lower-case letters"),
        (("book", "undelete", "none"), "no stored price book with this name"),
        (("group", "add", "Makers", "ben"), "lower-case letters"),
    ],
)
def test_what_cannot_be_is_told_with_what_would_be_right(data: str, words: tuple[str, ...], remedy: str) -> None:
    told = run(*words, "--data", data)
    assert (told.exit_code, remedy in " ".join(told.output.split())) == (2, True), told.output
