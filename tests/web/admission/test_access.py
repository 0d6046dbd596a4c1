"""Who may what: every address declares it, and no one gets further than that."""

import json
import re
from dataclasses import replace

import pytest
from tests.web.guarded import Kept, addresses, ask

from sawbill.store import Store, Who
from sawbill.web.admission import limits
from sawbill.web.admission.access import guard
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings

OPEN = {
    "/", "/healthz", "/readyz", "/openapi.json", "/openapi.html", "/style.css", "/problems/<kind>", "/v1/tables",
    "/v1/values", "/guide", "/guide/<name>", "/guide/<name>.md", "/guide/pictures/<name>.svg",
    "/openapi/<part>.html", "/openapi/schemas/<name>.html",
    "/sign-in", "/sign-out", "/page.js", "/designs/<design>/picture.svg", "/v1/tables.json", "/v1/values.json",
}  # fmt: skip
"""What anybody may have however the service is set: nothing of it is anybody's."""


@pytest.fixture
def kept(tmp_path):
    return Kept(tmp_path / "data")


@pytest.fixture
def quote_id(kept, body):
    """A quote of anna's."""
    return kept.as_("anna").post("/v1/quotes", json=body).headers["Location"].rpartition("/")[2]


SHELF = [{"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}]


@pytest.fixture(scope="module")
def common(tmp_path_factory):
    """A store that many tests share, none of which takes from it what another looks for."""
    return Kept(tmp_path_factory.mktemp("common"))


@pytest.fixture(scope="module")
def common_id(common):
    """A quote of anna's in it."""
    return another(common)


def another(common):
    """One more quote of anna's."""
    asked = {"price_book": "sample-inch", "lines": [{"parts": SHELF}]}
    return common.as_("anna").post("/v1/quotes", json=asked).headers["Location"].rpartition("/")[2]


ALL = addresses(create_app(Settings()))
GUARDED = [each for each in ALL if each.access not in ("open", "read")]
OF_QUOTES = [each for each in ALL if "<quote_id>" in each.rule]
OF_BOOKS = [each for each in ALL if each.rule.startswith("/v1/price-books/<name>")]
OF_JOBS = [each for each in ALL if "<job_id>" in each.rule]


def named(each):
    return f"{each.method} {each.rule}"


# ---- every address


def test_every_address_declares_what_it_takes():
    assert len(ALL) > 40
    assert {each.access for each in ALL} == {"open", "read", "kept", "stored-quote", "quote", "price-book", "metrics"}
    assert {each.rule for each in ALL if each.access == "open"} == OPEN


def test_what_is_read_is_read_or_estimated_and_changes_nothing():
    posted = {each.rule.partition(".")[0] for each in ALL if each.access == "read" and each.method != "GET"}
    pages = {"/designs/<design>", "/cutting"}
    assert posted == {"/v1/quotes", "/v1/cutting-plans", "/v1/comparisons", "/v1/proposals", *pages}


def test_an_address_that_declares_nothing_stops_the_start(app_with):
    app = app_with()
    app.view_functions["forgotten"] = lambda: "secrets"
    app.url_map.add(app.url_rule_class("/forgotten", endpoint="forgotten"))
    with pytest.raises(LookupError, match=r"^/forgotten: declare what it takes"):
        guard(app)


def test_an_address_that_declares_nothing_is_closed(app_with, as_problem):
    app = app_with()
    app.view_functions["forgotten"] = lambda: "secrets"
    app.url_map.add(app.url_rule_class("/forgotten", endpoint="forgotten"))
    assert as_problem(app.test_client().get("/forgotten"))["type"] == "/problems/internal-error"


@pytest.mark.parametrize("address", GUARDED, ids=named)
def test_without_a_token_nothing_is_had_that_takes_one(common, common_id, address, as_problem):
    answer = ask(common.client(), address, quote_id=common_id)
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"].startswith('Bearer realm="sawbill"')
    if answer.content_type.startswith("application/"):
        assert as_problem(answer)["type"] == "/problems/token-needed"


@pytest.mark.parametrize("address", GUARDED, ids=named)
def test_a_token_of_another_scope_is_refused_with_the_scope_it_takes(common, common_id, address):
    has = "price-book" if address.access in ("kept", "quote", "stored-quote") else "quote"
    answer = ask(common.as_("anna", has), address, quote_id=common_id)
    assert answer.status_code == 403
    needs = "read" if address.access in ("kept", "stored-quote") else address.access
    assert answer.headers["WWW-Authenticate"].endswith(f'error="insufficient_scope", scope="{needs}"')


@pytest.mark.parametrize("address", OF_QUOTES + OF_JOBS, ids=named)
def test_what_is_anothers_is_as_if_it_were_not_there(common, common_id, address):
    anna, ben = common.as_("anna"), common.as_("ben")
    link = anna.post(f"/v1/quotes/{common_id}/links", json={}).json["id"]
    job = common.store.jobs.add("comparison", "anna", b"{}").id
    there = ask(ben, address, quote_id=common_id, link_id=link, job_id=job)
    not_there = ask(ben, address)
    assert there.status_code == 404
    assert there.data == not_there.data
    assert anna.get(f"/v1/quotes/{common_id}/links").json["links"][0]["revoked"] is None
    assert anna.get(f"/v1/jobs/{job}").status_code == 200
    common.store.jobs.delete(job, "anna")


@pytest.fixture(scope="module")
def shop(common):
    """A price book of anna's, by its name; ben was let read another, cid to write it."""
    for name in ("annas-shop", "shared-shop"):
        put(common.as_("anna", "price-book"), name, {"If-None-Match": "*"})
    common.store.rights.let("shared-shop", "owner:ben", "read", Who("anna"))
    common.store.rights.let("shared-shop", "owner:cid", "write", Who("anna"))
    return "annas-shop"


def put(client, name, headers):
    return client.put(f"/v1/price-books/{name}?copy=sample-inch", headers=headers)


def plain(answer, name):
    return answer.status_code, answer.get_data(as_text=True).replace(name, "NAME")


@pytest.mark.parametrize("address", OF_BOOKS, ids=named)
@pytest.mark.parametrize("scopes", [["price-book"], ["read"], None], ids=str)
def test_a_price_book_of_somebody_elses_is_as_if_it_were_not_there(common, shop, address, scopes):
    client = common.client() if scopes is None else common.as_("ben", *scopes)
    there = ask(client, address, name=shop)
    assert plain(there, shop) == plain(ask(client, address, name="annas-shoq"), "annas-shoq")
    assert there.status_code in (401, 403, 404, 422, 428), "422, 428: what was sent is at fault whatever is there"
    assert "anna" not in there.text.replace(shop, "")


@pytest.mark.parametrize("asked", ["annas-shop", "annas-shop@{}"])
def test_nobody_quotes_from_what_he_may_not_read(common, shop, asked):
    revision = common.store.books.get(shop, Who("anna")).revision
    ben, anna = common.as_("ben", "quote"), common.as_("anna", "quote")
    for path, more in (("/v1/quotes?keep=no", {"lines": [{"parts": SHELF}]}), ("/v1/cutting-plans", {"pieces": SHELF})):
        for client, status in ((ben, 422), (common.client(), 422 if "plans" in path else 401), (anna, 200)):
            answer = client.post(path, json={"price_book": asked.format(revision), **more})
            assert answer.status_code in (status, 422) and (answer.status_code == 200) == (client is anna)
            if answer.status_code == 422:
                assert {each["code"] for each in answer.json["errors"]} == {"unknown-price-book"}
    compared = {"designs": ["bench"], "price_books": [asked.format(revision)]}
    assert ben.post("/v1/comparisons", json=compared).status_code == 422
    assert anna.post("/v1/comparisons", json=compared).status_code == 200
    url = f"/v1/designs/bench/value/total.txt?price_book={asked.format(revision)}"
    tag = anna.get(url).headers["ETag"]
    for client in (ben, common.client()):
        assert client.get(url, headers={"If-None-Match": tag}).status_code == 422, "no tag opens it"


def test_who_may_read_a_book_is_told_what_he_may_not_and_by_whom_it_would_be_right(common, shop, as_problem):
    ben, cid = common.as_("ben", "price-book"), common.as_("cid", "price-book")
    tag = ben.get("/v1/price-books/shared-shop").headers["ETag"]
    for client, write in ((ben, 403), (cid, 200)):
        assert put(client, "shared-shop", {"If-Match": tag}).status_code == write
        for answer in (
            client.delete("/v1/price-books/shared-shop", headers={"If-Match": tag}),
            client.get("/v1/price-books/shared-shop/rights"),
            client.put("/v1/price-books/shared-shop/rights/everyone", json={"may": "write"}),
            client.delete("/v1/price-books/shared-shop/rights/owner:ben"),
            client.patch("/v1/price-books/shared-shop/rights", json={"owner": "ben"}),
        ):
            problem = as_problem(answer)
            assert (problem["type"], problem["status"]) == ("/problems/not-yours", 403)
            assert "ask its owner" in problem["detail"]
    problem = as_problem(put(ben, shop, {"If-None-Match": "*"}))
    assert (problem["type"], problem["status"]) == ("/problems/name-taken", 409)
    assert as_problem(put(ben, shop, {"If-Match": tag}))["detail"] == as_problem(
        put(ben, "no-such-shop", {"If-Match": tag})
    )["detail"].replace("no-such-shop", shop)


def test_whose_a_book_is_and_who_wrote_it_is_told_to_nobody_without_a_token(common, shop):
    common.store.rights.let("shared-shop", "everyone", "read", Who("anna"))
    (seen,) = (each for each in books_of(common.client()) if each["kept"] == "store")
    assert (seen["name"], seen["owner"], seen["by"], seen["may"]) == ("shared-shop", None, None, "read")
    revisions = common.client().get("/v1/price-books/shared-shop/revisions").json["revisions"]
    assert {each["by"] for each in revisions} == {None}
    for path in ("/v1/price-books.csv", "/v1/price-books.html", "/v1/price-books/shared-shop.json"):
        assert "anna" not in common.client().get(path).text
    (seen,) = (each for each in books_of(common.as_("ben")) if each["name"] == "shared-shop")
    assert (seen["owner"], seen["may"]) == ("anna", "read")
    (seen,) = (each for each in books_of(common.as_("anna", "read")) if each["name"] == shop)
    assert (seen["owner"], seen["may"]) == ("anna", "own")


def books_of(client):
    return client.get("/v1/price-books").json["price_books"]


def test_an_owner_shares_a_book_and_takes_it_back(common, shop):
    anna, ben = common.as_("anna", "price-book"), common.as_("ben")
    assert put(anna, "for-ben", {"If-None-Match": "*"}).status_code == 201
    told = anna.put("/v1/price-books/for-ben/rights/owner:ben", json={"may": "read"})
    assert told.json == {"name": "for-ben", "owner": "anna", "rights": [{"to": "owner:ben", "may": "read"}]}
    assert ben.get("/v1/price-books/for-ben").status_code == 200
    assert anna.delete("/v1/price-books/for-ben/rights/owner:ben").json["rights"] == []
    assert ben.get("/v1/price-books/for-ben").status_code == 404
    common.store.groups.add("makers", ["ben"])
    anna.put("/v1/price-books/for-ben/rights/group:makers", json={"may": "write"})
    assert anna.get("/v1/price-books/for-ben/rights").json["rights"] == [{"to": "group:makers", "may": "write"}]
    assert ben.get("/v1/price-books/for-ben").status_code == 200
    wrong = anna.put("/v1/price-books/for-ben/rights/ben", json={"may": "read"})
    assert (wrong.status_code, "owner:NAME" in wrong.json["errors"][0]["detail"]) == (422, True)
    assert anna.put("/v1/price-books/for-ben/rights/owner:ben", json={"may": "own"}).status_code == 422
    assert anna.patch("/v1/price-books/for-ben/rights", json={"owner": "ben"}).status_code == 204
    assert anna.get("/v1/price-books/for-ben").status_code == 404
    assert common.as_("ben", "price-book").get("/v1/price-books/for-ben/rights").json["owner"] == "ben"


def others(address):
    """What a stored quote of own parts may answer with: it has no furniture, and PDF is not written everywhere."""
    if address.rule.endswith(("drawing.svg", "drawing.png", "model.glb", "frame.json")):
        return (422,)
    return (200, 501) if address.rule.endswith(".pdf") else ()


@pytest.mark.parametrize("address", ALL, ids=named)
def test_a_token_that_only_reads_changes_nothing(common, common_id, address):
    reader = common.as_("anna", "read")
    answer = ask(reader, address, quote_id=common_id)
    if address.access in ("quote", "price-book", "metrics"):
        assert answer.status_code == 403
    elif address.access in ("kept", "stored-quote"):
        told = "404: there is no such job, table or value; 422: of own parts there is nothing to draw; 501: no PDF here"
        assert answer.status_code in (200, 404, *others(address)), told
    if address.rule == "/v1/quotes" and address.method == "POST":
        asked = {"price_book": "sample-inch", "lines": [{"parts": SHELF}]}
        assert reader.post("/v1/quotes", json=asked).status_code == 403
        assert reader.post("/v1/quotes?keep=no", json=asked).status_code == 200


def test_the_metrics_take_a_token_of_their_own_unless_they_are_open(kept, tmp_path):
    for client, status in ((kept.client(), 401), (kept.as_("anna", "quote"), 403), (kept.as_("watch", "metrics"), 200)):
        assert client.get("/metrics").status_code == status
    assert kept.as_("watch", "metrics").get("/v1/quotes").status_code == 403
    anybody = Kept(tmp_path / "open", metrics="open")
    assert anybody.client().get("/metrics").status_code == 200


def test_every_id_in_an_address_is_of_something_that_is_somebodys():
    ids = {found for each in ALL for found in re.findall(r"<(\w+_id)>", each.rule)}
    assert ids == {"quote_id", "link_id", "job_id"}


def test_the_addresses_of_a_stored_quote_are_all_among_those_tried():
    rules = {each.rule for each in OF_QUOTES}
    for suffix in ("", ".xlsx", ".txt", "/about", "/requote", "/links", "/links/<link_id>"):
        assert f"/v1/quotes/<quote_id>{suffix}" in rules
    for suffix in ("", ".csv", ".json", ".xlsx", ".txt", ".html"):
        assert f"/v1/quotes/<quote_id>/<table>{suffix}" in rules


@pytest.mark.parametrize("address", ALL, ids=named)
def test_a_method_that_is_not_listed_is_refused_with_those_that_are(common, common_id, address):
    admin = common.as_("root", "admin")
    listed = set(common.app.url_map.bind("localhost").allowed_methods(address.path(quote_id=common_id)))
    assert {address.method, "OPTIONS"} <= listed
    for method in {"TRACE", "BREW", "GET", "PUT", "POST", "PATCH", "DELETE"} - listed:
        answer = admin.open(address.path(quote_id=common_id), method=method)
        assert answer.status_code == 405
        assert set(answer.headers["Allow"].split(", ")) == listed


@pytest.mark.parametrize("address", ALL, ids=named)
def test_every_answer_bounds_its_use(common, common_id, address):
    quote_id = another(common) if address in OF_QUOTES and address.method != "GET" else common_id
    for client in (common.client(), common.as_("root", "admin")):
        answer = ask(client, address, quote_id=quote_id)
        headers = answer.headers
        assert headers["X-Content-Type-Options"] == "nosniff"
        with_forms = answer.mimetype == "text/html" and headers["Referrer-Policy"] == "same-origin"
        assert headers["Referrer-Policy"] == "no-referrer" or with_forms
        assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
        assert "Cache-Control" in headers
        assert not {"Server", "Set-Cookie", "Access-Control-Allow-Origin"} & set(headers.keys())


# ---- tokens


def test_a_token_opens_what_its_scope_is_for_and_admin_everything(kept, quote_id):
    path = f"/v1/quotes/{quote_id}"
    assert kept.as_("anna").get(path).status_code == 200
    assert kept.as_("root", "admin").get(path).status_code == 200
    assert kept.as_("anna", "price-book").get(path).status_code == 403


def test_a_token_that_opens_nothing_is_refused_wherever_tokens_are_read(kept, quote_id, as_problem):
    good = kept.secret("anna")
    token, revoked = kept.store.tokens.make("anna", "lost", ["quote"])
    kept.store.tokens.revoke(token.id)
    bad = (revoked, kept.ended("anna"), good.swapcase(), good.upper(), good[:-1], f"{good}x", "x", "", f"{good} {good}")
    for number, secret in enumerate(bad):
        for path in (f"/v1/quotes/{quote_id}", "/v1/designs"):
            answer = kept.client(secret, REMOTE_ADDR=f"192.0.2.{number}").get(path)
            assert answer.status_code == 401
            assert as_problem(answer)["type"] == "/problems/token-refused"
            assert answer.headers["WWW-Authenticate"] == 'Bearer realm="sawbill", error="invalid_token"'
            assert not secret or secret not in answer.text or len(secret) == 1
    for header in (good, f"Basic {good}", f"Bearer {good}, Bearer {good}", f"Token {good}"):
        answer = kept.client().get("/v1/designs", headers={"Authorization": header})
        assert answer.status_code == 401


def test_the_name_of_the_scheme_may_be_written_in_any_letters(common):
    for scheme in ("Bearer", "bearer", "BEARER", "Bearer "):
        answer = common.client().get("/v1/quotes", headers={"Authorization": f"{scheme} {common.secret('anna')}"})
        assert answer.status_code == 200


@pytest.mark.parametrize("path", ["/v1/quotes?{}={}", "/v1/designs?{}={}", "/healthz?{}={}", "/?{}={}"])
def test_a_token_in_an_address_is_refused_and_said_to_be_changed(common, path, as_problem):
    secret = common.secret("anna")
    written_otherwise = secret.replace("s", "%73", 1).replace("b", "%62", 1)
    for name, text in (*((name, secret) for name in ("token", "api_key", "label")), ("token", written_otherwise)):
        problem = as_problem(common.client().get(path.format(name, text)))
        assert problem["type"] == "/problems/bad-request"
        assert "have it replaced" in problem["detail"]
        assert secret not in json.dumps(problem)
    assert common.client().get(f"/v1/quotes?link={secret}").status_code == 401


@pytest.mark.parametrize("hide", ["%73{}", "%2573{}", "%252573{}", "Bearer%20s{}", "x%00%73{}"])
@pytest.mark.parametrize("path", ["/v1/designs?token={}", "/v1/designs?{}=1", "/v1/designs/{}", "/v1/quotes/{}/about"])
def test_a_token_in_an_address_is_refused_however_its_letters_are_written(common, path, hide, as_problem):
    secret = common.secret("anna")
    answer = common.client().get(path.format(hide.format(secret[1:])))
    problem = as_problem(answer)
    assert "have it replaced" in problem["detail"] or "control character" in problem["detail"]
    assert secret[1:] not in json.dumps(problem)


def test_what_only_begins_like_a_token_may_stand_in_an_address(common):
    assert common.as_("anna").get("/v1/quotes?label=the%20sawbill_bench").status_code == 200


def test_health_asks_no_token_and_no_store(tmp_path):
    kept = Kept(tmp_path / "data")
    client = kept.client("not a token")
    for file in kept.folder.iterdir():
        file.write_bytes(b"no database")
    assert client.get("/healthz").status_code == 200
    assert client.get("/readyz").status_code == 503


def test_reading_may_be_for_those_with_a_token_alone(tmp_path):
    kept = Kept(tmp_path / "data", reading="token")
    for address in (each for each in ALL if each.access == "read"):
        answer = ask(kept.client(), address)
        assert answer.status_code == 401, address
        assert "WWW-Authenticate" in answer.headers
    for scope in ("quote", "price-book", "admin"):
        assert kept.as_("anna", scope).get("/v1/designs").status_code == 200
    assert kept.client().get("/healthz").status_code == 200


def test_to_keep_a_quote_takes_a_token_and_to_have_one_worked_out_does_not(kept, body, as_problem):
    problem = as_problem(kept.client().post("/v1/quotes", json=body))
    assert problem["type"] == "/problems/token-needed"
    assert "keep=no" in problem["detail"] and "scope quote" in problem["detail"]
    assert kept.client().post("/v1/quotes?keep=no", json=body).status_code == 200
    assert as_problem(kept.as_("anna", "price-book").post("/v1/quotes", json=body))["type"] == "/problems/not-allowed"
    assert kept.as_("anna").get("/v1/quotes").json["quotes"] == []


@pytest.fixture
def failures(monkeypatch):
    """How many tokens that open nothing may come, refilled too slowly for the test to race with that."""
    monkeypatch.setattr(limits, "FAILURES", replace(limits.FAILURES, seconds=86_400))
    return limits.FAILURES


def test_tokens_that_open_nothing_may_come_few_times_a_minute(kept, failures, as_problem):
    good = kept.secret("anna")
    guessing = kept.client("sawbill_" + "A" * 43, REMOTE_ADDR="192.0.2.1")
    for _ in range(failures.units):
        assert guessing.get("/v1/designs").status_code == 401
    for _ in range(3):
        answer = guessing.get("/v1/designs")
        assert as_problem(answer)["type"] == "/problems/too-many-requests"
        assert answer.status_code == 429
        assert 1 <= int(answer.headers["Retry-After"]) <= failures.seconds
    elsewhere = kept.client("sawbill_" + "A" * 43, REMOTE_ADDR="192.0.2.2")
    assert elsewhere.get("/v1/designs").status_code == 401
    assert kept.client(good, REMOTE_ADDR="192.0.2.1").get("/v1/quotes").status_code == 200, "others are not locked out"


def test_one_who_guesses_from_a_whole_network_is_one(kept, failures):
    for host in range(failures.units):
        client = kept.client("sawbill_x", REMOTE_ADDR=f"2001:db8:0:1::{host:x}")
        assert client.get("/v1/designs").status_code == 401
    assert kept.client("sawbill_x", REMOTE_ADDR="2001:db8:0:1:ffff::1").get("/v1/designs").status_code == 429
    assert kept.client("sawbill_x", REMOTE_ADDR="2001:db8:0:2::1").get("/v1/designs").status_code == 401


# ---- somebody alone on his own machine


@pytest.fixture(scope="module")
def alone(tmp_path_factory):
    return Kept(tmp_path_factory.mktemp("alone"), local=True)


def test_alone_on_his_own_machine_one_needs_no_token_until_there_is_one(tmp_path, body):
    alone = Kept(tmp_path / "data", local=True)
    client = alone.client()
    made = client.post("/v1/quotes", json=body)
    assert made.status_code == 201
    assert client.get(f"{made.headers['Location']}/about").json["owner"] == "local"
    token, secret = alone.store.tokens.make("anna", "laptop", ["quote"])
    assert client.get("/v1/quotes").status_code == 401
    assert client.get("/v1/designs").status_code == 200
    alone.store.tokens.revoke(token.id)
    assert client.get("/v1/quotes").status_code == 401, "a token that was revoked does not open the door for all"
    assert alone.client(secret).get("/v1/quotes").status_code == 401


@pytest.mark.parametrize(
    ("headers", "environ"),
    [
        ({}, {"REMOTE_ADDR": "192.0.2.7"}),
        ({"Host": "rebound.example"}, {}),
        ({"Host": "rebound.example:8000"}, {}),
        ({"Origin": "https://elsewhere.example"}, {}),
        ({"Origin": "null"}, {}),
        ({"Sec-Fetch-Site": "cross-site"}, {}),
        ({"Sec-Fetch-Site": "same-site"}, {}),
        ({"X-Forwarded-For": "192.0.2.7"}, {}),
        ({"Forwarded": "for=192.0.2.7"}, {}),
    ],
)
def test_what_comes_from_elsewhere_is_not_taken_for_his_own(alone, body, headers, environ):
    client = alone.client(**environ)
    assert client.post("/v1/quotes", json=body, headers=headers).status_code == 401
    assert client.get("/v1/quotes", headers=headers).status_code == 401
    assert client.get("/v1/designs", headers=headers).status_code == 200


@pytest.mark.parametrize("host", ["localhost", "localhost:8000", "127.0.0.1:8000", "[::1]:8000", "[::1]"])
def test_his_own_browser_is_his_own(alone, body, host):
    headers = {"Host": host, "Origin": f"http://{host}", "Sec-Fetch-Site": "same-origin"}
    assert alone.client().post("/v1/quotes", json=body, headers=headers).status_code == 201


# ---- links


@pytest.fixture
def anna(kept):
    return kept.as_("anna")


def made(client, quote_id, **asked):
    answer = client.post(f"/v1/quotes/{quote_id}/links", json=asked)
    assert answer.status_code == 201, answer.text
    return answer.json


def test_a_link_reads_its_quote_in_every_form_and_nothing_else(kept, anna, quote_id, body):
    secret = made(anna, quote_id)["secret"]
    other = anna.post("/v1/quotes", json=body).headers["Location"].rpartition("/")[2]
    for number, address in enumerate(OF_QUOTES):
        sheet = kept.client(REMOTE_ADDR=f"198.51.100.{number}")  # few wrong links a minute may come from one
        answer = sheet.open(f"{address.path(quote_id=quote_id)}?link={secret}", method=address.method)
        if address.access == "stored-quote":
            expected = others(address) or (200,)
            assert answer.status_code in expected, f"{address}: of own parts there is nothing to draw"
            assert answer.headers["Referrer-Policy"] == "no-referrer"
            assert answer.headers["Cache-Control"] == "no-store"
            assert sheet.get(f"{address.path(quote_id=other)}?link={secret}").status_code == 401
        else:
            assert answer.status_code == 401, address
    assert sheet.get(f"/v1/quotes?link={secret}").status_code == 401
    assert sheet.get(f"/v1/designs?link={secret}").status_code == 422
    assert kept.client(secret, REMOTE_ADDR="192.0.2.5").get("/v1/quotes").status_code == 401, "a link is no token"


def test_a_link_to_one_table_reads_that_table_alone(kept, anna, quote_id):
    link = made(anna, quote_id, table="cut-list")
    sheet = kept.client()
    assert sheet.get(link["address"]).status_code == 200
    for path, status in (
        ("cut-list", 200), ("cut-list.csv", 200), ("cut-list.xlsx", 200), ("shopping-list.csv", 401),
        ("value/total", 401),
    ):  # fmt: skip
        assert sheet.get(f"/v1/quotes/{quote_id}/{path}?link={link['secret']}").status_code == status, path
    for suffix in ("", ".xlsx", ".txt"):
        assert sheet.get(f"/v1/quotes/{quote_id}{suffix}?link={link['secret']}").status_code == 401


def test_a_link_stands_beside_the_other_parameters_of_an_address(kept, anna, quote_id, as_problem):
    secret = made(anna, quote_id)["secret"]
    path = f"/v1/quotes/{quote_id}/cut-list.csv?link={secret}"
    assert kept.client().get(f"{path}&excel=1").data.startswith(b"\xef\xbb\xbf")
    assert kept.client().get(f"{path}&excle=1").status_code == 422
    assert kept.client().get(f"{path}&link={secret}").status_code == 400
    assert kept.client(kept.secret("anna")).get(path).status_code == 400, "one thing is shown, not two"


def test_a_link_opens_until_it_is_revoked(kept, anna, quote_id):
    first, second = made(anna, quote_id), made(anna, quote_id, table="cut-list", days=1)
    path = f"/v1/quotes/{quote_id}/links"
    assert anna.delete(f"{path}/{first['id']}").status_code == 204
    assert kept.client().get(first["address"]).status_code == 401
    assert kept.client().get(second["address"]).status_code == 200
    listed = anna.get(path)
    assert [each["revoked"] is None for each in listed.json["links"]] == [False, True]
    assert "sawbill_" not in listed.text
    assert anna.delete(f"/v1/quotes/{quote_id}").status_code == 204
    assert kept.client().get(second["address"]).status_code == 401


def test_a_link_is_revoked_at_the_address_of_its_own_quote(kept, anna, quote_id, body):
    link = made(anna, quote_id)
    other = anna.post("/v1/quotes", json=body).headers["Location"]
    assert anna.delete(f"{other}/links/{link['id']}").status_code == 404
    assert kept.client().get(link["address"]).status_code == 200


def test_all_that_is_wrong_with_a_link_is_told_at_once(anna, quote_id, as_problem):
    path = f"/v1/quotes/{quote_id}/links"
    problem = as_problem(anna.post(path, json={"table": "cut-lst", "days": 0, "owner": "ben"}))
    assert [error["pointer"] for error in problem["errors"]] == ["/owner", "/table", "/days"]
    assert "it may be shopping-list, cut-list, cutting-plan" in problem["errors"][1]["detail"]
    for asked in ({"days": 3651}, {"days": "1"}, {"days": None}, {"table": None}, [], {"id": "x"}, {"secret": "x"}):
        assert anna.post(path, json=asked).status_code == 422, asked
    assert anna.get(path).json == {"links": []}


@pytest.mark.parametrize("address", OF_QUOTES, ids=named)
def test_a_service_that_keeps_nothing_says_so_and_asks_no_token(client, address):
    answer = ask(client, address)
    assert answer.status_code == 409
    assert "keeps no quotes" in answer.text


# ---- two on one store


def test_what_one_service_gives_or_takes_another_on_the_same_store_does_too(tmp_path):
    one, other = Kept(tmp_path / "data"), Kept(tmp_path / "data")
    token, secret = one.store.tokens.make("anna", "laptop", ["quote"])
    assert other.client(secret).get("/v1/quotes").status_code == 200
    with Store.open(tmp_path / "data") as store:
        store.tokens.revoke(token.id)
    for each in (one, other):
        assert each.client(secret).get("/v1/quotes").status_code == 401


@pytest.mark.parametrize(
    "name",
    [
        "..",
        "../../etc/passwd",
        "..%2f..%2fetc%2fpasswd",
        "%2e%2e/x",
        "a%00b",
        "/etc/passwd",
        "a" * 5000,
        "'; DROP TABLE--",
    ],
)
def test_a_name_in_a_path_leads_nowhere_else(common, name):
    admin = common.as_("root", "admin")
    for rule in ("/v1/price-books/{}", "/v1/price-books/{}.xlsx", "/v1/quotes/{}", "/v1/quotes/{}.txt",
                 "/v1/quotes/{}/cut-list.csv", "/v1/designs/{}", "/v1/designs/{}/quote", "/problems/{}"):  # fmt: skip
        answer = admin.get(rule.format(name))
        assert answer.status_code in (404, 422), rule
        assert b"root:" not in answer.data
    answer = admin.put(f"/v1/price-books/{name}", json={}, headers={"If-None-Match": "*"})
    assert answer.status_code in (404, 405, 422)
