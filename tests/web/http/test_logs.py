"""The log of requests: enough to find one again, and nothing that is not for every eye."""

import io
import json
import logging
import re

import pytest
from tests.web.guarded import Kept, addresses, ask

from sawbill.web.http.logs import JsonLines


@pytest.fixture
def lines():
    """Write the log as the service does, and read it."""
    text = io.StringIO()
    handler = logging.StreamHandler(text)
    handler.setFormatter(JsonLines())
    logger = logging.getLogger("sawbill")
    before = logger.level, logger.propagate
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
    logger.propagate = False
    yield lambda: [json.loads(line) for line in text.getvalue().splitlines()]
    logger.removeHandler(handler)
    logger.level, logger.propagate = before


def test_a_request_is_one_line_with_its_route_and_nothing_of_what_it_asked(client, lines):
    answer = client.get("/v1/designs/slatted-bed/quote?price_book=sample-inch&mattress=full")
    (line,) = lines()
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", line.pop("time"))
    assert line.pop("ms") > 0
    assert line == {
        "level": "info",
        "request": answer.headers["X-Request-Id"],
        "message": "request",
        "route": "/v1/designs/<design>/quote",
        "method": "GET",
        "status": 200,
        "bytes": len(answer.data),
        "owner": "local",
    }


def test_a_request_that_leads_nowhere_is_logged_without_where(client, lines):
    client.get("/nothing/of/the/kind")
    client.open("/healthz", method="BREW")
    assert [(line["route"], line["method"], line["status"]) for line in lines()] == [
        ("", "GET", 404),
        ("", "other", 405),
    ]


def test_the_id_that_a_request_came_with_is_kept_if_it_can_be_one(client, lines):
    given = ["8e03978e-40d5-43dd-bc93-6894a57f9324", "a", "A.b_c-1", "x" * 64]
    for each in given:
        assert client.get("/healthz", headers={"X-Request-Id": each}).headers["X-Request-Id"] == each
    assert [line["request"] for line in lines()] == given


@pytest.mark.parametrize("given", ["", " ", "x" * 65, "a b", 'a"b', "é", "-a", "sawbill_" + "A" * 43, "a,b", "{}"])
def test_what_cannot_be_an_id_is_replaced(client, lines, given):
    made = client.get("/healthz", headers={"X-Request-Id": given}).headers["X-Request-Id"]
    assert re.fullmatch(r"[0-9a-f]{16}", made)
    assert lines()[0]["request"] == made


def test_every_request_has_an_id_of_its_own(client):
    assert len({client.get("/healthz").headers["X-Request-Id"] for _ in range(50)}) == 50


def test_a_fault_of_the_service_is_logged_with_the_id_of_its_request(app_with, lines):
    app = app_with()

    def broken():
        raise RuntimeError("the saw broke")

    broken.access = "open"
    app.view_functions["service.healthz"] = broken
    answer = app.test_client().get("/healthz")
    fault, request = lines()
    assert answer.status_code == request["status"] == 500
    assert fault["request"] == request["request"] == answer.headers["X-Request-Id"]
    assert (fault["level"], fault["message"]) == ("error", "GET /healthz failed")
    assert "RuntimeError: the saw broke" in fault["error"]
    assert "saw broke" not in answer.text


def test_no_line_holds_a_secret_or_what_was_asked(tmp_path, lines, body):
    """Ask every address with tokens in every place where one might be put, then look through the log."""
    kept = Kept(tmp_path / "data")
    anna, admin = kept.secret("anna"), kept.secret("root", "admin")
    client = kept.client(anna)
    secrets = {anna, admin}
    where = client.post("/v1/quotes", json={**body, "label": "for-nobody-else"}).headers["Location"]
    link = client.post(f"{where}/links", json={}).json
    secrets.add(link["secret"])
    assert kept.client().get(link["address"]).status_code == 200
    for address in addresses(kept.app):
        for secret in secrets:
            path = address.path(quote_id=where.rpartition("/")[2])
            kept.client().open(f"{path}?link={secret}&token={secret}", method=address.method)
            kept.client(secret).open(f"{path}?for-nobody-else=1", method=address.method)
            ask(kept.client(), address, quote_id=secret, design=secret, name=secret, table=secret, kind=secret)
    kept.client(headers=None).get("/healthz", headers={"X-Request-Id": anna, "User-Agent": anna, "Referer": anna})
    told = lines()
    assert len(told) > 6 * len(addresses(kept.app))
    text = json.dumps(told)
    for secret in secrets:
        assert secret not in text and secret[8:] not in text
    assert "for-nobody-else" not in text
    assert '"?' not in text and "Bearer" not in text
    assert {line["owner"] for line in told if "owner" in line} >= {"", "anna", "root"}


def test_what_looks_like_a_token_is_left_out_of_any_line_however_it_got_there(lines):
    logging.getLogger("sawbill.web").error("it came as %s", "sawbill_" + "A" * 43)
    assert lines()[0]["message"] == "it came as sawbill_..."


def test_a_line_stays_one_line(lines):
    logging.getLogger("sawbill.web").error('one\ntwo\r\n{"three": 3}\u2028')
    assert lines()[0]["message"] == 'one\ntwo\r\n{"three": 3}\u2028'
    assert len(lines()) == 1
