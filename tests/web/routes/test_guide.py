"""The guide: every page is there, its links lead somewhere, and it takes nothing from outside."""

import re
from html.parser import HTMLParser

import pytest

from sawbill.prices.about import ABOUT
from sawbill.prices.offers import HARDWARE, LUMBER, SECTIONS, SUPPLIERS, SUPPLY
from sawbill.prices.shop import SHOP
from sawbill.web.app import create_app
from sawbill.web.written import guide

PAGES = [*guide.pages()]


class Sent(HTMLParser):
    """The links and anchors of a page, and whatever it would load or run."""

    def __init__(self, text):
        super().__init__()
        self.links, self.anchors, self.loads = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.anchors += [given["id"]] if "id" in given else []
        self.links += [given["href"]] if tag == "a" else []
        self.loads += [given.get("src", tag)] if tag in ("script", "img", "iframe", "style") or "style" in given else []


@pytest.fixture(scope="module")
def sent(app):
    """Every page by its address, as it is sent."""
    client = app.test_client()
    answers = {page.address: client.get(page.address) for page in guide.pages().values()}
    assert {answer.status_code for answer in answers.values()} == {200}
    return {address: Sent(answer.text) for address, answer in answers.items()}


def test_the_contents_list_every_page():
    assert {file.stem for file in guide.FOLDER.glob("*.md")} == {*PAGES}


def test_every_link_of_the_guide_leads_to_what_is_there(sent, client):
    for address, page in sent.items():
        assert len(page.anchors) == len({*page.anchors}), address
        for link in page.links:
            place, _, anchor = link.partition("#")
            target = sent.get(place or address)
            assert not place.startswith("http"), f"{address} leads outside: {link}"
            assert target or client.get(place).status_code == 200, f"{address}: {link}"
            assert not anchor or (target and anchor in target.anchors), f"{address}: {link}"


def test_a_page_of_the_guide_loads_nothing_but_the_style_and_the_script_of_every_page(sent):
    assert {each.partition("?")[0] for page in sent.values() for each in page.loads} == {"/page.js"}


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_sent_as_the_markdown_it_is_written_in_too(client, name):
    answer = client.get(f"/guide/{name}.md")
    assert answer.content_type == "text/markdown; charset=utf-8"
    assert answer.text == (guide.FOLDER / f"{name}.md").read_text()
    assert answer.text.startswith(f"# {guide.pages()[name].title}\n")


def test_a_reader_comes_from_page_to_page_and_from_the_other_pages_to_the_guide(sent, client):
    for name in PAGES[:-1]:
        assert guide.neighbours(name)[1].address in sent[guide.pages()[name].address].links[-2:]
    for address in ("/", "/openapi.html"):
        assert 'href="/guide"' in client.get(address).text


def test_code_is_sent_as_it_is_to_be_typed(client):
    text = client.get("/guide/prices").text
    assert '<pre tabindex="0"><code>cp -r pricebooks/sample-inch pricebooks/my-shop\n' in text


def test_what_the_guide_does_not_have_is_told_with_what_it_has(problem_of):
    for address, near in (("/guide/pricse", "prices"), ("/guide/none.md", "index"), ("/guide/pictures/bad.svg", "bed")):
        problem = problem_of("GET", address)
        assert problem["status"] == 404
        assert re.search(rf"\b{near}\b", problem["detail"]) or "the guide has no" in problem["detail"]


VIEWS = {"bed": "isometric", "cutting": "cutting"}
"""What the pictures of the guide show of a slatted bed."""


def drawn(client, picture):
    return client.get(
        f"/v1/designs/slatted-bed/drawing.svg?price_book=sample-inch&mattress=queen&view={VIEWS[picture]}"
    ).data


@pytest.mark.parametrize("picture", VIEWS)
def test_a_picture_of_the_guide_is_what_is_drawn_today(client, picture):
    kept = (guide.PICTURES / f"{picture}.svg").read_bytes()
    assert kept == drawn(client, picture), "draw it anew: python -m tests.web.routes.test_guide"
    assert client.get(f"/guide/pictures/{picture}.svg").data == kept


TABLES = {
    "column of suppliers": SUPPLIERS,
    "column of lumber": LUMBER,
    "column of hardware": HARDWARE,
    "column of supplies": SUPPLY,
    "column of sections": SECTIONS,
    "setting": ABOUT,
    "setting of the shop": SHOP,
}
"""The tables of the page on prices by their first heading, each with what is declared of a price book."""
PRICES = guide.FOLDER / "prices.md"


def table(heading):
    rows = [
        (f"`{each.name}`", each.help, f"`{as_written(each.example, heading)}`") for each in TABLES[heading].values()
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in [(heading, "what it says", "such as"), *rows])


def as_written(example, heading):
    if not isinstance(example, bool):
        return example
    return {True: "yes", False: "no"}[example] if "column" in heading else str(example).lower()


def with_tables(text):
    """The page with its tables made from what is declared."""
    for heading in TABLES:
        made = table(heading).replace("\n", "\n|---|---|---|\n", 1)
        text = re.sub(rf"\| {heading} \|.*\n(\|.*\n)*", lambda _, made=made: f"{made}\n", text)
    return text


def test_the_guide_tells_every_column_and_setting_of_a_price_book():
    text = PRICES.read_text()
    assert all(f"| {heading} |" in text for heading in TABLES)
    assert text == with_tables(text), "write it anew: python -m tests.web.routes.test_guide"


if __name__ == "__main__":
    PRICES.write_text(with_tables(PRICES.read_text()))
    for picture in VIEWS:
        (guide.PICTURES / f"{picture}.svg").write_bytes(drawn(create_app().test_client(), picture))
