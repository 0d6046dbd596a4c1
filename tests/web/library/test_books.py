"""Names of price books that no store could hold are unknown names, wherever a request may write them."""

import pytest
from tests.web.guarded import Kept

NO_TEXT = ("\0", "a\0b", "\ud800", "sample\udfff")
"""What some database cannot hold: NUL, and halves of a character, which JSON may write as an escape."""


@pytest.fixture
def client(tmp_path):
    found = Kept(tmp_path / "data").as_("anna", "admin")
    assert found.put("/v1/price-books/mine?copy=sample-inch", headers={"If-None-Match": "*"}).status_code == 201
    return found


@pytest.mark.parametrize("name", NO_TEXT)
def test_a_name_is_unknown_in_a_body(client, body, as_problem, name):
    for keep in ("yes", "no"):
        problem = as_problem(client.post(f"/v1/quotes?keep={keep}", json={**body, "price_book": name}))
        assert [each["code"] for each in problem["errors"]] == ["unknown-price-book"]
    problem = as_problem(client.post("/v1/comparisons", json={"designs": ["bench"], "price_books": [name]}))
    assert [each["code"] for each in problem["errors"]] == ["unknown-price-book"]


@pytest.mark.parametrize("revision", NO_TEXT)
def test_a_revision_is_unknown_in_a_body(client, body, as_problem, revision):
    problem = as_problem(client.post("/v1/quotes", json={**body, "price_book": f"mine@{revision}"}))
    assert [each["code"] for each in problem["errors"]] == ["unknown-revision"]
    assert "/v1/price-books/mine/revisions" in problem["errors"][0]["detail"]


@pytest.mark.parametrize("text", ["%00", "a%00b"])
def test_both_are_unknown_in_a_query(client, as_problem, text):
    for path in (
        f"/v1/designs/bench?price_book={text}",
        f"/v1/designs/bench/quote?price_book={text}",
        f"/v1/designs/bench/cut-list.json?price_book=mine@{text}",
        f"/v1/comparisons.ndjson?designs=bench&price_book={text}",
        f"/v1/price-books/mine/changes?from={text}",
    ):
        problem = as_problem(client.get(path))
        assert problem["status"] == 422
        assert problem["errors"][0]["code"] in ("unknown-price-book", "unknown-revision"), path
    answer = client.put(f"/v1/price-books/other?copy={text}", headers={"If-None-Match": "*"})
    assert [each["code"] for each in as_problem(answer)["errors"]] == ["unknown-price-book"]
