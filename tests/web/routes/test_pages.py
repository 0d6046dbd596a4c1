from html.parser import HTMLParser
from urllib.parse import urlencode

import pytest

from sawbill.registry import designs


class Page(HTMLParser):
    """A page's links, form fields and text."""

    def __init__(self, text):
        super().__init__()
        self.links, self.forms, self.scripts, self.text = [], {}, 0, ""
        self.select, self.fields, self.unsaid = None, {}, False
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.links += [given[key] for key in ("href", "src") if key in given]
        self.scripts += tag == "script" or any(key.startswith("on") for key in given) or "style" in given
        if tag == "form":
            self.fields = self.forms.setdefault(given["action"], {})
        if tag == "select":
            self.select = given["name"]
        if tag == "input":
            self.fields[given["name"]] = given["value"]
        if tag == "option" and ("selected" in given or self.select not in self.fields):
            self.fields[self.select] = given.get("value", "")
            self.unsaid = "value" not in given

    def handle_data(self, data):
        if self.select and self.unsaid:
            self.fields[self.select], self.unsaid = data, False
        self.text += data


@pytest.fixture
def page(client):
    def get(path):
        answer = client.get(path, headers={"Accept": "text/html"})
        assert answer.status_code == 200
        assert answer.content_type == "text/html; charset=utf-8"
        return Page(answer.text)

    return get


def test_the_service_tells_that_it_is_there(client, holds):
    answer = client.get("/healthz").json
    holds("Health", answer)
    assert answer["status"] == "ok"


def test_each_form_of_the_start_page_leads_to_a_quote(page):
    forms = page("/").forms
    assert {action.split("/")[3] for action in forms} == {*designs()}
    assert forms["/v1/designs/slatted-bed/quote.html"]["mattress"] == "queen"
    for action, fields in forms.items():
        assert "Shopping list" in page(f"{action}?{urlencode(fields)}").text


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/problems/not-found",
        "/v1/designs/slatted-bed/quote.html?price_book=sample-metric",
        "/v1/comparisons.html?designs=bench&price_book=sample-inch",
    ],
)
def test_pages_take_nothing_from_elsewhere_and_run_nothing(client, page, path):
    found = page(path)
    assert found.scripts == 0
    for link in found.links:
        assert link.startswith(("/", "data:"))
        if link.startswith("/"):
            assert client.get(link).status_code == 200


def test_the_style_is_served(client):
    answer = client.get("/style.css")
    assert answer.content_type == "text/css; charset=utf-8"
    assert answer.headers["Cache-Control"] == "public, max-age=3600"


def test_what_is_not_reckoned_of_the_strength_is_said_once_beside_the_checks(client, page):
    """In words that name what may hurt someone; in JSON and text it is a notice; of a board alone there is none."""
    path = "/v1/designs/slatted-bed/quote?price_book=sample-inch"
    [told] = [each for each in client.get(path).json["warnings"] if each["code"] == "not-reckoned"]
    assert told["severity"] == "note"
    for left_out in ("push on a guard", "steel of hangers", "twisted rails", "posts bent", "glue", "wear"):
        assert left_out in told["message"]
    text = page(path).text
    assert text.count(told["message"]) == 1
    assert text.index("Checked against") < text.index(told["message"]) < text.index("What it means")
    assert client.get(path, headers={"Accept": "text/plain"}).text.count(told["message"]) == 1
    plank = {"parts": [{"name": "shelf", "section": "2x4", "length": "30 in"}]}
    alone = client.post("/v1/quotes?keep=no", json={"price_book": "sample-inch", "lines": [plank]}).json
    assert "not-reckoned" not in {each["code"] for each in alone["warnings"]}
