"""Whichever call of the database fails while a request is answered: a problem, nothing half, and the next one works."""

from contextlib import ExitStack
from functools import partial

import pytest
from click.testing import CliRunner
from tests.store.conftest import BOTH
from tests.store.failing import KINDS, faults_at, held, plan_faults
from tests.store.postgresql import cluster

from sawbill.cli.main import main
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import content
from sawbill.prices.shelf import sample_folder
from sawbill.store import Store, StoreFullError
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings

MINE = "/v1/price-books/mine"


@pytest.fixture
def faults(monkeypatch):
    return plan_faults(monkeypatch)


@pytest.fixture(params=BOTH)
def where(request, tmp_path):
    """Where a store is, at head."""
    with ExitStack() as stack:
        made = str(tmp_path / "data") if request.param == "sqlite" else stack.enter_context(cluster()).database()
        with Store.open(made) as store:
            store.migrate()
        yield made


@pytest.fixture
def anna(where):
    """Somebody who may do everything, and a way to have the service connect to its store anew."""
    app = create_app(Settings(data=where))
    with Store.open(where) as store:
        _, secret = store.tokens.make("anna", "test", ("admin",))
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {secret}"
    service = app.extensions["sawbill"]
    yield client, service.keeper.store.close
    service.keeper.store.close()


def requests(client, body):
    """What writes in the store, and what only reads it: each with the status it ends in."""
    first = client.post("/v1/quotes", json=body)
    assert first.status_code == 201
    place = first.headers["Location"]
    book = content(read_folder(sample_folder() / "sample-inch"))
    return {
        "keep a quote": (201, partial(client.post, "/v1/quotes", json=body, headers={"Idempotency-Key": '"once"'})),
        "label it": (200, partial(client.patch, f"{place}/about", json={"label": "another"})),
        "store a price book": (201, partial(client.put, MINE, json=book, headers={"If-None-Match": "*"})),
        "read a quote": (200, partial(client.get, place)),
        "list them": (200, partial(client.get, "/v1/quotes")),
        "delete it": (204, partial(client.delete, place)),
    }


WRITING = ("keep a quote", "label it", "store a price book", "delete it")
READING = ("read a quote", "list them")
TRIED = [
    *(pytest.param(WRITING[0], kind, lasting) for kind in range(len(KINDS)) for lasting in (False, True)),
    *(pytest.param(asked, 0, False) for asked in (*WRITING[1:], *READING)),
    *(pytest.param(asked, 2, True) for asked in (*WRITING[1:], *READING)),
]
"""What is asked for, which of KINDS meets it, and whether that lasts: all of them for one quote, two for the others."""


@pytest.mark.parametrize(("asked", "kind", "lasting"), TRIED)
def test_whichever_call_of_the_database_fails_it_is_told_and_the_next_request_works(
    where, anna, faults, body, as_problem, asked, kind, lasting
):
    client, connect_anew = anna
    status, ask = requests(client, body)[asked]
    fault, error = faults_at(where)[kind]
    before = held(where)
    for n in range(1, 100):
        connect_anew()
        faults.plan(fault, n, 10**6 if lasting else n)
        answer = ask()
        called = faults.calls
        faults.plan(fault, 0, 0)
        if called < n:
            break
        problem = as_problem(answer)
        assert problem["type"] == ("/problems/store-full" if error is StoreFullError else "/problems/store-busy"), n
        assert problem["retryable"]
        assert answer.status_code == 507 or int(answer.headers["Retry-After"]) > 0
        assert held(where) == before, n
        assert client.get("/readyz").status_code == 200
    assert answer.status_code == status, answer.text
    assert called == n - 1 >= 2, "it went through where, and only where, nothing failed"
    assert (held(where) != before) == (asked in WRITING)
    with Store.open(where) as store:
        assert "://" in where or store.faults() == []


@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("kind", [0, 1, 2], ids=KINDS)
def test_whichever_call_fails_while_a_service_starts_it_is_told_in_a_line_and_the_next_start_works(
    where, faults, kind, lasting
):
    """The start is known to have gone through all of its calls by what it says then: that nobody has a token."""
    fault, _ = faults_at(where)[kind]
    command = ["serve", "--host", "0.0.0.0", "--data", where]
    for n in range(1, 100):
        faults.plan(fault, n, 10**6 if lasting else n)
        ended = CliRunner().invoke(main, command)
        called = faults.calls
        faults.plan(fault, 0, 0)
        if called < n:
            break
        assert (ended.exit_code, ended.output.count("\n")) == (1, 1), (n, ended.output)
        assert "try again" in ended.output or "make room" in ended.output
    assert called == n - 1 >= 2
    assert (ended.exit_code, "there is no token yet" in ended.output) == (2, True)
