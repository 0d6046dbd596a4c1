"""A disk that is really full: what is there is read, what is deleted is gone, and there is room again."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.store.conftest import ANNA
from tests.store.small_disk import fill, room, small_disk

from sawbill.prices.pricebook import PriceBook
from sawbill.store import NewQuote, Store, StoreFullError
from sawbill.store.sql.reserve import FILE, LEAST, LEAST_ROOM

Keep = Callable[[Store], str]


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    with small_disk(tmp_path, 40) as made:
        yield made


@pytest.fixture
def keep(book: Callable[..., PriceBook], a_quote: Callable[..., NewQuote]) -> Keep:
    """Keeps a large quote."""
    return lambda store: store.quotes.add(a_quote(result=os.urandom(200_000)), book()).quote.summary.id


def kept_until_full(store: Store, keep: Keep) -> list[str]:
    kept = []
    with pytest.raises(StoreFullError, match="make room"):
        while True:
            kept.append(keep(store))
    return kept


def test_on_a_full_disk_reading_and_deleting_go_on_and_there_is_room_again(disk: Path, keep: Keep) -> None:
    with Store.open(disk / "data") as store:
        store.prepare()
        store.check()
        kept = [*(keep(store) for _ in range(5)), *kept_until_full(store, keep)]
        for turn in range(12):
            fill(disk)
            assert room(disk) == 0
            with pytest.raises(StoreFullError):
                store._probe._good_until = 0
                store.check()
            assert len(store.quotes.list(None).quotes) == min(len(kept), 100)
            for _ in range(4):
                store.quotes.delete(kept.pop(), None)
            if turn == 0:
                kept.append(keep(store))
        assert store.faults() == []


def test_a_store_is_opened_and_deleted_from_where_nobody_has_it_open_and_the_disk_is_full(
    disk: Path, keep: Keep, book: Callable[..., PriceBook]
) -> None:
    with Store.open(disk / "data") as store:
        store.prepare()
        quote = keep(store)
        entry = store.books.put(book(), None, ANNA)
    fill(disk)
    with Store.open(disk / "data") as store:
        assert store.quotes.get(quote, None)
        store.quotes.delete(quote, None)
        store.books.delete("yard", entry.revision, ANNA)
        assert [each.name for each in store.books.deleted(ANNA)] == ["yard"]


def test_without_the_room_that_is_kept_free_nothing_could_be_deleted(disk: Path, keep: Keep) -> None:
    """What the tests above would find if nothing were kept free."""
    with Store.open(disk / "data") as store:
        store.prepare()
        kept = kept_until_full(store, keep)
        (disk / "data" / FILE).unlink()
        fill(disk)
        with pytest.raises(StoreFullError):
            while kept:
                store.quotes.delete(kept.pop(), None)


def test_of_a_disk_that_has_little_no_more_than_half_is_kept_free(tmp_path: Path) -> None:
    with small_disk(tmp_path, 5) as disk, Store.open(disk / "data") as store:
        store.prepare()
        assert LEAST <= (disk / "data" / FILE).stat().st_size <= room(disk) + 4096
        with pytest.raises(StoreFullError, match=f"less than {LEAST_ROOM // 1_000_000} MB"):
            store.check()
