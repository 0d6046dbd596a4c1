"""Somebody signs in, keeps a quote, and prices it again after a price rose, in a browser with scripts and without."""

import io
import re
from decimal import Decimal

import openpyxl
import pytest
from playwright.sync_api import expect
from tests.web.serving import served

from sawbill.prices.forms.workbook import write_workbook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.store import Store

pytestmark = pytest.mark.chromium

QUOTE = "/v1/designs/bench/quote.html?price_book={}&length=48in"
EVIL = """<form action="http://{}/kept/quotes/{}/delete" method="post"><input name="sure" value="yes"></form>
<script>document.forms[0].submit()</script>"""


@pytest.fixture(scope="module")
def keeping(tmp_path_factory):
    """A service that keeps things, and anna's token for it."""
    folder = tmp_path_factory.mktemp("keeping")
    with Store.open(folder / "data") as store:
        store.prepare()
        _, secret = store.tokens.make("anna", "laptop", ["quote", "price-book"])
    with served(folder, "--data", str(folder / "data")) as running:
        yield running, secret


@pytest.fixture(scope="module")
def dearer(tmp_path_factory):
    """The inch sample's prices as a workbook, each board a quarter dearer."""
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(Shelf(sample_folder()).get("sample-inch"))))
    head, *rows = book["lumber"].iter_rows()
    price = [cell.value for cell in head].index("price")
    for row in rows:
        row[price].value = f"{Decimal(str(row[price].value)) * Decimal('1.25'):.2f}"
    file = tmp_path_factory.mktemp("own") / "autumn.xlsx"
    book.save(file)
    return file


def sign_in(page, secret):
    page.goto("/kept")
    page.get_by_label("Token").fill(secret)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Kept for anna")).to_be_visible()


def amount(page):
    return Decimal(re.search(r"[0-9]+\.[0-9]{2}", page.locator(".amount").inner_text())[0])


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_quote_is_kept_and_what_rose_is_seen_after_a_price_changed(visit, sound, keeping, dearer, scripts):
    service, secret = keeping
    name = f"yard-{'with' if scripts else 'without'}"
    with visit(service, java_script_enabled=scripts, viewport={"width": 375, "height": 800}) as page:
        sign_in(page, secret)
        (cookie,) = page.context.cookies()
        assert cookie["httpOnly"] and cookie["sameSite"] == "Lax" and cookie["value"] != secret
        page.get_by_text("Add a price book").click()
        page.get_by_label("Name", exact=True).fill(name)
        page.get_by_label("or a copy of").select_option("sample-inch")
        page.get_by_role("button", name="Add it").click()
        expect(page.get_by_role("heading", name="What it has been")).to_be_visible()

        page.goto(QUOTE.format(name))
        first = amount(page)
        page.get_by_role("link", name="Keep this quote").click()
        page.get_by_label("Label").fill(f"hall, {name}")
        page.get_by_role("button", name="Keep it").click()
        page.wait_for_url(re.compile("/v1/quotes/[0-9a-f]{20}.html"))
        assert amount(page) == first

        page.goto(f"/kept/price-books/{name}")
        page.get_by_label("File").set_input_files(dearer)
        page.get_by_role("button", name="Replace it").click()
        page.get_by_role("link", name="since number 1").click()
        expect(page.get_by_role("heading", name=re.compile("Dearer: [0-9]+"))).to_be_visible()

        page.goto(f"/v1/quotes.html?label={name}")
        page.get_by_role("link", name=re.compile("^Today.s price")).click()
        expect(page.get_by_text("The price of one is higher.").first).to_be_visible()
        now = amount(page)
        assert now > first and f"+{now - first}" in page.locator(".total").inner_text()
        if scripts:
            sound(page)
            assert page.evaluate("document.cookie") == "", "scripts cannot read it"
        page.get_by_role("button", name=re.compile("^Keep today.s quote")).click()
        page.wait_for_url(re.compile("/v1/quotes/[0-9a-f]{20}.html"))
        assert amount(page) == now
        page.goto(f"/v1/quotes.html?label={name}")
        expect(page.get_by_role("link", name=f"hall, {name}", exact=True)).to_have_count(2)

        page.goto("/kept")
        page.get_by_role("button", name="Sign out").click()
        page.goto(f"/v1/quotes.html?label={name}")
        assert page.get_by_label("Token").is_visible()


@pytest.mark.parametrize("path", ["/sign-in", "/kept", "/v1/quotes.html", "/kept/price-books/sample-inch", "bench"])
def test_the_pages_of_what_is_kept_are_sound_and_fit_a_phone(visit, sound, keeping, path):
    service, secret = keeping
    with visit(service, viewport={"width": 375, "height": 800}) as page:
        if path != "/sign-in":
            sign_in(page, secret)
        page.goto("/designs/bench/keep?price_book=sample-inch" if path == "bench" else path)
        sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375, "it does not scroll sideways"


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_kept_quote_of_two_lines_is_changed_and_kept_anew(visit, sound, keeping, scripts):
    service, secret = keeping
    lines = [{"label": "seat", "design": "bench", "options": {}}, {"label": "books", "design": "shelf-unit"}]
    with visit(service, java_script_enabled=scripts, viewport={"width": 375, "height": 800}) as page:
        answer = page.request.post(
            "/v1/quotes", data={"price_book": "sample-inch", "lines": lines},
            headers={"Authorization": f"Bearer {secret}", "Accept": "application/json"},
        )  # fmt: skip
        assert answer.status == 201, answer.text()
        sign_in(page, secret)
        page.goto(f"{answer.headers['location']}.html")
        first = amount(page)
        page.get_by_role("link", name="Change this quote").click()
        page.locator("[name=line-1-quantity]").fill("3")
        page.get_by_role("button", name="Quote it anew").click()
        now = amount(page)
        assert now > first
        if scripts:
            sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375
        page.get_by_role("button", name="Keep it as a new quote").click()
        page.wait_for_url(re.compile("/v1/quotes/[0-9a-f]{20}.html"))
        assert amount(page) == now


@pytest.mark.parametrize(
    ("elsewhere", "status"),
    [("http://evil.example", 401), ("http://127.0.0.1:9", 403)],
    ids=["another site, to which no cookie goes", "another port, to which it does"],
)
def test_a_page_elsewhere_cannot_have_the_browser_delete_what_is_kept(chromium, keeping, elsewhere, status):
    service, secret = keeping
    context = chromium.new_context(base_url=f"http://127.0.0.1:{service.port}")
    page = context.new_page()
    sign_in(page, secret)
    page.goto("/designs/bench/keep?price_book=sample-inch")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url(re.compile("/v1/quotes/"))
    quote_id = page.url.rpartition("/")[2].removesuffix(".html")
    form = EVIL.format(f"127.0.0.1:{service.port}", quote_id)
    context.route(f"{elsewhere}/**", lambda route: route.fulfill(body=form, content_type="text/html"))
    with page.expect_navigation(url=re.compile("/delete$")) as sent:
        page.goto(f"{elsewhere}/free-plans")
    assert sent.value.status == status
    assert page.goto(f"/kept/quotes/{quote_id}").status == 200
    context.close()
