"""Backups: of a store in use, restored and looked through."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from tests.store.conftest import ANNA, KEEPER
from tests.store.together import FORKS
from tests.store.writers import write_on

from sawbill.prices.pricebook import PriceBook, canonical
from sawbill.store import NewQuote, Store, StoreDamagedError, StoreError, restore

Books = Callable[..., PriceBook]


def test_a_backup_taken_under_load_holds_all_acknowledged_before_it_and_is_sound(
    folder: Path, tmp_path: Path, book: Books, a_quote: Callable[..., NewQuote]
) -> None:
    ears, mouth = FORKS.Pipe(duplex=False)
    books = [canonical(book(f"4.{i:02}")) for i in range(20)]
    writer = FORKS.Process(target=write_on, args=(str(folder), "w", a_quote(result=b"x" * 50_000), books, mouth))
    writer.start()
    try:
        for number in range(5):
            acknowledged = [ears.recv()[1] for _ in range(20)][::2]
            backup = tmp_path / f"backup-{number}"
            with Store.open(folder) as store:
                store.back_up(backup)
            restore(backup, tmp_path / f"restored-{number}")
            with Store.open(tmp_path / f"restored-{number}") as restored:
                assert restored.faults() == []
                restored.check()
                held = {quote.id for quote in restored.quotes.list(None, most=100_000).quotes}
                assert held >= set(acknowledged)
                assert all(
                    restored.books.content("w", entry.revision, KEEPER) for entry in restored.books.history("w", KEEPER)
                )
                assert restored.quotes.add(a_quote(), book()).new, "and it goes on from there"
    finally:
        writer.kill()
        writer.join()
    assert sorted(path.name for path in tmp_path.glob("backup-*")) == [f"backup-{i}" for i in range(5)]


def test_a_backup_is_one_file_and_never_written_over(folder: Path, tmp_path: Path) -> None:
    with Store.open(folder) as store:
        store.back_up(tmp_path / "backup")
        before = (tmp_path / "backup").read_bytes()
        with pytest.raises(StoreError, match="exists already; name another file"):
            store.back_up(tmp_path / "backup")
        with pytest.raises(StoreError, match="name a file in a folder you can write to"):
            store.back_up(tmp_path / "none" / "backup")
    assert (tmp_path / "backup").read_bytes() == before
    assert {path.name for path in tmp_path.iterdir()} == {"data", "backup"}
    with Store.open(tmp_path / "none") as store, pytest.raises(StoreError, match="there is no store in"):
        store.back_up(tmp_path / "other")


def test_a_backup_is_restored_into_an_empty_folder_only(folder: Path, tmp_path: Path) -> None:
    with Store.open(folder) as store:
        store.back_up(tmp_path / "backup")
    with pytest.raises(StoreError, match="is not empty; name a new folder"):
        restore(tmp_path / "backup", folder)
    with pytest.raises(StoreError, match="is not a file"):
        restore(tmp_path / "none", tmp_path / "new")
    (tmp_path / "empty").mkdir()
    restore(tmp_path / "backup", tmp_path / "empty")
    assert [path.name for path in (tmp_path / "empty").iterdir()] == ["sawbill.sqlite"]


def test_a_damaged_backup_and_other_files_are_refused_and_nothing_is_left(
    folder: Path, tmp_path: Path, book: Books
) -> None:
    with Store.open(folder) as store:
        for i in range(50):
            store.books.put(book(name=f"yard-{i}"), None, ANNA)
        store.back_up(tmp_path / "backup")
    whole = (tmp_path / "backup").read_bytes()
    (tmp_path / "cut").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "holed").write_bytes(whole[:8192] + bytes(8192) + whole[16384:])
    (tmp_path / "text").write_text("name,section\n" * 100)
    (tmp_path / "nothing").touch()
    with closing(sqlite3.connect(tmp_path / "another")) as another, another:
        another.execute("CREATE TABLE birds (name)")
    with closing(sqlite3.connect(tmp_path / "backup")) as stray, stray:
        stray.execute("DELETE FROM revisions")
    for name in ("cut", "holed", "text", "nothing", "another", "backup"):
        with pytest.raises(StoreDamagedError):
            restore(tmp_path / name, tmp_path / f"from {name}")
        assert list((tmp_path / f"from {name}").iterdir()) == [], name


@pytest.mark.postgresql
def test_a_store_in_postgresql_is_backed_up_by_its_own_programs(server, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    with Store.open(server.database()) as store, pytest.raises(StoreError, match="pg_dump"):
        store.back_up(tmp_path / "backup")
