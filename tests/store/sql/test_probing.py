"""What a probe finds: it reads and writes, and looks at the file as it is on the disk."""

import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from sawbill.prices.pricebook import PriceBook
from sawbill.store import NewQuote, Store, StoreBusyError, StoreDamagedError
from sawbill.store.sql import database as store_database
from sawbill.store.sql.database import FILE


def test_a_sound_store_is_ready_and_stays_as_it_is(store: Store) -> None:
    store.check()
    assert store.state() == "head"
    store._probe._good_until = 0.0
    store.check()


@pytest.mark.parametrize("place", [0.1, 0.5, 0.9])
def test_a_file_that_is_damaged_anywhere_is_not_ready(
    folder: Path, book: Callable[..., PriceBook], a_quote: Callable[..., NewQuote], place: float
) -> None:
    with Store.open(folder) as store:
        for number in range(40):
            store.quotes.add(a_quote(result=bytes([number]) * 9_000), book())
    file = folder / FILE
    spoilt = int(file.stat().st_size * place) // 4096 * 4096
    with file.open("r+b") as opened:
        opened.seek(spoilt)
        opened.write(b"\xff" * 8192)
    with Store.open(folder) as store, pytest.raises(StoreDamagedError, match="restore the last backup"):
        store.check()


def test_a_damage_is_found_though_the_store_was_ready_before(folder: Path) -> None:
    with Store.open(folder) as store:
        store.check()
        with (folder / FILE).open("r+b") as opened:
            opened.seek(4096)
            opened.write(b"\xff" * 40_960)
        store._probe._good_until = store._probe._look_next = 0.0
        with pytest.raises(StoreDamagedError):
            store.check()


def test_a_store_that_nobody_can_write_to_is_not_ready(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    connect = store_database.connect_file
    monkeypatch.setattr(store_database, "connect_file", lambda file: connect(file, wait=0.1))
    with Store.open(folder) as store, closing(sqlite3.connect(folder / FILE, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreBusyError):
            store.check()
        other.execute("ROLLBACK")
        store.check()


def test_who_asks_again_and_again_does_not_wear_the_disk_out(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store.open(folder) as store:
        written, began = [], time.monotonic()
        monkeypatch.setattr(store._probe, "_write", lambda: written.append(1))
        for _ in range(100):
            store.check()
        assert len(written) <= 2 + time.monotonic() - began, "one a second is enough, however slow the machine is"
