"""Quotes that are kept: the same bytes for ever, each its owner's, and what became of them at today's prices."""

import json
import shutil
import threading
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from tests.store.prepared import with_tables

from sawbill import cutting
from sawbill.buying import deals
from sawbill.prices.shelf import sample_folder
from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings


@pytest.fixture
def books(tmp_path):
    """A folder of price books that a test may change."""
    shutil.copytree(sample_folder(), tmp_path / "books")
    return tmp_path / "books"


@pytest.fixture
def data(tmp_path):
    return tmp_path / "data"


@pytest.fixture
def store(data):
    """The service's store, seen from beside it."""
    with Store.open(with_tables(data)) as opened:
        opened.prepare()
        yield opened


@pytest.fixture
def keeping(books, data, store):
    """The application with a store."""
    return create_app(Settings(books, data=str(data)))


@pytest.fixture
def as_(keeping, store):
    """Make a client with a token of an owner's."""

    def make(owner, *scopes):
        _, secret = store.tokens.make(owner, "test", scopes or ("quote",))
        client = keeping.test_client()
        client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {secret}"
        return client

    return make


@pytest.fixture
def anna(as_):
    return as_("anna")


@pytest.fixture
def kept(anna, body):
    """Keep a small quote, and give the answer to it."""

    def keep(client=anna, **more):
        answer = client.post("/v1/quotes", json={**body, **more})
        assert answer.status_code == 201, answer.text
        return answer

    return keep


def reprice(books, item_code, price):
    """Change the price of an item in the book, as its keeper would."""
    file = books / "sample-inch" / "lumber.csv"
    rows = file.read_text(encoding="utf-8").splitlines()
    column = rows[0].split(",").index("price")
    changed = [row.split(",") for row in rows]
    assert any(item_code in cells for cells in changed)
    for cells in changed[1:]:
        if item_code in cells:
            cells[column] = price
    file.write_text("\n".join(map(",".join, changed)) + "\n", encoding="utf-8")


def boards(answer):
    return [row for row in answer["shopping_list"] if row["kind"] == "lumber"]


# ---- keeping


def undrawn(quote):
    """A quote without the addresses of its drawings, which say where it is kept."""
    return {**quote, "drawings": []}


def test_a_quote_is_kept_and_given_back_byte_for_byte_also_after_its_price_book_changed(
    anna, kept, books, body, client, holds
):
    answer = kept()
    address = answer.headers["Location"]
    assert address.startswith("/v1/quotes/")
    assert undrawn(answer.json) == undrawn(client.post("/v1/quotes", json=body).json), "kept or not, it is the same"
    assert all(row["address"].startswith(address) for row in answer.json["drawings"])
    reprice(books, boards(answer.json)[0]["item_code"], "99.00")
    other = anna.post("/v1/quotes?keep=no", json=body)
    assert other.status_code == 200 and other.json["totals"] != answer.json["totals"], "the prices did move"
    again = anna.get(address)
    assert (again.status_code, again.data) == (200, answer.data)
    assert again.headers["ETag"] == answer.headers["ETag"]
    assert again.headers["Cache-Control"] == "no-store"
    assert anna.get(f"{address}.json").data == answer.data
    holds("Quote", again.json)


def test_who_holds_a_quote_already_is_not_sent_it_again(anna, kept):
    answer = kept()
    again = anna.get(answer.headers["Location"], headers={"If-None-Match": answer.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    other = anna.get(answer.headers["Location"], headers={"If-None-Match": '"other"'})
    assert (other.status_code, other.data) == (200, answer.data)


def test_a_label_is_told_beside_the_quote_and_never_in_it(anna, kept, holds):
    plain, labelled = kept(), kept(label="guest room, ½ size")
    assert undrawn(plain.json) == undrawn(labelled.json)
    about = anna.get(f"{labelled.headers['Location']}/about")
    holds("About", about.json)
    assert (about.json["label"], about.json["owner"]) == ("guest room, ½ size", "anna")
    assert about.json["total"] == labelled.json["totals"]["total"]
    assert about.json["price_book"]["revision"] == labelled.json["price_book"]["revision"]
    stored = datetime.fromisoformat(about.json["stored"])
    assert timedelta(0) <= datetime.now(UTC) - stored < timedelta(minutes=1)
    assert about.json["links"]["quote"] == labelled.headers["Location"]
    assert f"<{about.json['links']['about']}>" in labelled.headers["Link"]


def test_a_quote_is_labelled_anew_and_stays_as_it_is(anna, kept):
    answer = kept(label="first")
    about = f"{answer.headers['Location']}/about"
    changed = anna.patch(about, json={"label": "second"})
    assert (changed.status_code, changed.json["label"]) == (200, "second")
    assert anna.get(about).json == changed.json
    assert anna.get(answer.headers["Location"]).data == answer.data


@pytest.mark.parametrize("key", ["id", "owner", "total", "stored"])
def test_nothing_but_the_label_may_be_written_about_a_quote(anna, kept, as_problem, key):
    about = f"{kept().headers['Location']}/about"
    (error,) = as_problem(anna.patch(about, json={"label": "x", key: "ben"}))["errors"]
    assert (error["pointer"], error["code"]) == (f"/{key}", "unknown-key")
    assert "label" in error["detail"], "what is known there is told"


def test_a_deleted_quote_is_gone(anna, kept, as_problem):
    address = kept().headers["Location"]
    deleted = anna.delete(address)
    assert (deleted.status_code, deleted.data) == (204, b"")
    for answer in (anna.get(address), anna.delete(address)):
        assert as_problem(answer)["type"] == "/problems/not-found"


@pytest.mark.parametrize("word", ["no", "false"])
def test_a_quote_may_be_worked_out_only(anna, body, store, word):
    answer = anna.post(f"/v1/quotes?keep={word}", json=body)
    assert answer.status_code == 200 and "Location" not in answer.headers
    assert store.quotes.list(None).quotes == ()


def test_a_service_without_a_store_answers_and_keeps_nothing(client, body, as_problem):
    answer = client.post("/v1/quotes", json=body)
    assert answer.status_code == 200 and "Location" not in answer.headers
    problem = as_problem(client.post("/v1/quotes?keep=yes", json=body))
    assert (problem["type"], problem["status"]) == ("/problems/nothing-kept", 409)
    assert "--data" in problem["detail"]


def test_faults_are_told_and_nothing_is_kept(anna, body, store, as_problem):
    problem = as_problem(anna.post("/v1/quotes", json={**body, "label": 7, "totals": {}}))
    assert [error["pointer"] for error in problem["errors"]] == ["/label", "/totals"]
    problem = as_problem(anna.post("/v1/quotes?keep=perhaps", json=body))
    assert problem["errors"][0]["parameter"] == "keep"
    assert store.quotes.list(None).quotes == ()


# ---- whose it is


def test_anothers_quote_is_not_there_at_any_address_of_a_quote(keeping, as_, kept, as_problem, store):
    """Over every route with the id of a quote, in every form it is offered in."""
    quote_id, ben = kept().headers["Location"].rpartition("/")[2], as_("ben")
    rest = {"table": "cut-list", "path": "total", "link_id": "1" * 20}
    bodies = {("PATCH", "about"): {"label": "mine"}, ("POST", "links"): {}}
    asked = [
        (method, rule)
        for rule in keeping.url_map.iter_rules()
        if "quote_id" in rule.arguments
        for method in sorted(rule.methods - {"HEAD", "OPTIONS"})
    ]
    assert {"GET", "PATCH", "POST", "DELETE"} == {method for method, _ in asked}

    def ask(method, rule, quote_id):
        values = {"quote_id": quote_id, **{name: rest[name] for name in rule.arguments - {"quote_id"}}}
        address = keeping.url_map.bind("localhost").build(rule.endpoint, values)
        return ben.open(address, method=method, json=bodies.get((method, address.rpartition("/")[2])))

    for method, rule in asked:
        found, missing = (ask(method, rule, each) for each in (quote_id, "0" * 20))
        assert found.status_code == 404, (method, rule.rule)
        assert found.data == missing.data, "nothing tells it from one that is not there"
    assert as_problem(ben.post(f"/v1/quotes/{quote_id}/requote?keep=yes"))["status"] == 404
    assert ben.get("/v1/quotes").json["quotes"] == []
    (left,) = store.quotes.list(None).quotes
    assert (left.owner, left.label) == ("anna", "")


def test_who_may_do_everything_sees_and_reaches_everybodys(as_, kept):
    kept(as_("anna"))
    answer = kept(as_("ben"))
    admin = as_("chris", "admin")
    assert [each["owner"] for each in admin.get("/v1/quotes").json["quotes"]] == ["ben", "anna"]
    assert admin.get(answer.headers["Location"]).data == answer.data


def test_keeping_takes_a_token_and_who_has_none_is_told_both_ways(keeping, store, body, as_, as_problem):
    store.tokens.make("anna", "test", ("quote",))
    stranger = keeping.test_client()
    answer = stranger.post("/v1/quotes", json=body)
    problem = as_problem(answer)
    assert problem["status"] == 401 and answer.headers["WWW-Authenticate"].startswith("Bearer")
    assert "Authorization: Bearer" in problem["detail"] and "keep=no" in problem["detail"]
    assert stranger.post("/v1/quotes?keep=no", json=body).status_code == 200
    assert stranger.get("/v1/quotes").status_code == 401
    assert as_problem(as_("ben", "price-book").post("/v1/quotes", json=body))["status"] == 403
    assert store.quotes.list(None).quotes == ()


# ---- the same request again


def test_the_same_key_and_body_are_answered_with_the_same_bytes_even_when_prices_moved(anna, body, books, store):
    key = {"Idempotency-Key": '"8e03978e-40d5-43dd-bc93-6894a57f9324"'}
    first = anna.post("/v1/quotes", json=body, headers=key)
    reprice(books, boards(first.json)[0]["item_code"], "99.00")
    again = anna.post("/v1/quotes", json=body, headers=key)
    assert (first.status_code, again.status_code) == (201, 201)
    assert (again.data, again.headers["Location"]) == (first.data, first.headers["Location"])
    assert len(store.quotes.list(None).quotes) == 1


def test_the_same_key_with_another_body_is_refused(anna, body, as_problem, store):
    key = {"Idempotency-Key": '"one"'}
    assert anna.post("/v1/quotes", json=body, headers=key).status_code == 201
    problem = as_problem(anna.post("/v1/quotes", json={**body, "label": "x"}, headers=key))
    assert (problem["type"], problem["status"]) == ("/problems/key-reused", 422)
    assert len(store.quotes.list(None).quotes) == 1


def test_the_same_key_of_another_owner_is_another_key(anna, as_, body):
    key = {"Idempotency-Key": '"one"'}
    first = anna.post("/v1/quotes", json=body, headers=key)
    other = as_("ben").post("/v1/quotes", json={**body, "label": "x"}, headers=key)
    assert (first.status_code, other.status_code) == (201, 201)
    assert first.headers["Location"] != other.headers["Location"]


def test_a_request_with_faults_does_not_use_up_its_key(anna, body, as_problem):
    key = {"Idempotency-Key": "one"}
    as_problem(anna.post("/v1/quotes", json={**body, "lines": []}, headers=key))
    assert anna.post("/v1/quotes", json=body, headers=key).status_code == 201


def test_a_key_may_be_a_string_in_quotes_or_the_bare_word(anna, body):
    first, again = (anna.post("/v1/quotes", json=body, headers={"Idempotency-Key": key}) for key in ('"8e03"', "8e03"))
    assert first.headers["Location"] == again.headers["Location"]


@pytest.mark.parametrize("key", ["", '""', '"a', 'a"b', "a b", '"é"', '"a", "b"', "x" * 256])
def test_what_is_no_key_is_refused_with_how_to_write_one(anna, body, as_problem, store, key):
    problem = as_problem(anna.post("/v1/quotes", json=body, headers={"Idempotency-Key": key}))
    assert problem["type"] == "/problems/bad-request" and "in quotes, such as" in problem["detail"]
    assert store.quotes.list(None).quotes == ()


def test_of_fifty_at_once_with_one_key_one_is_kept_and_all_get_its_bytes(keeping, store, body):
    _, secret = store.tokens.make("anna", "test", ("quote",))
    headers = {"Idempotency-Key": '"one"', "Authorization": f"Bearer {secret}"}
    answers, start = [], threading.Barrier(50)

    def send():
        start.wait()
        answers.append(keeping.test_client().post("/v1/quotes", json=body, headers=headers))

    threads = [threading.Thread(target=send) for _ in range(50)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [answer.status_code for answer in answers] == [201] * 50
    assert len({(answer.data, answer.headers["Location"]) for answer in answers}) == 1
    assert len(store.quotes.list(None).quotes) == 1


# ---- lists


def test_pages_hold_while_quotes_are_added(anna, kept, holds):
    for number in range(5):
        kept(label=f"no. {number}")
    page = anna.get("/v1/quotes?limit=2")
    holds("KeptList", page.json)
    seen = [each["label"] for each in page.json["quotes"]]
    while page.json["next"]:
        assert page.headers["Link"] == f'<{page.json["next"]}>; rel="next"'
        kept(label="late")
        page = anna.get(page.json["next"])
        seen += [each["label"] for each in page.json["quotes"]]
    assert seen == [f"no. {number}" for number in range(4, -1, -1)]
    assert "Link" not in page.headers


def test_a_page_keeps_what_was_asked_for(anna, kept):
    for label in ("guest bed", "shelf", "Guest bench", "shelf"):
        kept(label=label)
    first = anna.get("/v1/quotes", query_string={"label": "guest b", "limit": "1"}).json
    second = anna.get(first["next"]).json
    assert [each["label"] for each in (*first["quotes"], *second["quotes"])] == ["Guest bench", "guest bed"]
    assert second["next"] is None


def test_a_list_may_be_of_a_design_a_book_or_a_time(anna, kept, body):
    kept(lines=[{"design": "bench"}, *body["lines"]], label="bench")
    kept(label="shelf")
    now = datetime.now(UTC)
    for asked, labels in [
        ({"design": "bench"}, ["bench"]),
        ({"design": "benc"}, []),
        ({"book": "sample-inch"}, ["shelf", "bench"]),
        ({"book": "sample-metric"}, []),
        ({"since": f"{now:%Y-%m-%d}", "until": (now + timedelta(hours=1)).isoformat()}, ["shelf", "bench"]),
        ({"since": (now + timedelta(hours=1)).strftime("%Y-%m-%dT%H:%M:%SZ")}, []),
        ({"until": "2020-01-01"}, []),
    ]:
        found = anna.get("/v1/quotes", query_string=asked).json["quotes"]
        assert [each["label"] for each in found] == labels, asked


@pytest.mark.parametrize(("limit", "right"), [("1", True), ("100", True), ("0", False), ("101", False), ("-1", False)])
def test_a_page_has_one_to_a_hundred_quotes(anna, as_problem, limit, right):
    answer = anna.get(f"/v1/quotes?limit={limit}")
    if right:
        assert answer.status_code == 200
    else:
        (error,) = as_problem(answer)["errors"]
        assert error["parameter"] == "limit" and error["detail"].endswith("from 1 to 100")


def test_every_fault_of_what_a_list_is_asked_for_is_told(anna, as_problem):
    asked = {
        "limit": "1000", "after": "9" * 19, "label": "a\0b", "design": "", "since": "yesterday",
        "until": "2026-11-01T12:00:00",
    }  # fmt: skip
    problem = as_problem(anna.get("/v1/quotes", query_string=asked))
    assert {error["parameter"]: error["code"] for error in problem["errors"]} == {
        "after": "out-of-range", "design": "not-text", "label": "not-text", "limit": "out-of-range",
        "since": "not-a-time", "until": "not-a-time",
    }  # fmt: skip
    (error,) = as_problem(anna.get("/v1/quotes?page=2"))["errors"]
    assert (error["parameter"], error["code"]) == ("page", "unknown-parameter")


# ---- today's prices


def test_a_price_that_rose_is_named_and_accounts_for_all_the_drift(anna, kept, books, holds):
    answer = kept()
    (board,) = boards(answer.json)
    reprice(books, board["item_code"], f"{Decimal(board['each']) + Decimal('0.20')}")
    found = anna.post(f"{answer.headers['Location']}/requote")
    assert found.status_code == 200, found.text
    holds("Requote", found.json)
    drift = found.json["drift"]
    assert [reason["code"] for reason in drift["why"]][:2] == ["book-changed", "price-rose"]
    (line,) = (line for line in drift["lines"] if line["why"])
    assert (line["item_code"], line["why"]) == (board["item_code"], ["price-rose"])
    assert line["name"].startswith("1x8 x ")
    assert Decimal(line["change"]) == Decimal(line["by_price"]) == board["quantity"] * Decimal("0.20")
    totals = {each["name"]: each for each in drift["totals"]}
    assert totals["lumber"]["change"] == line["change"]
    assert totals["total"]["before"] == answer.json["totals"]["total"]
    assert totals["total"]["after"] == found.json["quote"]["totals"]["total"]


def test_a_requote_keeps_nothing_unless_asked_to(anna, kept, books, store):
    answer = kept(label="guest room")
    reprice(books, boards(answer.json)[0]["item_code"], "99.00")
    only = anna.post(f"{answer.headers['Location']}/requote")
    assert (only.status_code, only.json["kept"]) == (200, None)
    assert len(store.quotes.list(None).quotes) == 1
    new = anna.post(f"{answer.headers['Location']}/requote?keep=yes")
    assert (new.status_code, new.json["kept"]) == (201, new.headers["Location"])
    assert new.json["drift"] == only.json["drift"]
    assert anna.get(new.headers["Location"]).json == new.json["quote"]
    assert undrawn(new.json["quote"]) == undrawn(only.json["quote"])
    assert anna.get(answer.headers["Location"]).data == answer.data
    assert [quote.label for quote in store.quotes.list(None).quotes] == ["guest room"] * 2


def test_a_kept_requote_sent_again_with_its_key_is_the_same(anna, kept, books, store):
    answer = kept()
    key = {"Idempotency-Key": '"two"'}
    address = f"{answer.headers['Location']}/requote?keep=yes"
    first = anna.post(address, headers=key)
    reprice(books, boards(answer.json)[0]["item_code"], "99.00")
    again = anna.post(address, headers=key)
    assert (again.status_code, again.data) == (201, first.data)
    assert len(store.quotes.list(None).quotes) == 2


def test_a_quote_of_an_unchanged_book_has_not_changed(anna, kept):
    found = anna.post(f"{kept().headers['Location']}/requote").json
    assert [reason["code"] for reason in found["drift"]["why"]] == ["nothing-changed"]
    assert all(not line["why"] and Decimal(line["change"]) == 0 for line in found["drift"]["lines"])


def test_a_book_that_came_with_its_request_is_taken_as_it_came(anna, kept, client):
    book = client.get("/v1/price-books/sample-inch").json
    answer = kept(price_book=book)
    found = anna.post(f"{answer.headers['Location']}/requote").json
    assert undrawn(found["quote"]) == undrawn(answer.json)
    assert found["before"]["price_book"]["name"] == "inline"


def test_a_quote_pinned_to_a_revision_is_priced_by_what_the_book_is_today(anna, kept, books, client):
    revision = client.get("/v1/price-books/sample-inch").json["revision"]
    answer = kept(price_book=f"sample-inch@{revision}")
    reprice(books, boards(answer.json)[0]["item_code"], "99.00")
    found = anna.post(f"{answer.headers['Location']}/requote").json
    assert found["quote"]["price_book"]["revision"] != revision


def test_a_requote_from_a_book_that_is_gone_says_so(anna, kept, books, as_problem):
    answer = kept()
    shutil.rmtree(books / "sample-inch")
    (error,) = as_problem(anna.post(f"{answer.headers['Location']}/requote"))["errors"]
    assert (error["pointer"], error["code"]) == ("/price_book", "unknown-price-book")
    assert anna.get(answer.headers["Location"]).data == answer.data


def test_a_requote_takes_no_body(anna, kept, as_problem):
    problem = as_problem(anna.post(f"{kept().headers['Location']}/requote", json={"price_book": "x"}))
    assert problem["type"] == "/problems/bad-request"


def test_what_is_stored_is_what_was_sent_less_the_label(anna, kept, store, body):
    address = kept(label="x").headers["Location"]
    assert json.loads(store.quotes.get(address.rpartition("/")[2], None).request) == body


def test_a_quote_that_a_clock_cut_is_kept_as_it_is(anna, kept, monkeypatch):
    monkeypatch.setattr(cutting, "EMERGENCY", 0)
    monkeypatch.setattr(deals, "SHORTEST_SEARCH", 0)
    sizes = [f"{30 + i} {i % 8 * 2 + 1}/16 in" for i in range(12)]
    answer = kept(lines=[{"parts": [{"section": "2x4", "length": size, "quantity": 3} for size in sizes]}])
    assert answer.json["proof"]["status"] == "time_limit"
    assert anna.get(answer.headers["Location"]).data == answer.data
