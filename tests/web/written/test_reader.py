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


MOST = 150_000
"""How large a page may be [bytes]."""


@pytest.fixture(scope="module")
def pages(app):
    """Every page of the description, by its address: all that can be reached from the first one."""
    client, found, open_ = app.test_client(), {}, ["/openapi.html"]
    while open_:
        address = open_.pop()
        answer = client.get(address)
        assert answer.status_code == 200 and answer.content_type == "text/html; charset=utf-8"
        found[address] = answer.text
        links = {link.partition("#")[0] for link in Read(answer.text).links if link.startswith("/openapi/")}
        open_ += sorted(links - found.keys() - set(open_))
    return found


@pytest.fixture(scope="module")
def read(pages):
    return {address: Read(text) for address, text in pages.items()}


def page_of(operation):
    return f"/openapi/{operation['tags'][0].replace(' ', '-')}.html"


def operations(description):
    return [
        (address, item, item[method])
        for address, item in description["paths"].items()
        for method in METHODS
        if method in item
    ]


def part_of(pages, operation):
    text = pages[page_of(operation)]
    return text.partition(f'id="{operation["operationId"]}"')[2].partition("</details>")[0]


def test_no_page_of_it_is_large(pages):
    assert max(len(text.encode()) for text in pages.values()) < MOST


def test_every_operation_stands_on_the_page_of_its_resource_with_its_address_and_statuses(description, pages, read):
    found = operations(description)
    assert len(found) > 90
    for address, _, operation in found:
        page, part = read[page_of(operation)], part_of(pages, operation)
        assert page.anchors.count(operation["operationId"]) == 1
        assert address in page.texts and operation["summary"] in page.texts
        assert address in read["/openapi.html"].texts
        for status, each in operation["responses"].items():
            assert f"<code>{status}</code>" in part and each.get("description", "") in unescape(part)


def test_every_parameter_is_told_where_it_is_asked_for_or_once_for_all(description, pages, read):
    for _, item, operation in operations(description):
        for each in [*item.get("parameters", ()), *operation.get("parameters", ())]:
            name = each["$ref"].rpartition("/")[2] if "$ref" in each else each["name"]
            assert f"<code>{name}</code>" in part_of(pages, operation)
    shared = read["/openapi/parameters.html"]
    for name, each in description["components"]["parameters"].items():
        assert f"parameter-{name}" in shared.anchors and each["description"] in shared.texts


def test_every_schema_has_a_page_with_its_fields(description, pages):
    schemas = description["components"]["schemas"]
    assert len(schemas) > 140
    for name, schema in schemas.items():
        page = pages[f"/openapi/schemas/{name}.html"]
        for key, field in schema.get("properties", {}).items():
            assert f"<code>{key}</code>" in page
            assert field.get("description", "") in unescape(page), (name, key)


def test_they_take_nothing_from_elsewhere(read):
    for page in read.values():
        assert not {"iframe", "img", "style", "object"} & page.tags
        assert all(link.startswith(("/", "#", "data:,")) for link in page.links)


def test_every_link_among_them_leads_to_something(read):
    links = [link for page in read.values() for link in page.links if link.startswith("/openapi/")]
    assert len(set(links)) > 100
    for link in links:
        address, _, anchor = link.partition("#")
        assert not anchor or anchor in read[address].anchors
    for page in read.values():
        assert len(set(page.anchors)) == len(page.anchors)


@pytest.mark.parametrize(
    ("address", "near"), [("/openapi/quote.html", "quotes"), ("/openapi/schemas/Quot.html", "Quot")]
)
def test_a_page_that_is_not_there_is_told_with_one_that_is(problem_of, address, near):
    problem = problem_of("GET", address)
    assert problem["status"] == 404 and near in problem["detail"]


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
    monkeypatch.setattr("sawbill.web.routes.pages.interface.described", lambda: SimpleNamespace(content=changed))
    text = app.test_client().get("/openapi/service.html").text
    assert "<script>" not in text and text.count("&lt;script&gt;alert(1)&lt;/script&gt;&amp;") == 2


def test_the_start_page_leads_to_it(client):
    assert 'href="/openapi.html"' in client.get("/").text
