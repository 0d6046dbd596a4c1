"""A quote asked for by POST comes in the form that is accepted, as those asked for by address do."""

import io
import json

import openpyxl
import pytest
from tests.web.guarded import Kept

from sawbill.answer.forms.text import quote_text
from sawbill.answer.tables import TABLES
from sawbill.web.http.media import TXT, XLSX
from sawbill.web.routes.cutting_plans import EXAMPLE


def test_a_quote_that_is_worked_out_comes_as_a_workbook_or_as_text(client, body):
    quote = client.post("/v1/quotes", json=body)
    assert quote.content_type == "application/json; charset=utf-8" and "Accept" in quote.headers["Vary"]
    text = client.post("/v1/quotes", json=body, headers={"Accept": "text/plain"})
    assert (text.status_code, text.content_type) == (200, TXT.content_type)
    assert text.text == quote_text(quote.json) + "\n"
    book = client.post("/v1/quotes", json=body, headers={"Accept": XLSX.type})
    assert (book.status_code, book.content_type) == (200, XLSX.content_type)
    made = openpyxl.load_workbook(io.BytesIO(book.data))
    assert made.sheetnames[-len(TABLES) :] == list(TABLES), "what programs read stands behind what people do"
    assert book.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize(
    "accept", ["*/*", "application/*", "text/html;q=0.5, application/json", "text/plain;q=0.1, */*"]
)
def test_json_is_what_comes_where_anything_will_do(client, body, accept):
    assert client.post("/v1/quotes", json=body, headers={"Accept": accept}).is_json


@pytest.mark.parametrize("accept", ["text/csv", "text/html", "image/png"])
def test_what_cannot_be_had_is_refused_with_what_can_before_anything_is_kept(tmp_path, body, as_problem, accept):
    client = Kept(tmp_path / "data").as_("anna")
    problem = as_problem(client.post("/v1/quotes", json=body, headers={"Accept": accept}))
    assert problem["type"] == "/problems/not-acceptable"
    assert "application/json" in problem["detail"] and "text/plain" in problem["detail"]
    assert "suffix" not in problem["detail"], "there is no address with one to post to"
    assert client.get("/v1/quotes").json["quotes"] == []


def test_a_kept_quote_is_the_same_quote_in_any_form_and_its_address_gives_the_json(tmp_path, body):
    client = Kept(tmp_path / "data").as_("anna")
    key = {"Idempotency-Key": '"once"'}
    text = client.post("/v1/quotes", json=body, headers={"Accept": "text/plain", **key})
    assert (text.status_code, text.content_type) == (201, TXT.content_type)
    again = client.post("/v1/quotes", json=body, headers=key)
    assert again.headers["Location"] == text.headers["Location"]
    kept = client.get(text.headers["Location"])
    assert kept.data == again.data and quote_text(json.loads(kept.data)) + "\n" == text.text
    assert client.get(f"{text.headers['Location']}.txt").text == text.text
    assert len(client.get("/v1/quotes").json["quotes"]) == 1


def test_a_key_that_is_none_is_refused_even_where_nothing_is_kept(tmp_path, client, body, as_problem):
    key = {"Idempotency-Key": "two words"}
    keeping = Kept(tmp_path / "data").as_("anna")
    at = keeping.post("/v1/quotes", json=body).headers["Location"]
    for answer in (
        client.post("/v1/quotes", json=body, headers=key),
        keeping.post("/v1/quotes?keep=no", json=body, headers=key),
        keeping.post(f"{at}/requote", headers=key),
    ):
        assert "Idempotency-Key" in as_problem(answer)["detail"] and answer.status_code == 400


def test_a_cutting_plan_comes_as_a_workbook_or_as_text_too(client):
    plan = client.post("/v1/cutting-plans", json=EXAMPLE)
    assert plan.content_type == "application/json; charset=utf-8" and "Accept" in plan.headers["Vary"]
    text = client.post("/v1/cutting-plans", json=EXAMPLE, headers={"Accept": "text/plain"})
    assert text.text == quote_text(plan.json) + "\n"
    book = client.post("/v1/cutting-plans", json=EXAMPLE, headers={"Accept": XLSX.type})
    assert book.headers["Content-Disposition"] == 'inline; filename="cutting-plan.xlsx"'
    sheets = openpyxl.load_workbook(io.BytesIO(book.data))
    behind = {sheet.title for sheet in sheets if sheet.sheet_state == "hidden"}
    assert behind < set(TABLES) and "steps" not in behind, "those that it has"
    assert [sheet.title for sheet in sheets if sheet.title not in behind] == ["Quote", "Buying", "Cutting", "Checking"]
    costs = {row[0].value: row[1].value for row in sheets["costs"].iter_rows()}
    assert costs["lumber"] == float(plan.json["totals"]["lumber"])
    assert costs["total"].startswith("=ROUND(SUM(")
    for answer in (plan, text, book):
        assert answer.headers["Cache-Control"] == "no-store" and "Server-Timing" in answer.headers


def test_a_cutting_plan_is_not_to_be_had_as_a_page(client, as_problem):
    problem = as_problem(client.post("/v1/cutting-plans", json=EXAMPLE, headers={"Accept": "text/html"}))
    assert problem["type"] == "/problems/not-acceptable"
