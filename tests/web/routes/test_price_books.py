import pytest

from sawbill.files.shelf import sample_folder


def test_the_price_books_are_listed(client, holds):
    answer = client.get("/v1/price-books").json
    holds("BookList", answer)
    assert [book["name"] for book in answer["price_books"]] == ["sample-inch", "sample-metric"]
    assert all(book["usable"] and book["sample"] for book in answer["price_books"])


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_price_book_is_given_as_a_request_may_bring_it(client, holds, body, name):
    book = client.get(f"/v1/price-books/{name}").json
    holds("PriceBook", book)
    section = book["lumber"][0]["section"]
    body["lines"][0]["parts"] = [{"section": section, "length": "30 in"}]
    by_name = client.post("/v1/quotes", json={**body, "price_book": name}).json
    inline = client.post("/v1/quotes", json={**body, "price_book": book}).json
    assert inline["price_book"] == by_name["price_book"] | {"name": "inline"}
    assert {**inline, "price_book": None} == {**by_name, "price_book": None}


def test_a_book_whose_files_change_is_another_revision(app_with, as_problem, tmp_path, body):
    folder = tmp_path / "mine"
    folder.mkdir()
    for file in (sample_folder() / "sample-inch").iterdir():
        (folder / file.name).write_bytes(file.read_bytes())
    client = app_with(tmp_path).test_client()
    before = client.get("/v1/price-books/mine").json["revision"]
    fixed = {**body, "price_book": f"mine@{before}"}
    assert client.post("/v1/quotes", json=fixed).status_code == 200
    lumber = folder / "lumber.csv"
    lumber.write_text(lumber.read_text().replace("1.59", "1.95", 1))
    problem = as_problem(client.post("/v1/quotes", json=fixed))
    assert problem["type"] == "/problems/price-book-changed"
    assert problem["status"] == 409
    now = client.get("/v1/price-books/mine").json["revision"]
    assert now != before and now in problem["detail"]
    assert [error["pointer"] for error in problem["errors"]] == ["/price_book"]
    both = as_problem(client.post("/v1/quotes", json={**fixed, "units": "feet"}))
    assert [error["pointer"] for error in both["errors"]] == ["/price_book", "/units"]
    assert both["status"] == 422
