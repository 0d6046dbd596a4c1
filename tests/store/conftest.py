"""Stores to test with: the same tests on SQLite in a folder, and on a PostgreSQL server of their own."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from tests.store.failing import Faults, plan_faults
from tests.store.postgresql import Cluster, cluster
from tests.store.prepared import with_tables

from sawbill.prices.pricebook import PriceBook
from sawbill.store import NewQuote, Store, Who

ANNA, BEN, CID = map(Who, ("anna", "ben", "cid"))
STRANGER = Who("")
KEEPER = Who("root", everything=True)
"""Who reaches everything, as for `admin`."""

BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)]


class Clock:
    """A clock that stands until a test moves it."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 1, 12, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def move(self, **by: float) -> None:
        self.now += timedelta(**by)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="session")
def server() -> Iterator[Cluster]:
    with cluster() as made:
        yield made


@pytest.fixture(params=BOTH)
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new store may be made: a folder, or the address of an empty database."""
    if request.param == "sqlite":
        return str(tmp_path / "data")
    made: Cluster = request.getfixturevalue("server")
    return made.database()


@pytest.fixture
def store(where: str, clock: Clock) -> Iterator[Store]:
    """A store at head, by a clock that stands."""
    if "://" not in where:
        with_tables(Path(where))
    with Store.open(where, clock) as opened:
        opened.migrate()
        yield opened


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The data folder of a store in SQLite, at head."""
    return with_tables(tmp_path / "data")


@pytest.fixture
def faults(monkeypatch: pytest.MonkeyPatch) -> Faults:
    """Faults of the database, none as long as none are planned."""
    return plan_faults(monkeypatch)


@pytest.fixture(scope="session")
def book(tiny_book: Callable[..., PriceBook]) -> Callable[..., PriceBook]:
    """A small book whose one board has a price: another price is another revision."""

    def build(price: str = "4.00", name: str = "yard") -> PriceBook:
        return replace(tiny_book([{"length": "8 ft", "price": price}]), name=name)

    return build


@pytest.fixture(scope="session")
def a_quote() -> Callable[..., NewQuote]:
    """A quote to be kept, as far as the store looks into it."""

    def build(**values: Any) -> NewQuote:
        usual: dict[str, Any] = {
            "owner": "anna", "label": "guest room", "book": "yard", "engine": "0.1.0", "currency": "USD",
            "total": "412.30", "request": b'{"a": 1}', "result": '{"name": "½ in"}\n'.encode(),
        }  # fmt: skip
        return NewQuote(**usual | values)

    return build
