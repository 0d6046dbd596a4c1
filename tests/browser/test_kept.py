"""What somebody keeps, in a browser: its pages, a change of several lines, and what another site cannot do to it."""

import re
from decimal import Decimal

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.chromium

EVIL = """<form action="http://{}/kept/quotes/{}/delete" method="post"><input name="sure" value="yes"></form>
<script>document.forms[0].submit()</script>"""


def sign_in(page, secret):
    page.goto("/kept")
    page.get_by_label("Token").fill(secret)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Kept for anna")).to_be_visible()


def amount(page):
    return Decimal(re.search(r"[0-9]+\.[0-9]{2}", page.locator(".amount").inner_text())[0])


@pytest.mark.parametrize("path", ["/sign-in", "/kept", "/v1/quotes.html", "/kept/price-books/sample-inch", "bench"])
def test_the_pages_of_what_is_kept_are_sound_and_fit_a_phone(visit, sound, keeping, path):
    service, secret = keeping
    with visit(service, viewport={"width": 375, "height": 800}) as page:
        if path != "/sign-in":
            sign_in(page, secret)
        page.goto("/designs/bench/keep?price_book=sample-inch" if path == "bench" else path)
        sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375, "it does not scroll sideways"


def test_the_page_of_a_job_is_sound_and_leads_to_what_came_of_it(visit, sound, keeping):
    service, secret = keeping
    with visit(service, viewport={"width": 375, "height": 800}) as page:
        sign_in(page, secret)
        page.goto("/kept/jobs/comparison?designs=bench,shelf-unit&price_book=sample-inch")
        sound(page)
        page.get_by_role("button", name="Begin").click()
        expect(page.get_by_text("It is done.")).to_be_visible(
            timeout=60_000
        )  # the page looks again by itself until then
        sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375
        page.get_by_role("link", name="page", exact=True).click()
        expect(page.get_by_role("heading", name="Side by side")).to_be_visible()
        sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375
        page.go_back()
        page.get_by_role("button", name="Forget it").click()
        expect(page.get_by_role("heading", name="Kept for anna")).to_be_visible()


def test_the_page_of_a_job_at_work_is_sound_and_ends_it(visit, sound, keeping):
    service, secret = keeping
    lengths = ",".join(f"{36 + n / 4}in" for n in range(50))
    with visit(service, viewport={"width": 375, "height": 800}) as page:
        sign_in(page, secret)
        page.goto(
            f"/kept/jobs/comparison?designs=bench&price_book=sample-inch&length={lengths}&height=15in,16in,17in,18in"
        )
        page.route(re.compile("/kept/jobs/[0-9a-f]{20}$"), still)
        page.get_by_role("button", name="Begin").click()
        expect(page.get_by_role("progressbar")).to_be_visible()
        sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375
        page.get_by_role("button", name="Cancel it").click()
        expect(page.get_by_role("heading", name="Kept for anna")).to_be_visible()


def still(route):
    """Let a page through that would load itself again, as it is now."""
    answer = route.fetch()
    route.fulfill(response=answer, headers={k: v for k, v in answer.headers.items() if k != "refresh"})


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
