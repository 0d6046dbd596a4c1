from html.parser import HTMLParser

import pytest

from sawbill.registry import designs


class Page(HTMLParser):
    """A page's links, its text, and what runs or is styled in it."""

    def __init__(self, text):
        super().__init__()
        self.links, self.scripts, self.text = [], [], ""
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.links += [given[key] for key in ("href", "src", "action") if key in given]
        if tag == "script":
            self.scripts.append(given.get("src", "in the page"))
        self.scripts += [key for key in given if key.startswith("on") or key == "style"]

    def handle_data(self, data):
        self.text += data


@pytest.fixture
def page(client):
    def get(path):
        answer = client.get(path, headers={"Accept": "text/html"})
        assert answer.status_code == 200
        assert answer.content_type == "text/html; charset=utf-8"
        return Page(answer.text)

    return get


@pytest.fixture(scope="module")
def followed():
    """The addresses that led to something: no page need follow them again."""
    return set()


def test_the_service_tells_that_it_is_there(client, holds):
    answer = client.get("/healthz").json
    holds("Health", answer)
    assert answer["status"] == "ok"


def test_the_start_page_shows_every_design_by_its_picture(client, page):
    found = page("/")
    for name in designs():
        assert f"/designs/{name}" in found.links
        picture = client.get(f"/designs/{name}/picture.svg")
        assert picture.content_type == "image/svg+xml"
        assert picture.text.startswith("<svg")


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/problems/not-found",
        "/v1/designs/slatted-bed/quote.html?price_book=sample-metric",
        "/v1/comparisons.html?designs=bench&price_book=sample-inch",
        "/designs/bench",
        "/compare",
        "/cutting",
        "/v1/tables",
        "/openapi.html",
    ],
)
def test_pages_take_nothing_from_elsewhere_and_run_one_script_of_ours(client, page, followed, path):
    found = page(path)
    assert [each.partition("?")[0] for each in found.scripts] == ["/page.js"]
    assert all(link.startswith(("/", "data:", "#")) for link in found.links)
    for address in sorted({link.partition("#")[0] for link in found.links if link.startswith("/")} - followed):
        assert client.get(address).status_code == 200, address
        followed.add(address)


@pytest.mark.parametrize(("path", "kind"), [("/style.css", "text/css"), ("/page.js", "text/javascript")])
def test_the_style_and_the_script_are_served(client, path, kind):
    answer = client.get(path)
    assert answer.content_type == f"{kind}; charset=utf-8"
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
