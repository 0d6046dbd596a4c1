"""Comparisons as jobs whose rows are held some at a time: kept, told, sent, gone on with, cancelled."""

from __future__ import annotations

import csv
import io
import json
import re
import threading
from concurrent.futures import Future
from dataclasses import replace
from html import unescape

import openpyxl
import pandas
import pytest
from tests.web.guarded import Kept

from sawbill.backroom import GoneError
from sawbill.backroom.several import Here
from sawbill.quoting.comparing.grid import MOST_ROWS, MOST_SWEPT
from sawbill.store.kept import jobs as kept_jobs
from sawbill.store.kept.parts import MADE
from sawbill.web.reckoning import sweeping as reckoning
from sawbill.web.routes import jobs as routes
from sawbill.web.routes.own import jobs as own_routes
from sawbill.web.work import comparing, sweeping
from sawbill.web.work.working import LEASE, worker_of

ASYNC = {"Prefer": "respond-async"}
SWEEP = {
    "designs": ["bench", {"design": "bench", "label": "tall", "options": {"height": "24 in"}}],
    "options": {"length": ["40 in", "44 in", "1 in"], "height": ["16 in", "18 in"]},
    "price_books": ["sample-inch", "sample-metric"],
    "baseline": 1,
    "sort": "-total",
}
"""Eighteen rows: the second design is not swept by height, and a third of the rows have no quote."""


class Counting(Here):
    """A room that counts the rows it works out, and after some of them does no more."""

    def __init__(self) -> None:
        self.rows, self.most = 0, 1_000

    def submit(self, task):
        if task.function is reckoning.made:
            self.rows += len(task.arguments[1])
            if self.rows > self.most:
                raise Killed
        return super().submit(task)


class Killed(BaseException):
    """What no job catches: its process is gone."""


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """A service whose jobs hold few rows at a time, and keep them often."""
    for name, value in (("PART", 4), ("WINDOW", 8), ("KEEP_EVERY", 100.0), ("MOST_TOGETHER", 1)):
        monkeypatch.setattr(sweeping, name, value)
    made = Kept(tmp_path / "data")
    made.app.extensions["sawbill"] = replace(made.app.extensions["sawbill"], room=Counting())
    monkeypatch.setattr(worker_of(made.app), "wake", lambda: None)
    yield made
    made.app.extensions["sawbill"].keeper.store.close()
    made.store.close()


@pytest.fixture(scope="module")
def at_once(app):
    """The same comparison, answered at once."""
    return app.test_client().post("/v1/comparisons", json=SWEEP)


def done(kept, body):
    client = kept.as_("anna", "quote")
    asked = client.post("/v1/comparisons", json=body, headers=ASYNC)
    assert asked.status_code == 202, asked.text
    worker_of(kept.app)._do(kept.store, kept.store.jobs.take(LEASE))
    assert client.get(asked.headers["Location"]).json["state"] == "done"
    return client, asked.headers["Location"] + "/result"


def test_in_every_form_it_is_what_the_same_comparison_is_at_once(kept, at_once):
    client, result = done(kept, SWEEP)
    assert at_once.json["counts"]["shown"] == 18 and at_once.json["rows"][0]["row"] != 0
    assert client.get(result).data == at_once.data
    for form in ("csv", "xlsx", "txt"):
        assert client.get(f"{result}.{form}").data == client.post(f"/v1/comparisons.{form}", json=SWEEP).data
    assert client.get(f"{result}.csv?excel=1").data == b"\xef\xbb\xbf" + client.get(f"{result}.csv").data
    assert [json.loads(line) for line in client.get(f"{result}.ndjson").text.splitlines()] == at_once.json["rows"]


def test_its_columns_are_read_back_by_pandas(kept):
    client, result = done(kept, SWEEP)
    table = pandas.read_parquet(io.BytesIO(client.get(f"{result}.parquet").data))
    rows = list(csv.DictReader(io.StringIO(client.get(f"{result}.csv").text)))
    assert list(table.columns) == list(rows[0])
    assert [str(each) for each in table["row"]] == [row["row"] for row in rows]
    assert [f"{each:.2f}" if each is not None else "" for each in table["total"]] == [row["total"] for row in rows]
    assert set(table["status"]) == {"quoted", "refused"}


def test_some_rows_may_be_asked_for_and_lead_to_those_after_them(kept, as_problem):
    client, result = done(kept, SWEEP)
    whole, address, found = client.get(result).json, f"{result}?from=0&rows=7", []
    while address is not None:
        some = client.get(address)
        found += some.json["rows"]
        assert {**some.json, "rows": []} == {**whole, "rows": []}
        link = some.headers.get("Link")
        address = link and link[1 : link.index(">")]
    assert found == whole["rows"]
    assert client.get(f"{result}?from=18").json["rows"] == []
    two = list(csv.DictReader(io.StringIO(client.get(f"{result}.csv?from=5&rows=2").text)))
    assert [int(row["row"]) for row in two] == [row["row"] for row in whole["rows"][5:7]]
    nothing = client.get(f"{result}.csv?from=99").text
    assert nothing.startswith("row,") and nothing.count("\n") == 1
    for asked, what in (("from=-1", "from"), ("rows=0", "rows"), ("from=x&rows=10001", "from")):
        assert as_problem(client.get(f"{result}?{asked}"))["errors"][0]["parameter"] == what


def test_what_people_read_says_where_it_has_not_all_rows(kept, monkeypatch):
    monkeypatch.setattr(routes, "MOST_ROWS", 7)
    monkeypatch.setattr(own_routes, "MOST_ROWS", 7)
    client, result = done(kept, SWEEP)
    text = client.get(f"{result}.txt").text
    assert f"Here are rows 1 to 7 of 18.\nThe next are at {result}.txt?from=7&rows=7\nOf all 18 rows, 6" in text
    page = client.get(f"{result}.html?from=7")
    assert "Here are rows 8 to 14 of 18." in page.text and "Here are rows" not in client.get(f"{result}.csv").text
    following = re.search(r'rel="next" href="([^"]*)"', page.text)[1].replace("&amp;", "&")
    assert "Here are rows 15 to 18 of 18." in (last := client.get(following).text) and 'rel="next"' not in last
    made = client.get(f"{result}.xlsx?from=14")
    assert made.headers["Content-Disposition"] == 'inline; filename="comparison-rows-15-to-18-of-18.xlsx"'
    book = openpyxl.load_workbook(io.BytesIO(made.data))
    assert book.sheetnames == ["comparison", "rows 15 to 18 of 18"] and book["comparison"].max_row == 5
    assert book["rows 15 to 18 of 18"]["A1"].value == "Here are rows 15 to 18 of 18."
    assert "Here are none of 18 rows." in client.get(f"{result}.txt?from=99").text
    told = client.get(result.removesuffix("/result").replace("/v1/", "/kept/"))
    assert "The page, xlsx and txt have 7 rows at a time" in told.text


def test_its_page_is_that_of_a_comparison_and_leads_to_the_quotes_of_its_rows(kept):
    client, result = done(kept, {**SWEEP, "shop": {"kerf": "1/4 in"}, "units": "inch"})
    page, rows = client.get(f"{result}.html").text, client.get(result).json["rows"]
    assert "Side by side" in page and "Click a heading" not in page and f"{result}.xlsx" in page
    found = [unescape(each) for each in re.findall(r'<td><a href="(/v1/designs/[^"]*)"', page)]
    quoted = [row for row in rows if row["status"] == "quoted"]
    assert len(found) == len(quoted) == 12
    for address, row in list(zip(found, quoted, strict=True))[::5]:
        assert client.get(address.replace("/quote.html?", "/quote?")).json["totals"]["total"] == row["total"]
    told = {"rates": {"sand": "6 min"}}
    client, result = done(kept, {**SWEEP, **told})
    page = client.get(f"{result}.html").text
    assert "Side by side" in page and "/v1/designs/" not in page, "no address says how long work takes"


def test_a_filter_may_leave_nothing(kept):
    client, result = done(kept, {**SWEEP, "filter": {"total": {"most": "1.00"}}})
    assert (
        client.get(result).data
        == client.post("/v1/comparisons", json={**SWEEP, "filter": {"total": {"most": "1.00"}}}).data
    )
    assert client.get(f"{result}.ndjson").data == b""
    assert len(pandas.read_parquet(io.BytesIO(client.get(f"{result}.parquet").data))) == 0


@pytest.mark.parametrize("killed_at", [1, 14, 18])
def test_whoever_takes_it_over_works_no_row_out_again_that_was_kept(kept, at_once, killed_at, monkeypatch):
    client, room = kept.as_("anna", "quote"), kept.app.extensions["sawbill"].room
    address = client.post("/v1/comparisons", json=SWEEP, headers=ASYNC).headers["Location"]
    room.most = killed_at - 1
    job = kept.store.jobs.take(LEASE)
    with pytest.raises(Killed):
        worker_of(kept.app)._do(kept.store, job)
    rows = kept.store.parts.rows(job.id, MADE)
    assert rows == max(0, killed_at - comparing.AHEAD) // 4 * 4, "eight are handed in at a time"
    room.rows, room.most = 0, 1_000
    monkeypatch.setattr(kept_jobs, "_lost", lambda *_: kept_jobs.JOBS.c.state == "running")
    worker_of(kept.app)._do(kept.store, kept.store.jobs.take(LEASE))
    assert room.rows == 18 - rows
    assert client.get(f"{address}/result").data == at_once.data
    assert kept.store.parts.rows(job.id, MADE) == 0, "what it was made of is not needed any more"


def test_rows_that_another_version_made_are_made_again(kept, monkeypatch):
    client, room = kept.as_("anna", "quote"), kept.app.extensions["sawbill"].room
    client.post("/v1/comparisons", json=SWEEP, headers=ASYNC)
    room.most = 9
    with pytest.raises(Killed):
        worker_of(kept.app)._do(kept.store, kept.store.jobs.take(LEASE))
    room.rows, room.most = 0, 1_000
    monkeypatch.setattr(sweeping, "ENGINE", "another")
    monkeypatch.setattr(kept_jobs, "_lost", lambda *_: kept_jobs.JOBS.c.state == "running")
    worker_of(kept.app)._do(kept.store, kept.store.jobs.take(LEASE))
    assert room.rows == 18


def test_where_nobody_can_do_it_now_it_goes_on_later_and_does_not_fail(kept, monkeypatch):
    client, room = kept.as_("anna", "quote"), kept.app.extensions["sawbill"].room
    address = client.post("/v1/comparisons", json=SWEEP, headers=ASYNC).headers["Location"]

    def submit(task):
        if task.function is not reckoning.made:
            return Here().submit(task)
        raised = Future()
        raised.set_exception(GoneError("its machine is gone"))
        return raised

    with monkeypatch.context() as away:
        away.setattr(room, "submit", submit)
        worker_of(kept.app)._do(kept.store, kept.store.jobs.take(LEASE))
    assert client.get(address).json["state"] == "running" and kept.store.jobs.take(LEASE) is None
    monkeypatch.setattr(kept_jobs, "_lost", lambda *_: kept_jobs.JOBS.c.state == "running")
    worker_of(kept.app)._do(kept.store, kept.store.jobs.take(LEASE))
    assert client.get(address).json["state"] == "done"


def test_one_that_was_asked_for_before_rows_were_counted_is_told_as_any(kept, at_once):
    client = kept.as_("anna", "quote")
    address = client.post("/v1/comparisons", json=SWEEP, headers=ASYNC).headers["Location"] + "/result"
    job = kept.store.jobs.take(LEASE)
    kept.store.jobs.go_on(job, "an older version", 0)
    worker_of(kept.app)._do(kept.store, replace(job, rows=0))
    assert client.get(address).data == at_once.data
    assert client.get(f"{address}.csv").data == client.post("/v1/comparisons.csv", json=SWEEP).data


def test_one_that_is_cancelled_ends_what_is_at_work(kept, monkeypatch, caplog):
    """Its rows never end by themselves: they are ended, or this test is."""
    handed_in = threading.Event()

    def submit(task):
        if task.function is not reckoning.made:
            return Here().submit(task)
        handed_in.set()
        return Future()

    client = kept.as_("anna", "quote")
    address = client.post("/v1/comparisons", json=SWEEP, headers=ASYNC).headers["Location"]
    monkeypatch.setattr(kept.app.extensions["sawbill"].room, "submit", submit)
    job = kept.store.jobs.take(LEASE)
    doing = threading.Thread(target=worker_of(kept.app)._do, args=(kept.store, job), daemon=True)
    doing.start()
    assert handed_in.wait(30)
    assert client.delete(address).status_code == 204
    doing.join(30)
    assert not doing.is_alive()
    assert "goes on later" not in caplog.text


def test_a_job_may_have_many_more_rows_than_an_answer_and_not_without_end(kept, as_problem):
    client, many = kept.as_("anna", "quote"), [f"{30 + n / 4} in" for n in range(50)]
    body = {
        "designs": ["bench"], "price_books": ["sample-inch"],
        "options": {"length": many, "height": [f"{15 + n / 4} in" for n in range(40)]}, "quantities": [*range(1, 51)],
    }  # fmt: skip
    asked = client.post("/v1/comparisons", json=body, headers=ASYNC)
    assert asked.status_code == 202 and kept.store.jobs.take(LEASE).rows == 100_000
    more = {**body, "price_books": ["sample-inch", "sample-metric"], "designs": ["bench", "sawhorse"]}
    refused = as_problem(client.post("/v1/comparisons", json=more, headers=ASYNC))
    assert f"it may have {MOST_SWEPT}" in refused["errors"][0]["detail"]
    told = as_problem(client.post("/v1/comparisons.ndjson", json=body))["errors"][0]["detail"]
    assert f"it may have {MOST_ROWS}" in told
