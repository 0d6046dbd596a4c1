"""What requests cost, and what becomes of those that cost more than is left."""

import re

import pytest
from tests.web.guarded import Kept

from sawbill.store import Allowance, Store
from sawbill.web.limits import LINE, REQUEST

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


def test_a_request_costs_one_unit_and_each_line_that_is_worked_out_ten_more(limited, body):
    client = limited.as_("anna")
    assert left(client.get("/v1/designs")) == 99
    assert left(client.post("/v1/quotes", json=body)) == 99 - 11
    two = {**body, "lines": [shelf_line("one"), shelf_line("two")]}
    assert left(client.post("/v1/quotes?keep=no", json=two)) == 88 - 21
    assert left(client.get(QUOTE)) == 67 - 11
    pieces = {"price_book": "sample-inch", "pieces": body["lines"][0]["parts"]}
    assert left(client.post("/v1/cutting-plans", json=pieces)) == 56 - 11
    assert (REQUEST, LINE) == (1, 10)


def test_a_comparison_costs_by_its_rows(limited):
    client = limited.as_("anna")
    path = "/v1/comparisons.json?price_book=sample-inch&designs=low-platform&mattress=twin,full,queen"
    answer = client.get(path)
    assert len(answer.json["rows"]) == 3
    assert left(answer) == 100 - 31


def test_what_is_at_fault_costs_the_request_alone(limited, body):
    client = limited.as_("anna")
    assert left(client.post("/v1/quotes", json={**body, "lines": []})) == 99
    assert left(client.get("/v1/quotes/none")) == 98
    assert left(client.get("/v1/designs?x=1")) == 97


def test_what_is_spent_is_refused_with_when_to_ask_again(limited, body, as_problem):
    client = limited.as_("anna")
    for _ in range(9):
        assert client.post("/v1/quotes?keep=no", json=body).status_code == 200
    answer = client.post("/v1/quotes", json=body)  # 100 - 9 * 11 = 1: the request is paid, its line is not
    assert answer.status_code == 429
    problem = as_problem(answer)
    assert problem["type"] == "/problems/too-many-requests"
    assert problem["retryable"] is True
    # 10 units come back at 100 in 3600 s, so 36 s each.
    assert 350 < int(answer.headers["Retry-After"]) <= 360
    assert left(answer) == 0
    assert client.get("/v1/designs").status_code == 429
    with Store.open(limited.folder) as store:
        assert store.quotes.list("anna").quotes == (), "nothing was kept of what was refused"


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


def test_a_request_that_could_never_be_granted_is_told_to_be_too_large(limited, body, as_problem):
    client = limited.as_("anna")
    many = {**body, "lines": [shelf_line(f"shelf {i}") for i in range(10)]}
    answer = client.post("/v1/quotes", json=many)
    assert answer.status_code == 413
    assert "costs 101 units; one may cost 100" in as_problem(answer)["detail"]
    nine = {**body, "lines": many["lines"][:9]}
    assert limited.as_("ben").post("/v1/quotes", json=nine).status_code == 201


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
