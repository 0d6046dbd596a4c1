"""What requests cost, and what becomes of those that cost more than is left."""

import re
from concurrent.futures import Future
from dataclasses import replace

import pytest
from tests.web.guarded import Kept

from sawbill.backroom import Here
from sawbill.store import Allowance, Store
from sawbill.web.admission.limits import DEPOSIT, REQUEST, SECOND

HUNDRED = Allowance(100, 3600)
QUOTE = "/v1/designs/low-platform/quote?price_book=sample-inch&mattress=twin"

# Structured fields (RFC 9651) of draft-ietf-httpapi-ratelimit-headers-09, section 3 and 4: a list of one string each,
# with whole numbers as parameters.
POLICY = re.compile(r'"cost";q=(\d+);w=(\d+)')
LEFT = re.compile(r'"cost";r=(\d+);t=(\d+)')


@pytest.fixture
def limited(tmp_path):
    return Kept(tmp_path / "data", rate=HUNDRED)


def left(answer):
    """What is left, as an answer tells it."""
    assert POLICY.fullmatch(answer.headers["RateLimit-Policy"]).groups() == ("100", "3600")
    units, seconds = map(int, LEFT.fullmatch(answer.headers["RateLimit"]).groups())
    assert 0 <= units <= 100 and 0 <= seconds <= 3600
    return units


def shelf_line(label):
    return {"label": label, "parts": [{"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}]}


@pytest.fixture
def takes(monkeypatch):
    """Have every piece of work take so long, as far as it is told [s]."""

    def so_long(seconds):
        done = Here.submit

        def submit(room, task):
            future = Future()
            future.set_result(replace(done(room, task).result(), seconds=seconds))
            return future

        monkeypatch.setattr(Here, "submit", submit)

    return so_long


def test_a_request_costs_one_unit_and_each_hundredth_of_a_second_of_work_one_more(limited, body, takes):
    client = limited.as_("anna")
    assert left(client.get("/v1/designs")) == 99
    takes(0.1)
    assert left(client.post("/v1/quotes", json=body)) == 99 - 11
    two = {**body, "lines": [shelf_line("one"), shelf_line("two")]}
    assert left(client.post("/v1/quotes?keep=no", json=two)) == 88 - 11, "it is the time that counts"
    assert left(client.get(QUOTE)) == 77 - 11
    pieces = {"price_book": "sample-inch", "pieces": body["lines"][0]["parts"]}
    assert left(client.post("/v1/cutting-plans", json=pieces)) == 66 - 11
    assert left(client.get(QUOTE)) == 55 - 1, "it is known already"
    assert (REQUEST, SECOND) == (1, 100)


def test_a_comparison_costs_the_work_of_its_reading_and_its_rows(limited, takes):
    takes(0.1)
    path = "/v1/comparisons.json?price_book=sample-inch&designs=low-platform&mattress=twin,full,queen"
    answer = limited.as_("anna").get(path)
    assert len(answer.json["rows"]) == 3
    assert left(answer) == 99 - 40


def test_rows_that_are_sent_one_by_one_are_paid_for_in_the_end(limited, takes):
    client = limited.as_("anna")
    takes(0.1)
    path = "/v1/comparisons.ndjson?price_book=sample-inch&designs=low-platform&mattress=twin,full,queen"
    assert b"end" in client.get(path).data
    assert left(client.get("/v1/designs")) == 98 - 40


def test_what_is_at_fault_costs_its_reading(limited, body, takes):
    client = limited.as_("anna")
    takes(0.02)
    assert left(client.post("/v1/quotes", json={**body, "lines": []})) == 97
    assert left(client.get("/v1/quotes/none")) == 96
    assert left(client.get("/v1/designs?x=1")) == 95


def test_work_is_begun_only_where_a_deposit_is_left(limited, body, as_problem, takes):
    client = limited.as_("anna")
    takes(0.25)
    for units in (74, 48):
        assert left(client.post("/v1/quotes?keep=no", json=body)) == units
    answer = client.post("/v1/quotes", json=body)  # 47 are left, of which the deposit takes more
    assert answer.status_code == 429
    problem = as_problem(answer)
    assert problem["type"] == "/problems/too-many-requests"
    assert problem["retryable"] is True
    # 3 units come back at 100 in 3600 s, so 36 s each.
    assert 70 < int(answer.headers["Retry-After"]) <= (DEPOSIT - 47) * 36
    assert left(answer) == 47
    assert client.get("/v1/designs").status_code == 200
    with Store.open(limited.folder) as store:
        assert store.quotes.list("anna").quotes == (), "nothing was kept of what was refused"


def test_more_work_than_is_left_takes_all_that_is(limited, body, takes):
    client = limited.as_("anna")
    takes(20)
    assert left(client.post("/v1/quotes?keep=no", json=body)) == 0
    assert client.get("/v1/designs").status_code == 429


def test_health_pages_and_descriptions_are_free_and_stay_open_to_who_has_spent_all(limited):
    client = limited.as_("anna")
    while client.get("/v1/designs").status_code == 200:
        pass
    for path in (
        "/healthz",
        "/readyz",
        "/",
        "/openapi.json",
        "/style.css",
        "/problems/too-many-requests",
        "/v1/tables",
    ):
        answer = client.get(path)
        assert answer.status_code == 200
        assert "RateLimit" not in answer.headers


@pytest.mark.parametrize("path", [QUOTE, "/v1/price-books/sample-inch"])
def test_an_answer_that_nothing_has_changed_is_free(limited, path):
    client = limited.as_("anna")
    first = client.get(path)
    before = left(first)
    for _ in range(3):
        again = client.get(path, headers={"If-None-Match": first.headers["ETag"]})
        assert again.status_code == 304
        assert left(again) == before


def test_one_who_has_a_token_has_an_allowance_wherever_he_is_and_a_stranger_one_for_his_address(limited):
    assert left(limited.as_("anna").get("/v1/designs")) == 99
    assert left(limited.client(limited.secret("anna"), REMOTE_ADDR="192.0.2.9").get("/v1/designs")) == 98
    assert left(limited.as_("ben").get("/v1/designs")) == 99
    assert left(limited.client(REMOTE_ADDR="192.0.2.9").get("/v1/designs")) == 99
    assert left(limited.client(REMOTE_ADDR="192.0.2.10").get("/v1/designs")) == 99
    assert left(limited.client(REMOTE_ADDR="192.0.2.9").get("/v1/designs")) == 98


def test_each_link_has_an_allowance_of_its_own(limited, body):
    anna = limited.as_("anna")
    links = anna.post("/v1/quotes", json=body).headers["Location"] + "/links"
    first, second = (
        limited.client(REMOTE_ADDR="192.0.2.9").get(anna.post(links, json={}).json["address"]) for _ in "ab"
    )
    assert left(first) == left(second) == 99


def test_where_somebody_is_is_told_by_as_many_proxies_as_there_are(tmp_path):
    told = {"X-Forwarded-For": "192.0.2.50, 192.0.2.60"}
    for proxies, counted in ((0, 3), (1, 3), (2, 3)):
        kept = Kept(tmp_path / str(proxies), rate=HUNDRED, proxies=proxies)
        for _ in range(counted):
            last = kept.client().get("/v1/designs", headers=told)
        assert left(last) == 97
        other = {"X-Forwarded-For": "192.0.2.51, 192.0.2.60"}
        assert left(kept.client().get("/v1/designs", headers=other)) == (99 if proxies == 2 else 96)


def test_two_services_on_one_store_share_the_allowance(tmp_path):
    one, other = (Kept(tmp_path / "data", rate=HUNDRED) for _ in "ab")
    secret = one.secret("anna")
    assert left(one.client(secret).get("/v1/designs")) == 99
    assert left(other.client(secret).get("/v1/designs")) == 98
    assert left(one.client(secret).get("/v1/designs")) == 97


def test_without_a_rate_nothing_is_counted(tmp_path, body):
    kept = Kept(tmp_path / "data")
    client = kept.as_("anna")
    for _ in range(120):
        answer = client.get("/v1/tables")
        assert answer.status_code == 200
        assert not {"RateLimit", "RateLimit-Policy"} & set(answer.headers.keys())
