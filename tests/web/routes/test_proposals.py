"""Proposals over HTTP: by address, by body, as a job; what they link to, and what is refused."""

from __future__ import annotations

import csv
import html
import io
import os
import re
import signal
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from tests.backroom.test_room import wait_until
from tests.web.guarded import Kept
from tests.web.serving import children

from sawbill.backroom import Limits, opened
from sawbill.store import Job, UnknownJobError
from sawbill.web.http.media import XLSX
from sawbill.web.work.working import LEASE, worker_of

BED: dict[str, Any] = {
    "designs": ["slatted-bed"], "options": {"mattress": "twin"}, "price_books": ["sample-inch"],
    "open": {"rail": ["2x6", "2x8"], "doubled_middle": "any"}, "wishes": {"mass": {"most": "60 kg"}},
}  # fmt: skip
SAME = (
    "/v1/designs/slatted-bed/proposal{}?price_book=sample-inch&mattress=twin&open=rail,doubled_middle&rail=2x6,2x8"
    "&doubled_middle=any&most=mass:60 kg"
)


def test_a_proposal_by_address_is_that_by_body(client: FlaskClient) -> None:
    by_address, by_body = client.get(SAME.format("")), client.post("/v1/proposals", json=BED)
    assert by_address.status_code == by_body.status_code == 200
    told = by_address.get_json()
    for row in [*told["proposals"], *told["trade_off"], *(each["without"] for each in told["wishes"])]:
        row["label"] = row["request"]["lines"][0]["label"] = "slatted-bed"
    for table in told["open"]:
        table["label"] = "slatted-bed"
    expected = by_body.get_json()
    for row in [*expected["proposals"], *expected["trade_off"], *(each["without"] for each in expected["wishes"])]:
        row["request"].pop("shop", None)
    for row in [*told["proposals"], *told["trade_off"], *(each["without"] for each in told["wishes"])]:
        row["request"].pop("shop", None)
    assert told == expected
    assert client.get(SAME.format(""), headers={"If-None-Match": by_address.headers["ETag"]}).status_code == 304


def test_its_links_lead_to_its_quotes(client: FlaskClient) -> None:
    told = client.get(SAME.format("")).get_json()
    for row in told["proposals"]:
        assert client.get(row["quote"]).get_json()["totals"]["total"] == row["total"]
        assert client.post("/v1/quotes", json=row["request"]).get_json()["totals"]["total"] == row["total"]
    assert f'href="{told["proposals"][0]["quote"].split("?")[0]}.html?' in client.get(SAME.format(".html")).text
    assert "There is nothing better." in client.get(SAME.format(".txt")).text


def test_a_large_grid_is_told_to_become_a_job(client: FlaskClient) -> None:
    large = client.get("/v1/designs/slatted-bed/proposal?price_book=sample-inch&open=clear_height,footboard_rise"
                       "&clear_height=any&footboard_rise=0 in to 36 in by 3/4 in")  # fmt: skip
    assert large.status_code == 422 and "respond-async" in large.get_json()["errors"][0]["detail"]


def test_every_fault_is_told_by_its_parameter(client: FlaskClient) -> None:
    told = client.get("/v1/designs/slatted-bed/proposal?open=rail&rail=9x9&most=mass:1&make_least=joy&price_book=x")
    assert {each["parameter"] for each in told.get_json()["errors"]} == {"price_book", "most", "make_least", "rail"}
    told = client.get("/v1/designs/slatted-bed/proposal?open=rail&rail=9x9&price_book=sample-inch")
    assert [(each["parameter"], each["code"]) for each in told.get_json()["errors"]] == [("rail", "unknown-section")]


def links(page: str, words: str) -> list[str]:
    """The addresses of the links of a page that say so."""
    return [html.unescape(each) for each in re.findall(rf'href="([^"]*)"[^>]*>[^<]*{words}', page)]


def test_the_page_of_a_quote_offers_what_is_cheaper_and_what_fits_the_car(client: FlaskClient) -> None:
    page = client.get("/v1/designs/bench/quote.html?price_book=sample-inch&length=40 in&vehicle_length=70 in").text
    for words in ("Make it cheaper", "Make it fit my car"):
        (address,) = links(page, words)
        answer = client.get(address)
        assert answer.status_code == 200 and "There is nothing better." in answer.text
    assert "Make it fit my car" not in client.get("/v1/designs/bench/quote.html?price_book=sample-inch").text


@pytest.mark.parametrize("design", ["slatted-bed", "low-platform"])
def test_a_queen_bed_that_is_made_to_fit_a_small_car_has_no_piece_that_is_longer(
    client: FlaskClient, design: str
) -> None:
    asked = f"/v1/designs/{design}/quote.html?price_book=sample-inch&mattress=queen&vehicle_length=70 in"
    (address,) = links(client.get(asked).text, "Make it fit my car")
    proposed = client.get(address.replace("proposal.html", "proposal")).get_json()
    quote = client.get(proposed["proposals"][0]["quote"]).get_json()
    assert max(part["length"]["mm"] for part in quote["cut_list"]) <= 70 * 25.4


def test_a_row_that_fails_leads_to_its_ways_out(client: FlaskClient) -> None:
    page = client.get(
        "/v1/comparisons.html?designs=slatted-bed&mattress=king&price_book=sample-inch&must_hold=no&centre_support=none"
    ).text
    (address,) = links(page, "failed: ways out")
    shown = client.get(address).text
    assert "<h2>Ways out</h2>" in shown
    way = html.unescape(re.findall(r'<li>[^<]*<a href="([^"]*)"', shown)[0])
    assert client.get(way).status_code == 200


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Kept]:
    """A service with a store."""
    made = Kept(tmp_path / "data")
    yield made
    worker_of(made.app).stop()
    made.app.extensions["sawbill"].keeper.store.close()
    made.store.close()


def test_a_job_comes_to_what_is_proposed_at_once(kept: Kept) -> None:
    client = kept.as_("anna", "quote")
    asked = client.post("/v1/proposals", json=BED, headers={"Prefer": "respond-async"})
    assert asked.status_code == 202 and asked.get_json()["kind"] == "proposal"
    deadline = time.monotonic() + 60
    while (job := client.get(asked.headers["Location"]).get_json())["state"] not in ("done", "failed"):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    result = client.get(job["result"])
    assert result.data == client.post("/v1/proposals", json=BED).data
    assert client.get(job["result"] + ".txt").text.endswith("There is nothing better.\n")
    rows = list(csv.DictReader(io.StringIO(client.get(job["result"] + ".csv").text)))
    assert [row["total"] for row in rows] == [row["total"] for row in result.get_json()["proposals"]]
    assert client.get(job["result"] + ".xlsx").data == client.post(
        "/v1/proposals", json=BED, headers={"Accept": XLSX.type}
    ).data  # fmt: skip


def test_while_it_runs_it_tells_its_best_and_what_may_be_saved_yet(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cancelled while it runs, it is dropped at its next step."""
    worker = worker_of(kept.app)
    monkeypatch.setattr(worker, "wake", lambda: None)
    monkeypatch.setattr("sawbill.web.work.working.TELL_EVERY", 0.0)
    client = kept.as_("anna", "quote")
    asked = client.post("/v1/proposals", json=BED, headers={"Prefer": "respond-async"})
    store = kept.app.extensions["sawbill"].keeper.store
    renew, told = store.jobs.renew, []

    def watched(job: Any, lease: Any, detail: str) -> Any:
        found = renew(job, lease, detail)
        told.append(client.get(asked.headers["Location"]).get_json())
        if told[-1]["best"] is not None:
            client.delete(asked.headers["Location"])
        return found

    monkeypatch.setattr(store.jobs, "renew", watched)
    job = store.jobs.take(LEASE)
    worker._do(store, job)
    (best, *_) = client.post("/v1/proposals", json=BED).get_json()["proposals"]
    assert told[0]["of"] == 4 and told[-1]["gap"] is not None
    assert told[-1]["best"] >= round(float(best["total"]) * 100) >= told[-1]["best"] - told[-1]["gap"]
    with pytest.raises(UnknownJobError):
        store.jobs.get(job.id, None)


class LostError(BaseException):
    """What ends a process of the service midway: nothing in it can catch it."""


def an_engine() -> int:
    """One of the engines of the room that this process has started, once there is any."""
    found: list[int] = []

    def seen() -> bool:
        found[:] = [engine for room in children(os.getpid()) for engine in children(room)]
        return bool(found)

    wait_until(seen)
    return found[0]


def test_a_job_outlives_its_engine_and_the_process_that_took_it(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    """An engine is killed at each of its first two signs of life; at the third its worker is lost."""
    worker, client = worker_of(kept.app), kept.as_("anna", "quote")
    monkeypatch.setattr(worker, "wake", lambda: None)
    monkeypatch.setattr("sawbill.web.work.working.TELL_EVERY", 0.0)
    expected = client.post("/v1/proposals", json=BED).data
    asked = client.post("/v1/proposals", json=BED, headers={"Prefer": "respond-async"})
    service = kept.app.extensions["sawbill"]
    jobs, steps = service.keeper.store.jobs, [an_engine, an_engine, None]
    renew = jobs.renew

    def lost(job: Job, lease: timedelta, detail: str) -> None:
        if not steps:
            return renew(job, lease, detail)
        if (victim := steps.pop(0)) is None:
            raise LostError
        os.kill(victim(), signal.SIGKILL)
        return renew(job, timedelta(0), detail)

    monkeypatch.setattr(jobs, "renew", lost)
    with opened(Limits(engines=2)) as room:
        kept.app.extensions["sawbill"] = replace(service, room=room)
        with pytest.raises(LostError):
            worker._do(service.keeper.store, jobs.take(timedelta(0)))
        assert client.get(asked.headers["Location"]).get_json()["state"] == "running"
        worker._do(service.keeper.store, jobs.take(LEASE))
    assert client.get(asked.headers["Location"] + "/result").data == expected
