"""The tables and values of stored quotes: their owner's alone, the same in every form, for ever."""

import csv
import io
from decimal import Decimal

import openpyxl
import pytest

from sawbill.answer.tables import TABLES
from sawbill.store import Store
from sawbill.web.app import create_app
from sawbill.web.http.media import TABLE_FORMS
from sawbill.web.running.settings import Settings
from sawbill.web.written.tabled import VALUE_FORMS

SUFFIXES = ["", *(f".{form.suffix}" for form in TABLE_FORMS)]
ADDRESSES = [
    ".html", ".xlsx", ".txt", *(f"/costs{suffix}" for suffix in SUFFIXES),
    *(f"/value/total{suffix}" for suffix in ("", *(f".{form.suffix}" for form in VALUE_FORMS))),
]  # fmt: skip
"""Every kind of address below a stored quote that is served here."""


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return tmp_path_factory.mktemp("data")


@pytest.fixture(scope="module")
def store(data):
    with Store.open(data) as opened:
        opened.prepare()
        yield opened


@pytest.fixture(scope="module")
def as_(data, store):
    """Make a client with a token of an owner's."""
    app = create_app(Settings(data=str(data)))

    def make(owner, *scopes):
        client = app.test_client()
        if owner:
            _, secret = store.tokens.make(owner, "test", scopes or ("quote",))
            client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {secret}"
        return client

    return make


@pytest.fixture(scope="module")
def anna(as_):
    return as_("anna")


@pytest.fixture(scope="module")
def kept(anna):
    """Where a small quote is kept, and its JSON; its label is one that a sheet would compute."""
    shelf = {"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 3}
    body = {"price_book": "sample-inch", "lines": [{"label": "=1+2", "parts": [shelf]}]}
    answer = anna.post("/v1/quotes", json=body)
    assert answer.status_code == 201, answer.text
    return answer.headers["Location"], answer.json


@pytest.mark.parametrize("table", TABLES)
def test_a_stored_quote_has_every_table_in_every_form(anna, kept, table):
    for suffix in SUFFIXES:
        answer = anna.get(f"{kept[0]}/{table}{suffix}")
        assert answer.status_code == 200, answer.text
        assert answer.headers["Cache-Control"] == "no-store"


def test_totals_are_those_of_the_quote(anna, kept):
    address, told = kept
    total = told["totals"]["total"]
    rows = csv.DictReader(io.StringIO(anna.get(f"{address}/costs.csv").text))
    assert sum(Decimal(row["adds"]) for row in rows if row["adds"]) == Decimal(total)
    book = openpyxl.load_workbook(io.BytesIO(anna.get(f"{address}.xlsx").data), data_only=True)
    assert f"{book['costs']['B7'].value:.2f}" == total
    assert anna.get(f"{address}/value/total.txt").text == total
    assert total in anna.get(f"{address}.txt").text


def test_a_label_that_a_sheet_would_compute_stays_text(anna, kept):
    address, _ = kept
    (row,) = csv.DictReader(io.StringIO(anna.get(f"{address}/shares.csv").text))
    assert row["label"] == "'=1+2"
    sheet = openpyxl.load_workbook(io.BytesIO(anna.get(f"{address}/shares.xlsx").data))["shares"]
    assert (sheet["A2"].data_type, sheet["A2"].value) == ("s", "=1+2")
    assert anna.get(f"{address}/value/lines.0.label.csv").text == "'=1+2\r\n"


def test_the_page_of_a_stored_quote_shows_what_it_says_and_leads_to_its_workbook(anna, kept):
    address, told = kept
    page = anna.get(f"{address}.html")
    assert page.content_type == "text/html; charset=utf-8"
    assert "<h1>=1+2</h1>" in page.text and f"USD {told['totals']['total']}" in page.text
    for row in told["shopping_list"]:
        assert row["item_code"] in page.text and row["amount"] in page.text
    assert f'href="{address}.xlsx"' in page.text


@pytest.mark.parametrize("below", ADDRESSES)
def test_another_owners_quote_is_the_same_as_none_in_every_form(as_, kept, below):
    address, _ = kept
    missing = "/v1/quotes/" + "0" * 20
    bert = as_("bert")
    others, none = bert.get(f"{address}{below}"), bert.get(f"{missing}{below}")
    assert others.status_code == none.status_code == 404
    assert others.data == none.data
    assert as_(None).get(f"{address}{below}").status_code == 401
    assert as_("carl", "admin").get(f"{address}{below}").status_code == 200


@pytest.mark.parametrize("below", ADDRESSES)
def test_what_the_caller_holds_already_is_not_sent_again_but_only_to_its_owner(anna, as_, kept, below):
    address = f"{kept[0]}{below}"
    tag = {"If-None-Match": anna.get(address).headers["ETag"]}
    assert anna.get(address, headers=tag).status_code == 304
    assert as_("bert").get(address, headers=tag).status_code == 404


def test_a_link_reads_its_table_in_every_form_and_nothing_else(as_, kept, store):
    address, _ = kept
    _, secret = store.links.make(address.rpartition("/")[2], None, "costs")
    stranger = as_(None)
    for suffix in SUFFIXES:
        assert stranger.get(f"{address}/costs{suffix}?link={secret}").status_code == 200
    for below in ("/cut-list.csv", "/value/total.txt", ".xlsx", ".txt"):
        assert stranger.get(f"{address}{below}?link={secret}").status_code == 401


@pytest.mark.parametrize(
    ("below", "status", "remedy"),
    [
        ("/costs.csv?excell=1", 422, "did you mean excel?"),
        ("/value/total.txt?unit=in", 422, "total takes no unit"),
        ("/value/height.txt", 404, "this quote has no single height"),
        ("/cost.csv", 404, "did you mean costs?"),
        ("/value/totl.csv", 404, "did you mean total?"),
        (".txt?excel=1", 422, "there is no parameter excel"),
    ],
)
def test_faults_are_told_in_a_line(anna, kept, below, status, remedy):
    answer = anna.get(f"{kept[0]}{below}")
    assert (answer.status_code, answer.content_type) == (status, "text/plain; charset=utf-8")
    assert remedy in answer.text


def test_a_service_that_keeps_nothing_says_so(client):
    answer = client.get(f"/v1/quotes/{'0' * 20}/costs.csv")
    assert answer.status_code == 409 and "sawbill serve --data" in answer.text
