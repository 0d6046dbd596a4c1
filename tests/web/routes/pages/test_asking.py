"""The pages that a design is asked for on, and price books that are sent with their form."""

import io
from urllib.parse import parse_qs, urlsplit

import pytest

from sawbill.prices.forms.archive import write_archive
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.workbook import write_workbook
from sawbill.prices.pricebook import content
from sawbill.web.routes.pages.asking import MOST_PARTS
from sawbill.web.work import recent
from sawbill.web.work.recent import Recent
from sawbill.web.written.asking.page import address_of

PERSON = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
BENCH = "/v1/designs/bench/quote"


def send(client, fields, file=None, name="mine.xlsx"):
    """Fill the form of a bench in, as a browser sends it."""
    data = {**fields, "prices_file": (io.BytesIO(file or b""), name if file else "")}
    return client.post("/designs/bench", data=data, content_type="multipart/form-data", headers=PERSON)


@pytest.fixture
def dearer(inch):
    """The inch sample with all boards at twice their price, under another title."""
    told = content(inch)
    told["title"] = "My own <b>yard</b>"
    for row in told["lumber"]:
        row["price"] = f"{float(row['price']) * 2:.2f}"
    return read_json("mine", told)


def test_a_filled_in_form_leads_to_an_address_that_says_what_is_not_as_usual(client):
    answer = send(client, {
        "price_book": "sample-inch", "length": " 40 in ", "back": "", "grades": ["No.2", "No.1"], "quantity": "",
    })  # fmt: skip
    assert answer.status_code == 303
    path, query = urlsplit(answer.location).path, parse_qs(urlsplit(answer.location).query)
    assert path == f"{BENCH}.html"
    assert query == {"price_book": ["sample-inch"], "length": ["40 in"], "grades": ["No.2,No.1"]}
    assert client.get(answer.location, headers=PERSON).status_code == 200


def test_a_form_with_more_fields_than_any_of_ours_is_told_so(client):
    answer = send(client, {f"field-{number}": "1" for number in range(MOST_PARTS + 1)})
    assert answer.status_code == 413 and f"at most {MOST_PARTS} fields" in answer.text


def test_a_measured_mattress_takes_the_place_of_a_listed_one(client):
    data = {"price_book": "sample-inch", "mattress": "queen", "mattress_measured": "50 in x 70 in"}
    answer = client.post("/designs/slatted-bed", data=data, content_type="multipart/form-data")
    assert parse_qs(urlsplit(answer.location).query)["mattress"] == ["50 in x 70 in"]


@pytest.mark.parametrize(("write", "name"), [(write_workbook, "my prices.XLSX"), (write_archive, "mine.zip")])
def test_a_price_book_of_ones_own_prices_the_quote_it_came_with(client, dearer, write, name):
    """As it does where it comes inside a JSON request, which no page has to do with."""
    answer = send(client, {"price_book": "sample-inch", "length": "40 in"}, write(dearer), name)
    assert answer.location.startswith(f"{BENCH}.html?price_book=sent_prices%40{dearer.revision}")
    query = answer.location.partition("?")[2]
    quoted = client.get(f"{BENCH}?{query}").json
    line = {"label": "Knock-down bench", "design": "bench", "options": {"length": "40 in"}}
    inline = client.post("/v1/quotes?keep=no", json={"price_book": content(dearer), "lines": [line]}).json
    assert quoted["totals"] == inline["totals"]
    page = client.get(answer.location, headers=PERSON).text
    assert "My own &lt;b&gt;yard&lt;/b&gt;" in page and "selected>Your own file</option>" in page
    assert client.get(f"/v1/designs/bench/drawing.svg?{query}").status_code == 200


def test_a_file_that_is_no_price_book_is_told_at_its_field_and_nothing_typed_is_lost(client):
    for file, name, told in ((b"PK nothing", "a.xlsx", "cannot be opened"), (b"%PDF", "a.pdf", ".xlsx, .zip")):
        answer = send(client, {"price_book": "sample-metric", "length": "41 in"}, file, name)
        assert answer.status_code in (415, 422)
        assert answer.headers["Cache-Control"] == "no-store"
        fault = answer.text.partition('id="fault-prices_file"')[2].partition("</p>")[0]
        assert told in fault
        assert 'value="41 in"' in answer.text
        assert '<option value="sample-metric" selected>' in answer.text


def test_prices_that_are_held_no_longer_are_told_where_they_were_chosen(client):
    answer = client.get(f"{BENCH}.html?price_book=sent_prices@{'0' * 32}&length=41in", headers=PERSON)
    assert answer.status_code == 422
    fault = answer.text.partition('id="fault-price_book"')[2].partition("</p>")[0]
    assert "choose their file again" in fault
    assert 'value="41in"' in answer.text


def test_only_the_last_few_price_books_are_held_and_none_that_is_huge(monkeypatch):
    held = Recent()
    for number in range(recent.MOST_BOOKS + 1):
        assert held.hold_book(f"{number}", b"book %d" % number)
    assert held.book("0") is None
    assert held.book("1") == b"book 1"
    monkeypatch.setattr(recent, "LARGEST_BOOK", 10)
    assert not held.hold_book("huge", bytes(range(256)))
    assert held.book("huge") is None


def test_a_body_that_is_no_form_is_refused(client):
    answer = client.post("/designs/bench", data=b"length=40in", content_type="application/x-www-form-urlencoded")
    assert answer.status_code == 415
    broken = client.post("/designs/bench", data=b"--x", content_type="multipart/form-data; boundary=y")
    assert broken.status_code == 400


def test_a_program_gets_problems_and_designs_as_json_and_a_browser_pages(client):
    for path in ("/v1/designs/nothing", "/v1/nothing", f"{BENCH}?length=1"):
        assert client.get(path).content_type == "application/problem+json"
        assert client.get(path, headers={"Accept": "*/*"}).content_type == "application/problem+json"
        assert client.get(path, headers=PERSON).mimetype == "text/html"
    assert client.get("/v1/designs/bench").mimetype == "application/json"
    assert client.get("/v1/designs/bench.json", headers=PERSON).mimetype == "application/json"
    assert "What do you want?" in client.get("/v1/designs/bench", headers=PERSON).text


def test_a_kept_request_leads_to_the_address_that_asks_the_same(client):
    """Both are quoted, and come to the same."""
    raw = {
        "price_book": "sample-metric", "units": "inch", "site": {"door_width": "30 in", "indoors": False},
        "shop": {"spare_boards": 1}, "lumber": {"must_hold": True}, "pricing": {"margin": "25 %"},
        "lines": [{"label": "Knock-down bench", "design": "bench", "options": {"length": "40 in"}, "quantity": 2}],
    }  # fmt: skip
    address = address_of(raw)
    assert address.startswith(f"{BENCH}.html?")
    by_address = client.get(address.replace("quote.html", "quote")).json
    posted = client.post("/v1/quotes?keep=no", json=raw).json
    assert {**by_address, "drawings": []} == {**posted, "drawings": []}


@pytest.mark.parametrize("more", [
    {"on_hand": [{"section": "2x4", "length": "1 m"}]}, {"rates": {"cut": 2}}, {"price_book": {"title": "mine"}},
    {"lines": [{"parts": [{"section": "2x4", "length": "1 m"}]}]}, {"lines": [{"design": "bench"}] * 2},
    {"lines": [{"design": "bench", "lumber": {"species": ["SPF"]}}]},
    {"lines": [{"design": "daybed", "options": {"mattress": {"size": "full"}}}]},
])  # fmt: skip
def test_a_request_that_no_address_can_say_has_none(more):
    assert address_of({"price_book": "sample-inch", "lines": [{"design": "bench"}], **more}) is None
