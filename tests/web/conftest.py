"""The application on the sample books, and its answers held against its own description."""

import copy
import json
from collections.abc import Mapping

import jsonschema
import pytest

from sawbill.prices.shelf import Shelf
from sawbill.web.app import create_app
from sawbill.web.library.keeping import Keeper
from sawbill.web.running.settings import Settings
from sawbill.web.work.quoting import Service

SHELF = [{"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}]


@pytest.fixture(scope="session")
def app():
    """The application, as it starts on its own."""
    return create_app(Settings())


@pytest.fixture
def client(app):
    return app.test_client()


@pytest.fixture
def body():
    """A small request that is quick to quote."""
    return {"price_book": "sample-inch", "lines": [{"label": "wall shelf", "parts": copy.deepcopy(SHELF)}]}


@pytest.fixture
def problem_of(client):
    """Send a request that has a fault: give its problem, after a look at the shape that all problems have."""

    def send(method, path, **kwargs):
        return told(client.open(path, method=method, **kwargs))

    return send


@pytest.fixture(scope="session")
def as_problem():
    """Read an answer as a problem."""
    return told


def told(answer):
    """Read a problem and hold it against RFC 9457 and what we add to it."""
    assert answer.status_code >= 400
    assert answer.content_type == "application/problem+json"
    problem = json.loads(answer.data)
    assert list(problem) == ["type", "title", "status", "detail", "retryable", "errors"]
    assert problem["status"] == answer.status_code
    assert problem["type"].startswith("/problems/")
    assert problem["title"] and problem["detail"]
    assert isinstance(problem["retryable"], bool)
    for error in problem["errors"]:
        assert error["code"] and error["detail"]
        assert set(error) <= {
            "pointer",
            "parameter",
            "file",
            "line",
            "sheet",
            "row",
            "column",
            "code",
            "detail",
            "parts",
        }
    text = answer.data.decode()
    assert not any(
        word in text for word in ("Traceback", "site-packages", "/sawbill/", ".py", "<class", "object at 0x")
    )
    return problem


@pytest.fixture(scope="session")
def description(app):
    """The description of the interface, as it is served."""
    return app.test_client().get("/openapi.json").json


@pytest.fixture(scope="session")
def asked_at(description):
    """Give the parameters of an operation, those described once for several addresses among them."""

    def found(operation):
        shared = description["components"]["parameters"]
        return [shared[each["$ref"].rpartition("/")[2]] if "$ref" in each else each for each in operation["parameters"]]

    return found


@pytest.fixture(scope="session")
def holds(description):
    """Hold an answer against its description, both ways: every key is described, every described key is there."""

    def check(name, answer):
        schemas = closed(description["components"])
        jsonschema.validate(answer, {"$ref": f"#/components/schemas/{name}", "components": schemas})

    return check


def closed(schema):
    """A copy of a schema in which no object may have a key that is not described."""
    if isinstance(schema, Mapping):
        more = {"additionalProperties": False} if "properties" in schema else {}
        return {key: closed(value) for key, value in schema.items()} | more
    return [closed(value) for value in schema] if isinstance(schema, list) else schema


@pytest.fixture
def app_with(app):
    """Make an application with other designs, price books or settings than the usual ones."""

    def make(books=None, designs=None, **settings):
        chosen = Settings(**settings) if books is None else Settings(books, **settings)
        other = create_app(chosen)
        if designs is not None:
            other.extensions["sawbill"] = Service(designs, Shelf(chosen.books), chosen, Keeper(chosen.data))
        return other

    return make


@pytest.fixture(scope="session")
def queen(app):
    """The answer with a queen bed from the inch book, made once."""
    return app.test_client().get("/v1/designs/slatted-bed/quote?price_book=sample-inch&mattress=queen")
