import dataclasses
import json

import pytest

from sawbill import registry
from sawbill.asked.request import RequestFault
from sawbill.trade.design import Design
from sawbill.web.http.problems import KINDS, MOST_ERRORS, faulty, pointer_text

JSON = {"Content-Type": "application/json"}


@pytest.mark.parametrize(
    ("method", "path", "data", "headers", "kind"),
    [
        ("POST", "/v1/quotes", b"{", JSON, "bad-request"),
        ("GET", "/nothing", None, {}, "not-found"),
        ("GET", "/v1//designs", None, {}, "not-found"),
        ("GET", "/v1/designs/", None, {}, "not-found"),
        ("GET", "/v1/designs/sofa", None, {}, "not-found"),
        ("GET", "/v1/designs/sofa/quote", None, {}, "not-found"),
        ("GET", "/v1/price-books/none", None, {}, "not-found"),
        ("GET", "/v1/price-books/..%2f..%2fetc", None, {}, "not-found"),
        ("GET", "/problems/none", None, {}, "not-found"),
        ("DELETE", "/v1/designs", None, {}, "method-not-allowed"),
        ("GET", "/v1/cutting-plans", None, {}, "method-not-allowed"),
        ("TRACE", "/", None, {}, "method-not-allowed"),
        ("BREW", "/healthz", None, {}, "method-not-allowed"),
        ("POST", "/v1/quotes", b" " * 2_000_001, JSON, "too-large"),
        ("POST", "/v1/quotes", b"{}", {}, "wrong-content-type"),
        ("POST", "/v1/quotes", b"{}", {"Content-Type": "text/plain"}, "wrong-content-type"),
        ("POST", "/v1/quotes", b"{}", {"Content-Type": "application/json; charset=latin-1"}, "wrong-content-type"),
        ("POST", "/v1/quotes", b"{}", {**JSON, "Content-Encoding": "gzip"}, "wrong-content-type"),
        ("POST", "/v1/quotes", b"{}", JSON, "invalid-request"),
        ("POST", "/v1/quotes?x=1", b"{}", JSON, "invalid-request"),
        ("GET", "/healthz?x=1", None, {}, "invalid-request"),
        ("GET", "/v1/designs/slatted-bed/quote", None, {}, "invalid-request"),
        ("GET", "/v1/designs/slatted-bed/quote.html", None, {}, "invalid-request"),
    ],
)
def test_every_failure_is_a_problem(problem_of, method, path, data, headers, kind):
    problem = problem_of(method, path, data=data, headers=headers)
    assert problem["type"] == f"/problems/{kind}"
    assert (problem["status"], problem["title"]) == (KINDS[kind].status, KINDS[kind].title)


@pytest.mark.parametrize(("path", "allowed"), [("/v1/cutting-plans", {"POST"}), ("/healthz", {"GET", "HEAD"})])
def test_a_method_that_is_not_allowed_is_told_which_are(client, path, allowed):
    answer = client.put(path)
    assert answer.status_code == 405
    assert set(answer.headers["Allow"].split(", ")) == allowed | {"OPTIONS"}


def test_a_host_that_is_not_trusted_gets_a_problem(app_with, as_problem):
    client = app_with(trusted_hosts=("quotes.example",)).test_client()
    assert client.get("/healthz", headers={"Host": "quotes.example"}).status_code == 200
    assert as_problem(client.get("/healthz", headers={"Host": "other.example"}))["status"] == 400


def test_the_body_s_bound_is_as_set_at_below_and_above(app_with, as_problem):
    client = app_with(max_body=1000).test_client()
    for size, status in ((999, 400), (1000, 400), (1001, 413)):
        assert as_problem(client.post("/v1/quotes", data=b" " * size, headers=JSON))["status"] == status


def test_a_fault_of_ours_tells_nothing_of_the_inside(app, app_with, as_problem, caplog, monkeypatch):
    def build(options):
        raise RuntimeError("the secret of /etc/secret")

    bed = app.extensions["sawbill"].designs["slatted-bed"]
    broken = dataclasses.replace(bed, name="broken", build=build)
    assert isinstance(broken, Design)
    monkeypatch.setattr(registry, "designs", lambda: {"broken": broken})
    client = app_with(designs={"broken": broken}).test_client()
    answer = client.get("/v1/designs/broken/quote?price_book=sample-inch")
    assert as_problem(answer)["type"] == "/problems/internal-error"
    assert b"secret" not in answer.data
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert "the secret of /etc/secret" in caplog.text, "whoever runs the service finds it in the log"


@pytest.fixture
def broken_books(tmp_path):
    """A folder with a book whose lumber has a price of 0 and an unknown section."""
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "book.toml").write_text('title = "Mine"\n')
    return tmp_path


def test_a_stored_book_at_fault_is_a_503_that_names_files_and_no_folder(app_with, as_problem, broken_books):
    client = app_with(broken_books).test_client()
    for answer in (
        client.get("/v1/price-books/mine"),
        client.get("/v1/designs/slatted-bed/quote?price_book=mine"),
        client.get("/v1/designs/slatted-bed?price_book=mine"),
        client.post("/v1/quotes", json={"price_book": "mine", "lines": [{"design": "slatted-bed"}]}),
    ):
        problem = as_problem(answer)
        assert problem["type"] == "/problems/price-book-at-fault"
        assert problem["retryable"] is True
        assert answer.headers["Retry-After"] == "60"
        assert any("lumber.csv" in error["detail"] for error in problem["errors"])
        assert str(broken_books) not in answer.text
    (listed,) = client.get("/v1/price-books").json["price_books"]
    assert listed["usable"] is False
    assert client.get("/").status_code == 200


def test_what_cannot_be_bought_names_the_part_and_the_longest_board(client, body, as_problem):
    body["lines"][0]["parts"] = [{"name": "ridge", "section": "2x6", "length": "20 ft"}]
    problem = as_problem(client.post("/v1/quotes", json=body))
    assert problem["type"] == "/problems/cannot-be-bought"
    (error,) = problem["errors"]
    assert error["code"] == "no-board-long-enough"
    assert "the 240 in ridge" in error["detail"] and "the longest 2x6 is 192 in" in error["detail"]
    assert error["parts"] == ["A"]


def test_a_problem_lists_a_bounded_number_of_faults():
    problem = faulty([RequestFault(("x", i), "code", "detail") for i in range(MOST_ERRORS + 1)])
    assert problem.detail == f"{MOST_ERRORS + 1} mistakes, of which the first {MOST_ERRORS} are listed"


def test_a_pointer_is_escaped_and_shortened():
    assert pointer_text(("a/b", 0, "c~d")) == "/a~1b/0/c~0d"
    assert len(pointer_text(("x" * 10_000,))) < 100
    assert pointer_text(("\ud800\0",)).encode()


def test_a_browser_gets_its_problem_as_a_page(client):
    answer = client.get(
        "/v1/designs/slatted-bed/quote.html?clear_height=<b>", headers={"Accept": "text/html,*/*;q=0.8"}
    )
    assert answer.status_code == 422
    assert answer.content_type == "text/html; charset=utf-8"
    assert "clear_height is &#34;&lt;b&gt;&#34;" in answer.text
    assert answer.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_problem_is_explained_at_its_address(client, kind):
    answer = client.get(f"/problems/{kind}")
    assert answer.status_code == 200
    assert KINDS[kind].title in answer.text


def test_a_problem_can_be_read_as_json_whatever_stands_in_the_request(client):
    name = "\U0001f4a9\u202e" + "\\ud800"
    data = b'{"price_book": "sample-inch", "lines": [], "' + name.encode("utf-8", "surrogatepass") + b'": 1}'
    answer = client.post("/v1/quotes", data=data, headers=JSON)
    assert answer.status_code == 422
    assert json.loads(answer.data.decode("utf-8"))
