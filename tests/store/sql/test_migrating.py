"""The tables of a store: made, recognised, and the same as this version reads, on both databases."""

import hashlib
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import text
from tests.store.conftest import ANNA, BEN, STRANGER
from tests.store.together import at_once

from sawbill.prices.pricebook import PriceBook, canonical
from sawbill.store import (
    BookRights,
    QuoteFilter,
    Store,
    StoreDamagedError,
    StoreError,
    StoreNotAtHeadError,
    StoreUnavailableError,
    UnknownStoredBookError,
)
from sawbill.store.kept.secret import hashed, make_secret
from sawbill.store.sql import migrating
from sawbill.store.sql.database import Database, create_file
from sawbill.store.sql.schema import METADATA


def test_the_migrations_make_exactly_the_tables_that_are_read(where: str) -> None:
    with Store.open(where) as store:
        assert (store.state(), store.migrate(), store.state()) == ("new", "new", "head")
    database = Database(where)
    with database.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
    database.close()


def test_migrating_a_store_at_head_changes_nothing(store: Store, book: Callable[..., PriceBook]) -> None:
    entry = store.books.put(book(), None, ANNA)
    assert store.migrate() == "head"
    assert store.books.list(ANNA) == (entry,)


def test_quotes_of_the_first_tables_are_found_by_their_designs(where: str) -> None:
    """The row is written as the first version wrote it; its request says which designs it has."""
    database, request = Database(where), '{"lines": [{"design": "daybed"}, {"parts": []}, {"design": "bench"}]}'
    if database.file is not None:
        create_file(database.file)
    with database.write() as connection:
        command.upgrade(migrating._config(connection=connection), "0001")
        connection.execute(text("INSERT INTO revisions VALUES ('r1', :none, 0)"), {"none": b"{}"})
        columns = "id, owner, label, book, revision, engine, currency, total, request, result, stored"
        values = "'q1', 'anna', '', 'yard', 'r1', '0.1.0', 'USD', '4.20', :request, :result, 0"
        connection.execute(
            text(f"INSERT INTO quotes ({columns}) VALUES ({values})"), {"request": request.encode(), "result": b"{}"}
        )
    database.close()
    with Store.open(where) as store:
        assert store.migrate() == "behind"
        (found,) = store.quotes.list("anna", wanted=QuoteFilter(design="bench")).quotes
        assert found.designs == ("bench", "daybed")
        assert store.quotes.get("q1", "anna").result == b"{}"


def of_half_the_digits(where: str, book: PriceBook, *, damaged: bool = False) -> str:
    """A store as version 0.7 wrote it: a book of two revisions, and a quote made from the first."""
    database, first = Database(where), canonical(book)
    if database.file is not None:
        create_file(database.file)
    names = [hashlib.sha256(text).hexdigest()[:16] for text in (first, b"{}")]
    with database.write() as connection:
        command.upgrade(migrating._config(connection=connection), "0002")
        insert = text("INSERT INTO revisions VALUES (:name, :content, 7)")
        for name, content in zip(names, (b"spoilt" if damaged else first, b"{}"), strict=True):
            connection.execute(insert, {"name": name, "content": content})
        connection.execute(text("INSERT INTO books VALUES ('yard', 2, :now)"), {"now": names[1]})
        for sequence, (name, by) in enumerate(zip(names, ("anna", "ben"), strict=True), 1):
            row = {"sequence": sequence, "name": name, "by": by}
            connection.execute(text("INSERT INTO book_history VALUES ('yard', :sequence, :name, :by, 7)"), row)
        columns = "id, owner, label, book, revision, engine, currency, total, request, result, stored"
        values = "'q1', 'anna', '', 'yard', :revision, '0.7.0', 'USD', '4.20', :request, :result, 0"
        quote = {"revision": names[0], "request": b"{}", "result": b'{"as": "ever"}'}
        connection.execute(text(f"INSERT INTO quotes ({columns}) VALUES ({values})"), quote)
    database.close()
    return names[0]


def test_revisions_of_half_the_digits_are_found_by_their_old_names_and_their_new_ones(
    where: str, book: Callable[..., PriceBook]
) -> None:
    short, made = of_half_the_digits(where, book()), book()
    with Store.open(where) as store:
        assert store.migrate() == "behind"
        long = made.revision
        assert long.startswith(short) and len(long) == 2 * len(short)
        for name in (short, long):
            assert store.books.content("yard", name, BEN) == store.books.revision(name) == canonical(made)
        assert [(each.sequence, each.by) for each in store.books.history("yard", BEN)] == [(2, "ben"), (1, "anna")]
        assert store.books.history("yard", BEN)[1].revision == long
        kept = store.quotes.get("q1", "anna")
        assert (kept.summary.revision, kept.result) == (long, b'{"as": "ever"}')
        now = hashlib.sha256(b"{}").hexdigest()
        assert store.books.put(book("4.10"), now[:16], BEN).sequence == 3, "written over by the tag of before"
        with pytest.raises(UnknownStoredBookError):
            store.books.revision(book("4.10").revision[:16])


def test_a_book_of_before_belongs_to_who_wrote_it_last(where: str, book: Callable[..., PriceBook]) -> None:
    of_half_the_digits(where, book())
    with Store.open(where) as store:
        store.migrate()
        assert store.books.get("yard", BEN).may == "own"
        assert store.books.list(ANNA) == store.books.list(STRANGER) == ()
        assert store.rights.of("yard", BEN) == BookRights("ben", ())


def test_tokens_of_before_can_sign_in(where: str) -> None:
    database, secret = Database(where), make_secret()
    if database.file is not None:
        create_file(database.file)
    with database.write() as connection:
        command.upgrade(migrating._config(connection=connection), "0005")
        values = {"secret": hashed(secret)}
        connection.execute(
            text("INSERT INTO tokens VALUES ('t1', :secret, 'anna', 'laptop', 'quote', 7, NULL, NULL)"), values
        )
    database.close()
    with Store.open(where) as store:
        assert store.migrate() == "behind"
        _, own = store.sessions.begin(secret, over_tls=False)
        assert store.sessions.check(own).token.id == "t1"


def test_a_revision_that_was_damaged_before_is_told_of_and_stops_no_migration(
    where: str, book: Callable[..., PriceBook]
) -> None:
    short = of_half_the_digits(where, book(), damaged=True)
    with Store.open(where) as store:
        store.migrate()
        with pytest.raises(StoreDamagedError):
            store.books.content("yard", short, BEN)
        assert store.quotes.get("q1", "anna").result == b'{"as": "ever"}'


def test_of_many_who_migrate_at_once_one_does(where: str) -> None:
    stores = [Store.open(where) for _ in range(4)]
    done, failed = at_once([store.migrate for store in stores])
    assert failed == []
    assert sorted(done) == ["head", "head", "head", "new"]
    for store in stores:
        store.close()


@pytest.mark.parametrize(
    ("version", "state", "remedy"),
    [("0000", "ahead", "newer version"), ("'; DROP", "ahead", "newer version")],
)
def test_a_store_of_a_newer_version_is_left_alone(where: str, version: str, state: str, remedy: str) -> None:
    with Store.open(where) as store:
        store.migrate()
        _pretend(where, version)
        assert store.state() == state
        for ask in (store.prepare, store.migrate, store.check):
            with pytest.raises(StoreNotAtHeadError, match=remedy):
                ask()


def test_a_service_starts_on_a_new_folder_and_never_migrates_an_old_store(tmp_path: Path) -> None:
    with Store.open(tmp_path / "new" / "data") as store:
        with pytest.raises(StoreNotAtHeadError, match="sawbill migrate"):
            store.check()
        store.prepare()
        store.check()
        assert store.faults() == []
    mode = (tmp_path / "new" / "data" / "sawbill.sqlite").stat().st_mode
    assert stat.S_IMODE(mode) == 0o600, "nobody else on the machine reads prices and hashes"


@pytest.mark.postgresql
def test_a_service_does_not_make_tables_in_a_database_by_itself(server) -> None:  # type: ignore[no-untyped-def]
    with Store.open(server.database()) as store, pytest.raises(StoreNotAtHeadError, match="run `sawbill migrate`"):
        store.prepare()


def test_what_is_asked_of_a_store_without_tables_is_answered_with_the_remedy(where: str, tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "sawbill.sqlite").touch()
    with Store.open(where) as store:
        for ask in (
            partial(store.books.list, ANNA),
            partial(store.quotes.list, None),
            partial(store.tokens.revoke, "0"),
        ):
            with pytest.raises(StoreNotAtHeadError, match="sawbill migrate"):
                ask()


def test_a_folder_without_a_store_is_not_filled_by_asking(tmp_path: Path) -> None:
    with Store.open(tmp_path) as store, pytest.raises(StoreUnavailableError, match="its folder"):
        store.books.list(ANNA)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "address", ["postgresql://a@b/c", "mysql://a@b/c", "sqlite:///a", "postgresql+psycopg2://a", "://"]
)
def test_an_address_of_another_kind_is_refused_with_one_that_would_do(address: str) -> None:
    with pytest.raises(StoreError, match=r"begins with postgresql\+psycopg://"):
        Store.open(address)


def test_a_server_that_is_not_there_is_told_without_its_password(tmp_path: Path) -> None:
    with Store.open(f"postgresql+psycopg://anna:geheim@/sawbill?host={tmp_path}") as store:  # noqa: SIM117
        with pytest.raises(StoreUnavailableError, match="cannot be reached") as caught:
            store.check()
    assert "geheim" not in str(caught.value)


def test_a_store_in_use_is_not_used_by_a_process_that_was_forked_from_it(folder: Path) -> None:
    code = f"""
import os
from sawbill.store import Store, StoreError
store = Store.open({str(folder)!r})
store.check()
def in_child():
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    try:
        store.check()
    except StoreError as error:
        os._exit(1 if "forked" in str(error) else 2)
    os._exit(0)
print(in_child(), end=" ")
store.close()
print(in_child())
"""
    environment = {**os.environ, "PYTHONWARNINGS": "ignore"}
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment)
    assert ended.stdout.split() == ["1", "0"]


def _pretend(where: str, version: str) -> None:
    database = Database(where)
    with database.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = :version"), {"version": version})
    database.close()
