"""Behind a proxy that serves it under a prefix: every address leads back under the prefix."""

from __future__ import annotations

import json
import re

import pytest
from tests.web.guarded import Kept

PREFIX = "/wood/shop"
UNDER = {"X-Forwarded-Prefix": PREFIX, "X-Forwarded-For": "192.0.2.7"}
QUOTE = "/v1/designs/bench/quote.html?price_book=sample-inch"
COMPARED = "/v1/comparisons.html?designs=bench&length=40in,44in&price_book=sample-inch"


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    made = Kept(tmp_path_factory.mktemp("kept"), proxies=1)
    yield made
    made.app.extensions["sawbill"].keeper.store.close()
    made.store.close()


@pytest.mark.parametrize(
    "path",
    ["/", "/designs/bench", "/compare", "/guide", "/openapi.html", QUOTE, COMPARED, "/nowhere"],
)
def test_every_address_of_a_page_is_under_the_prefix_and_leads_to_what_is_there(kept, path):
    client = kept.client()
    page = client.get(path, headers={**UNDER, "Accept": "text/html"}).text
    found = set(re.findall(r'\s[a-z-]+="(/[^"#]*)', page.replace("&amp;", "&")))
    assert found and {each for each in found if not each.startswith(f"{PREFIX}/")} == set()
    without = client.get(path, headers={"Accept": "text/html"}).text
    assert page.replace(PREFIX, "") == without, "nothing else is another"
    for each in sorted(found)[:12]:
        if "action" not in each:
            status = client.get(each.removeprefix(PREFIX), headers=UNDER).status_code
            assert status in (200, 401, 405, 501), each


def test_a_quote_is_compared_by_the_address_that_a_browser_shows(kept):
    for shown in (f"https://shop.example{PREFIX}{QUOTE}", f"{PREFIX}{QUOTE}", QUOTE):
        page = kept.client().get("/compare", query_string={"quote": [shown, QUOTE]}, headers=UNDER)
        assert page.status_code == 200 and "Cost" in page.text, shown


def test_a_slash_at_the_end_of_a_prefix_is_none_of_it(kept):
    with_it = kept.client().get("/", headers={**UNDER, "X-Forwarded-Prefix": f"{PREFIX}/"})
    assert with_it.data == kept.client().get("/", headers=UNDER).data


def test_so_are_the_addresses_of_answers_for_programs(kept):
    client = kept.as_("anna", "quote")
    lines = [{"design": "bench"}]
    made = client.post("/v1/quotes", json={"price_book": "sample-inch", "lines": lines}, headers=UNDER)
    assert made.headers["Location"].startswith(f"{PREFIX}/v1/quotes/")
    about = client.get(made.headers["Location"].removeprefix(PREFIX) + "/about", headers=UNDER).json
    assert about["links"] and all(each.startswith(f"{PREFIX}/v1/") for each in about["links"].values() if each)
    assert all(each["address"].startswith(f"{PREFIX}/v1/") for each in made.json["drawings"])
    listed = client.get("/v1/quotes?limit=1", headers=UNDER)
    assert listed.json["quotes"][0]["links"]["quote"].startswith(PREFIX)
    problem = client.get("/v1/nothing", headers=UNDER).json
    assert problem["type"] == f"{PREFIX}/problems/not-found"
    assert client.get("/openapi.json", headers=UNDER).json["servers"] == [{"url": PREFIX}]
    body = {"designs": ["bench"], "price_books": ["gone"]}
    faulty = client.post("/v1/comparisons.ndjson", json=body, headers=UNDER).json
    assert faulty["type"].startswith(PREFIX) and faulty["errors"][0]["pointer"] == "/price_books/0"


def test_what_its_owner_wrote_stays_as_it_is(kept):
    client, label = kept.as_("anna", "quote"), "/v1/is where it is"
    lines = [{"design": "bench", "label": label}]
    made = client.post("/v1/quotes?keep=no", json={"price_book": "sample-inch", "lines": lines}, headers=UNDER)
    assert json.loads(made.text)["lines"][0]["label"] == label


def test_signing_in_and_out_stays_under_the_prefix(kept):
    client, secret = kept.client(), kept.secret("anna", "quote")
    given = {**UNDER, "Origin": "http://localhost"}
    signed = client.post("/sign-in", data={"token": secret}, headers=given)
    assert signed.status_code == 303 and signed.headers["Location"].startswith(f"{PREFIX}/")
    assert f"Path={PREFIX}/;" in signed.headers["Set-Cookie"] + ";"
    over_tls = client.post("/sign-in", data={"token": secret}, headers={**given, "Origin": "https://localhost"})
    assert re.search(r"__Host-\S+ .*Path=/;", over_tls.headers["Set-Cookie"])


@pytest.mark.parametrize("prefix", ["//elsewhere.example", "https://elsewhere.example", '/"><b>', "/a b", "/", "wood"])
def test_what_is_no_path_is_no_prefix(kept, prefix):
    with_it = kept.client().get("/", headers={**UNDER, "X-Forwarded-Prefix": prefix})
    assert with_it.data == kept.client().get("/").data


def test_nobody_is_believed_where_no_proxy_is_said_to_be(tmp_path):
    alone = Kept(tmp_path / "data")
    assert alone.client().get("/", headers={"X-Forwarded-Prefix": PREFIX}).data == alone.client().get("/").data
    alone.store.close()
