"""Traces: sent to a receiver of the test's own, by another process; without the variables nothing is loaded."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
from opentelemetry.proto.collector.trace.v1.trace_service_pb2 import ExportTraceServiceRequest
from tests.web.serving import served

from sawbill.web.running import telemetry

ASKS = """
import sys
sys.modules.update(dict.fromkeys(sys.argv[2:]))
from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.running import telemetry
from sawbill.web.running.settings import Settings
Store.open(sys.argv[1]).prepare()
client = create_app(Settings(data=sys.argv[1], local=True)).test_client()
made = client.post("/v1/quotes", json={"price_book": "sample-inch", "lines": [{"design": "bench"}]})
assert made.status_code == 201, made.text
assert client.get(made.headers["Location"] + "?link=sawbill_secret").status_code == 401
compared = {"designs": ["bench"], "options": {"length": ["40 in", "44 in"]}, "price_books": ["sample-inch"]}
assert client.post("/v1/comparisons", json=compared).status_code == 200
telemetry.flush()
print(sorted(name for name in sys.modules if name.startswith("opentelemetry")))
"""
"""A quote is kept, and asked for with a link that opens nothing; then some are compared. Further words are modules that
are as if they were not there."""


@contextmanager
def receiver() -> Iterator[tuple[str, list[ExportTraceServiceRequest]]]:
    """Take what is sent by OTLP over HTTP."""
    found: list[ExportTraceServiceRequest] = []

    class Taking(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            found.append(ExportTraceServiceRequest.FromString(self.rfile.read(int(self.headers["Content-Length"]))))
            self.send_response(200)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    with HTTPServer(("127.0.0.1", 0), Taking) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}", found
        server.shutdown()


def ask(folder: Path, *lacking: str, **environ: str) -> str:
    own = {name: text for name, text in os.environ.items() if not name.startswith("OTEL_")}
    words = [sys.executable, "-c", ASKS, str(folder), *lacking]
    done = subprocess.run(words, env={**own, **environ}, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr * bool(lacking)


NOWHERE = {"OTEL_EXPORTER_OTLP_ENDPOINT": "http://127.0.0.1:9"}


def test_unless_it_is_asked_for_nothing_of_it_is_loaded(tmp_path: Path) -> None:
    assert ask(tmp_path, **NOWHERE, OTEL_SDK_DISABLED="true").strip() == "[]"


@pytest.mark.parametrize(
    ("more", "wanted"),
    [({}, True), ({"OTEL_SDK_DISABLED": "true"}, False), ({"OTEL_TRACES_EXPORTER": "none"}, False)],
)
def test_it_is_asked_for_by_an_address_unless_it_is_turned_off(more: dict[str, str], wanted: bool) -> None:
    assert telemetry.wanted({**NOWHERE, **more}) == wanted
    assert not telemetry.wanted(more)


def test_where_a_package_lacks_that_is_said_and_requests_are_answered(tmp_path: Path) -> None:
    told = ask(tmp_path, "opentelemetry.instrumentation.flask", **NOWHERE)
    assert "sawbill[telemetry]" in told and "instrumentation.flask" in told


@pytest.mark.parametrize("lacking", ["exporter.otlp.proto.http.trace_exporter", "sdk.trace"])
def test_whichever_package_lacks_is_named(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, lacking: str
) -> None:
    monkeypatch.setitem(sys.modules, f"opentelemetry.{lacking}", None)
    telemetry.begin(NOWHERE)
    assert "sawbill[telemetry]" in caplog.text and lacking in caplog.text


def test_what_serves_sends_and_nothing_that_forks_has_a_thread_for_it(tmp_path: Path) -> None:
    with receiver() as (address, found):
        sending = {"OTEL_EXPORTER_OTLP_ENDPOINT": address, "OTEL_BSP_SCHEDULE_DELAY": "100"}
        with served(tmp_path, **sending) as service:
            for process in (service.process.pid, service.back_room()):
                assert len(list(Path(f"/proc/{process}/task").iterdir())) == 1
            late = time.monotonic() + 60
            while "GET /healthz" not in str(found):
                assert time.monotonic() < late
                service.ask_again("/healthz")


def test_requests_engines_and_the_store_are_traced_and_no_query_is_told(tmp_path: Path) -> None:
    with receiver() as (address, found):
        ask(tmp_path, OTEL_EXPORTER_OTLP_ENDPOINT=address, OTEL_SERVICE_NAME="wood", OTEL_RESOURCE_ATTRIBUTES="a=b")
    [sent] = [each for request in found for each in request.resource_spans][:1]
    resource = {each.key: each.value.string_value for each in sent.resource.attributes}
    assert (resource["service.name"], resource["a"]) == ("wood", "b")
    spans = [
        (span.name, {each.key: each.value for each in span.attributes})
        for request in found for each in request.resource_spans for scope in each.scope_spans for span in scope.spans
    ]  # fmt: skip
    posted = next(attributes for name, attributes in spans if name == "POST /v1/quotes")
    assert posted["http.response.status_code"].int_value == 201
    assert posted["http.route"].string_value == "/v1/quotes"
    tasks = {attributes["code.function.name"].string_value for name, attributes in spans if name == "engine task"}
    assert {"sawbill.web.reckoning.quotes.quote", "sawbill.web.reckoning.comparisons.row"} <= tasks
    assert {attributes["db.system.name"].string_value for _, attributes in spans if "db.system.name" in attributes} == {
        "sqlite"
    }
    assert "sawbill_secret" not in str(found)
