"""The description laid out as a page: nothing of it left out, nothing from elsewhere, every link leads somewhere."""

from html import unescape
from html.parser import HTMLParser
from types import SimpleNamespace

import pytest

from sawbill.web.written import reader
from sawbill.web.written.reader import METHODS


class Read(HTMLParser):
    """A page's anchors, links and texts."""

    def __init__(self, text):
        super().__init__()
        self.anchors, self.links, self.tags, self.texts = [], [], set(), []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.tags.add(tag)
        self.anchors += [given["id"]] if "id" in given else []
        self.links += [given[key] for key in ("href", "src") if key in given]
        assert not any(key.startswith("on") or key == "style" for key in given)

    def handle_data(self, data):
        self.texts += [data.strip()]


@pytest.fixture(scope="module")
def answer(app):
    return app.test_client().get("/openapi.html")


@pytest.fixture(scope="module")
def page(answer):
    assert answer.status_code == 200 and answer.content_type == "text/html; charset=utf-8"
    return Read(answer.text)


def operations(description):
    return [
        (address, item, item[method])
        for address, item in description["paths"].items()
        for method in METHODS
        if method in item
    ]


def test_every_operation_stands_on_the_page_once_with_its_address_and_statuses(description, page, answer):
    found = operations(description)
    assert len(found) > 90
    for address, _, operation in found:
        assert page.anchors.count(operation["operationId"]) == 1
        assert address in page.texts and operation["summary"] in page.texts
        part = answer.text.partition(f'id="{operation["operationId"]}"')[2].partition("</details>")[0]
        for status, each in operation["responses"].items():
            assert f"<code>{status}</code>" in part and each.get("description", "") in unescape(part)


def test_every_parameter_is_told_where_it_is_asked_for_or_once_for_all(description, page, answer):
    for _, item, operation in operations(description):
        part = answer.text.partition(f'id="{operation["operationId"]}"')[2].partition("</details>")[0]
        for each in [*item.get("parameters", ()), *operation.get("parameters", ())]:
            name = each["$ref"].rpartition("/")[2] if "$ref" in each else each["name"]
            assert f"<code>{name}</code>" in part
    for name, each in description["components"]["parameters"].items():
        assert f"parameter-{name}" in page.anchors and each["description"] in page.texts


def test_every_schema_stands_on_the_page_with_its_fields(description, page, answer):
    schemas = description["components"]["schemas"]
    assert len(schemas) > 140
    for name, schema in schemas.items():
        assert page.anchors.count(f"schema-{name}") == 1
        part = answer.text.partition(f'id="schema-{name}"')[2].partition("</section>")[0]
        for key, field in schema.get("properties", {}).items():
            assert f"<code>{key}</code>" in part
            assert field.get("description", "") in unescape(part), (name, key)


def test_it_takes_nothing_from_elsewhere(page):
    assert not {"iframe", "img", "style", "object"} & page.tags
    assert all(link.startswith(("/", "#", "data:,")) for link in page.links)


def test_every_link_within_the_page_leads_to_something(page):
    within = {link[1:] for link in page.links if link.startswith("#")}
    assert len(within) > 100 and within <= set(page.anchors)
    assert len(set(page.anchors)) == len(page.anchors)


def test_it_says_who_may_use_an_address(description):
    told = {each.anchor: each.access for part in reader.resources(description) for each in part.operations}
    assert told["healthz"] == "Everybody."
    assert told["list_designs"].startswith("Everybody; ")
    assert told["put_price_book"] == "With a token that has the scope price-book, or admin."
    assert told["get_quote"] == (
        "With a token that has the scope read or quote, or admin, or with a link token of the quote."
    )


def test_what_a_description_says_is_text_and_never_markup(app, description, monkeypatch):
    hostile = "<script>alert(1)</script>&"
    item = description["paths"]["/healthz"]["get"]
    changed = {**description, "paths": {"/healthz": {"get": {**item, "summary": hostile, "description": hostile}}}}
    monkeypatch.setattr("sawbill.web.routes.pages.front.described", lambda: SimpleNamespace(content=changed))
    text = app.test_client().get("/openapi.html").text
    assert "<script>" not in text and text.count("&lt;script&gt;alert(1)&lt;/script&gt;&amp;") == 2


def test_the_start_page_leads_to_it(client):
    assert 'href="/openapi.html"' in client.get("/").text
