"""The shop's sheet and the customer's: everything to build from in one, no cost in the other."""

import html
import io
import json
import re

import pypdf
import pytest

from sawbill.web.reckoning import printing
from sawbill.web.written import extras, printed

BED = "/v1/designs/slatted-bed"
QUERY = "?price_book=sample-inch&mattress=queen"
PRICED = {
    "price_book": "sample-inch",
    "lines": [{"label": "bench for the hall", "design": "bench", "quantity": 2}],
    "pricing": {"labour_rate": "31.00", "contingency": "7 %", "markup": "30 %", "margin": "25 %"},
}


def text_of(page):
    """What stands in a page, less its drawings."""
    bare = re.sub(r"<style>.*?</style>|<svg.*?</svg>", " ", page, flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", bare)).split())


def lines_of(quote):
    """What each line of the shopping list is known by: how many, of what, the supplier's code, what they cost."""
    for row in quote["shopping_list"]:
        name = row["section"] if row["kind"] == "lumber" else row["item"]
        yield [str(row["quantity"]), name, row["item_code"], str(row["each"]), str(row["amount"])]


@pytest.fixture(scope="module")
def shop(request):
    """The shop's sheet of a queen bed, and its quote."""
    from sawbill.web.app import create_app

    client = create_app().test_client()
    quote = client.get(f"{BED}/quote.json{QUERY}").json
    return client.get(f"{BED}/shop-sheet.html{QUERY}"), quote


def test_the_shops_sheet_holds_all_that_it_takes(shop):
    answer, quote = shop
    assert answer.status_code == 200
    told = text_of(answer.text)
    for cells in lines_of(quote):
        assert " ".join(cells[:1]) in told and all(cell in told for cell in cells)
    for step in quote["steps"]:
        assert step["title"] in told
        assert all(caution in told for caution in step["cautions"])
    assert all(check["message"] in told for check in quote["checks"])
    assert all(cut["name"] in told and cut["length"]["text"] in told for cut in quote["cut_list"])
    for source in {check["source"] for check in quote["checks"]}:
        assert answer.text.count(f"<li>{html.escape(source)}</li>") == 1, "once at the end"


def test_its_drawings_are_those_of_the_quote_each_once_and_their_ids_too(shop):
    answer, quote = shop
    titles = re.findall(r"<title id=.*?>(.*?)</title>", answer.text)
    steps = [row["title"] for row in quote["drawings"] if row["name"].startswith("step-")]
    assert [title.partition(": ")[2] for title in titles if ": step " in title] == steps
    assert any("how boards are cut" in title for title in titles)
    ids = re.findall(r' id="(.*?)"', answer.text)
    assert len(set(ids)) == len(ids)


def test_a_page_may_use_its_own_style_and_nothing_else(shop):
    answer, _ = shop
    policy = answer.headers["Content-Security-Policy"]
    assert printed.style_hash(answer.text) in policy
    assert "unsafe" not in policy and "style=" not in answer.text


@pytest.mark.parametrize(("paper", "width"), [("A4", "297mm"), ("letter", "279.4mm")])
def test_paper_is_chosen_and_drawings_are_made_for_it(client, paper, width):
    page = client.get(f"/v1/designs/bench/shop-sheet.html?price_book=sample-inch&paper={paper}").text
    assert f"size: {paper} portrait" in page
    assert set(re.findall(r'<svg [^>]*width="([0-9.]+mm)"', page)) == {width}


def test_what_is_asked_wrongly_is_told(client):
    answer = client.get(f"{BED}/shop-sheet.html{QUERY}&paper=A3")
    assert answer.status_code == 422
    assert answer.json["errors"][0]["detail"] == 'paper is "A3"; it may be letter or A4'
    answer = client.get(f"{BED}/customer-sheet.html{QUERY}&price_by=guess")
    assert answer.json["errors"][0]["detail"].startswith('price_by is "guess"; this quote works out none')


def test_the_customers_sheet_tells_the_price_and_no_cost(client, keeping):
    made = keeping.post("/v1/quotes", json=PRICED)
    page = keeping.get(f"{made.headers['Location']}/customer-sheet.html?terms=Half+of+it+with+the+order.")
    told, quote = text_of(page.text), made.json
    prices = {each["method"]: str(each["amount"]) for each in quote["selling_prices"]}
    assert f"USD {prices['cost-plus-markup']}" in told or f"USD {next(iter(prices.values()))}" in told
    assert "Half of it with the order." in told
    drawn = " ".join(re.findall(r"<text[^>]*>(.*?)</text>", page.text))
    amounts = {str(v) for k, v in quote["totals"].items()} | {quote["labour"]["rate"], str(quote["labour"]["amount"])}
    amounts |= {str(row[key]) for row in quote["shopping_list"] for key in ("each", "amount")}
    amounts |= {str(row[key]) for row in quote["selling_prices"] for key in ("least", "most")}
    shown = next(iter(prices.values()))
    found = set(re.findall(r"[0-9]+\.[0-9]{2}", f"{told} {drawn}".replace(shown, "")))
    assert not found & (amounts - {"0.00", shown})
    lowered = told.lower()
    words = ("cost", "margin", "markup", "supplier", "labour", "hour", "30 %", "25 %", "budget", "contingency")
    assert not [word for word in words if word in lowered]
    assert not [row["item_code"] for row in quote["shopping_list"] if row["item_code"] in page.text]
    assert json.dumps(quote["price_book"]["revision"])[1:-1] not in page.text


def test_without_a_price_there_are_lines_to_fill_in(client):
    told = text_of(client.get(f"{BED}/customer-sheet.html{QUERY}").text)
    assert "Price USD Terms Price holds until Deposit" in told


def test_what_writes_no_pdf_says_what_would_do(client, monkeypatch):
    def nothing(html):
        raise extras.NoWriterError

    monkeypatch.setattr(printing, "pdf", nothing)
    answer = client.get(f"{BED}/shop-sheet.pdf{QUERY}")
    assert answer.status_code == 501
    assert "ask for .html" in answer.json["detail"]


@pytest.mark.pdf
def test_the_pdf_holds_every_line_of_the_shopping_list_and_is_the_same_each_time(client):
    address = f"/v1/designs/slatted-bed/shop-sheet.pdf{QUERY}"
    data = client.get(address).data
    quote = client.get(f"{BED}/quote.json{QUERY}").json
    read = pypdf.PdfReader(io.BytesIO(data))
    told = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    for cells in lines_of(quote):
        assert re.search(".{0,90}?".join(map(re.escape, cells)), told), cells
    sizes = {(round(page.mediabox.width), round(page.mediabox.height)) for page in read.pages}
    assert sizes == {(612, 792), (792, 612)}
    fonts = {str(font) for page in read.pages for font in page["/Resources"].get("/Font", {})}
    assert fonts
    assert extras.pdf(client.get(f"{BED}/shop-sheet.html{QUERY}").text) == data
