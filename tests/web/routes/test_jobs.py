"""Comparisons as jobs: asked for, followed, fetched, cancelled; each its owner's alone."""

import csv
import io
import json
import re
import time
from collections import Counter
from functools import partial

import pytest
from tests.store.together import at_once
from tests.web.guarded import Kept

from sawbill.asked.request import read_request
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.quoting.ways_out.changes import pairs, single_changes
from sawbill.registry import designs
from sawbill.store import Allowance, UnknownJobError
from sawbill.store.kept.jobs import MOST_OPEN
from sawbill.web.work.working import LEASE, worker_of

BODY = {"designs": ["bench"], "options": {"length": ["40 in", "44 in"]}, "price_books": ["sample-inch"], "baseline": 0}
ASYNC = {"Prefer": "respond-async"}
LONG = {**BODY, "options": {}, "quantities": [*range(1, 8)]}


@pytest.fixture
def kept(tmp_path):
    """A service with a store; its worker takes jobs only where a test wakes it."""
    made = Kept(tmp_path / "data")
    yield made
    worker_of(made.app).stop()
    made.app.extensions["sawbill"].keeper.store.close()
    made.store.close()


@pytest.fixture
def asleep(monkeypatch, kept):
    """The worker does not wake when a job is asked for."""
    monkeypatch.setattr(worker_of(kept.app), "wake", lambda: None)
    return worker_of(kept.app)


def ended(client, address):
    """Follow a job until it has ended."""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        answer = client.get(address)
        assert answer.status_code == 200
        if answer.json["state"] in ("done", "failed"):
            return answer
        assert answer.headers["Retry-After"] == "1"
        time.sleep(0.05)
    raise AssertionError("the job never ended")


def test_a_job_comes_to_what_the_same_comparison_gives_at_once(kept, holds):
    client = kept.as_("anna", "quote")
    asked = client.post("/v1/comparisons", json=BODY, headers=ASYNC)
    assert asked.status_code == 202
    assert asked.headers["Preference-Applied"] == "respond-async"
    holds("Job", asked.json)
    job = ended(client, asked.headers["Location"]).json
    holds("Job", job)
    assert (job["state"], job["kind"], job["result"]) == ("done", "comparison", f"/v1/jobs/{job['id']}/result")
    result = client.get(job["result"])
    assert result.data == client.post("/v1/comparisons", json=BODY).data
    bare = client.get(job["result"] + ".csv").data
    assert client.get(job["result"] + ".csv?excel=1").data == b"\xef\xbb\xbf" + bare
    assert client.get(job["result"] + ".xlsx").data == client.post("/v1/comparisons.xlsx", json=BODY).data
    assert client.get(job["result"] + ".txt").data == client.post("/v1/comparisons.txt", json=BODY).data
    refused = client.get(job["result"] + ".csv?excel=yes")
    assert (refused.status_code, "excel is" in refused.text) == (422, True)
    rows = list(csv.DictReader(io.StringIO(bare.decode())))
    assert [row["total"] for row in rows] == [row["total"] for row in result.json["rows"]]


def test_a_job_is_its_owners_alone(kept, asleep, as_problem):
    anna, ben, admin = kept.as_("anna", "quote"), kept.as_("ben", "quote"), kept.as_("root", "admin")
    address = anna.post("/v1/comparisons", json=BODY, headers=ASYNC).headers["Location"]
    for path in ("", "/result", "/result.csv", "/result.xlsx", "/result.txt"):
        assert ben.get(address + path).status_code == 404
    assert ben.delete(address).status_code == 404
    assert admin.get(address).status_code == 200
    assert kept.client().get(address).status_code == 401
    assert kept.as_("anna", "price-book").get(address).status_code == 403


def test_who_may_not_keep_anything_is_told_what_to_do_instead(kept, as_problem):
    problem = as_problem(kept.client().post("/v1/comparisons", json=BODY, headers=ASYNC))
    assert problem["status"] == 401 and "ndjson" in problem["detail"]


def test_a_service_that_keeps_nothing_says_so(problem_of):
    problem = problem_of("POST", "/v1/comparisons", json=BODY, headers=ASYNC)
    assert problem["type"] == "/problems/nothing-kept"


def test_a_job_with_faults_is_refused_at_once(kept, as_problem):
    answer = kept.as_("anna", "quote").post("/v1/comparisons", json={**BODY, "designs": ["bnch"]}, headers=ASYNC)
    assert [error["pointer"] for error in as_problem(answer)["errors"]] == ["/designs/0"]


def test_before_it_is_done_there_is_no_result(kept, asleep, as_problem):
    client = kept.as_("anna", "quote")
    address = client.post("/v1/comparisons", json=BODY, headers=ASYNC).headers["Location"]
    assert client.get(address).json["state"] == "waiting"
    problem = as_problem(client.get(address + "/result"))
    assert (problem["type"], problem["retryable"]) == ("/problems/not-done", True)


def test_a_job_that_is_cancelled_is_gone_and_its_work_is_dropped(kept, asleep):
    client = kept.as_("anna", "quote")
    address = client.post("/v1/comparisons", json=LONG, headers=ASYNC).headers["Location"]
    job = kept.store.jobs.take(LEASE)
    assert client.delete(address).status_code == 204
    asleep._do(kept.store, job)  # which it hears of at its first sign of life, and goes on with the next
    assert client.get(address).status_code == 404
    with pytest.raises(UnknownJobError):
        kept.store.jobs.get(job.id, None)
    assert client.delete(address).status_code == 404


def test_while_it_runs_it_tells_how_far_it_is(kept, asleep, monkeypatch):
    client = kept.as_("anna", "quote")
    address = client.post("/v1/comparisons", json=LONG, headers=ASYNC).headers["Location"]
    monkeypatch.setattr("sawbill.web.work.sweeping.PART", 1)
    seen = []
    keep = kept.store.jobs.keep

    def watched(*kept):
        keep(*kept)
        seen.append(client.get(address).json)

    monkeypatch.setattr(kept.store.jobs, "keep", watched)
    asleep._do(kept.store, kept.store.jobs.take(LEASE))
    told = [*range(1, 8), *[7] * 7]  # each row as it is made, and again as it is told
    assert [(each["done"], each["of"]) for each in seen] == [(done, 7) for done in told]
    assert all(each["rate"] > 0 and each["seconds_left"] >= 0 for each in seen[:7])
    assert client.get(address).json["state"] == "done"


def test_the_prices_are_those_of_when_it_was_asked_for(kept, asleep):
    client = kept.as_("anna", "quote")
    client.post("/v1/comparisons", json=BODY, headers=ASYNC)
    (asked,) = json.loads(kept.store.jobs.take(LEASE).request)["price_books"]
    book = client.get("/v1/price-books/sample-inch").json
    assert asked == f"sample-inch@{book['revision']}"


def test_a_job_that_cannot_be_done_any_more_says_why(kept, asleep, as_problem):
    client = kept.as_("anna", "quote")
    job = kept.store.jobs.add("comparison", "anna", json.dumps({**BODY, "price_books": ["gone@0"]}).encode())
    asleep._do(kept.store, kept.store.jobs.take(LEASE))
    told = client.get(f"/v1/jobs/{job.id}").json
    assert told["state"] == "failed" and "no price book with this name" in told["detail"]
    assert "no price book" in as_problem(client.get(f"/v1/jobs/{job.id}/result"))["detail"]


def test_a_fault_of_ours_ends_the_job_without_telling_of_the_inside(kept, asleep, monkeypatch):
    def break_down(*_):
        raise RuntimeError("secret")

    client = kept.as_("anna", "quote")
    address = client.post("/v1/comparisons", json=BODY, headers=ASYNC).headers["Location"]
    monkeypatch.setattr("sawbill.web.work.sweeping.comparison_without_rows", break_down)
    asleep._do(kept.store, kept.store.jobs.take(LEASE))
    told = client.get(address).json
    assert told["state"] == "failed" and "logged" in told["detail"] and "secret" not in told["detail"]


def test_so_many_jobs_of_one_owner_may_wait_and_not_one_more(kept, asleep, as_problem):
    client = kept.as_("anna", "quote")
    for _ in range(MOST_OPEN):
        assert client.post("/v1/comparisons", json=BODY, headers=ASYNC).status_code == 202
    answer = client.post("/v1/comparisons", json=BODY, headers=ASYNC)
    assert as_problem(answer)["status"] == 429 and answer.headers["Retry-After"]
    assert kept.as_("ben", "quote").post("/v1/comparisons", json=BODY, headers=ASYNC).status_code == 202


def test_of_forty_who_post_at_once_five_get_a_job(kept, asleep):
    clients = [kept.as_("anna", "quote") for _ in range(40)]
    answers, failed = at_once([partial(each.post, "/v1/comparisons", json=BODY, headers=ASYNC) for each in clients])
    assert failed == []
    assert Counter(answer.status_code for answer in answers) == {202: MOST_OPEN, 429: 40 - MOST_OPEN}


def test_a_job_that_is_refused_costs_no_more_than_asking(tmp_path):
    kept = Kept(tmp_path / "data", rate=Allowance(1000, 86_400))
    client = kept.as_("anna", "quote")
    for _ in range(MOST_OPEN):
        kept.store.jobs.add("comparison", "anna", b"{}")
    assert client.post("/v1/comparisons", json=BODY, headers=ASYNC).status_code == 429
    assert "r=998;" in client.get("/v1/jobs/0").headers["RateLimit"], "each request cost one unit"
    kept.store.close()


def test_a_quote_as_a_job_tries_every_change_of_one_option_and_of_two(kept, holds):
    """No bench is so short that it goes into a box of a foot: this many changes were tried, and none is left."""
    lines, site = [{"design": "bench", "options": {"length": "40 in"}}], {"vehicle_length": "12 in"}
    client, body = kept.as_("anna", "quote"), {"price_book": "sample-inch", "lines": lines, "site": site}
    asked = client.post("/v1/quotes", json=body, headers=ASYNC)
    assert (asked.status_code, asked.json["kind"]) == (202, "quote")
    job = ended(client, asked.headers["Location"]).json
    holds("Job", job)
    result = client.get(job["result"])
    [out] = [each for each in result.json["ways_out"] if each["rule"] == "vehicle-length"]
    book = Shelf(sample_folder()).get("sample-inch")
    changes = single_changes(designs()["bench"], lines[0]["options"], read_request(body, book, designs()), book)
    assert (out["ways"], out["cut_short"]) == ([], False)
    assert (out["tried_single"], out["tried_pairs"]) == (len(changes), len(pairs(changes)))
    again = client.post("/v1/quotes?keep=no", json=body).json
    assert (again["totals"], again["checks"]) == (result.json["totals"], result.json["checks"])
    page = client.get(f"{result.request.path}.html").text
    links = set(re.findall(r'href="(/[^"#?]*/jobs/[^"#?]*)"', page))
    assert links
    assert {link: client.get(link).status_code for link in links} == dict.fromkeys(links, 200)
    assert client.get(job["result"] + ".csv").text.startswith("cost,amount,")
    assert client.get(job["result"] + ".xlsx").status_code == client.get(job["result"] + ".txt").status_code == 200
    refused = client.post("/v1/quotes", json={**body, "site": {"vehicle_length": "far"}}, headers=ASYNC)
    assert refused.status_code == 422 and refused.json["errors"][0]["pointer"] == "/site/vehicle_length"
