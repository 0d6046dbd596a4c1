"""The whole of it for a new user, from his own price list to a kept quote that is priced again when prices rose.

In a browser with scripts and without, which differ in one thing: without them a button has to be pressed.
"""

import re
from decimal import Decimal

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

pytestmark = pytest.mark.chromium

KEPT = re.compile("/v1/quotes/[0-9a-f]{20}.html")
FILE = re.compile("^File")
PHONE = {"width": 375, "height": 800}


class Maker:
    """Who sits at the browser."""

    def __init__(self, page, scripts):
        self.page, self.scripts = page, scripts

    def quotes_anew(self, *told):
        """Have the quote follow its form: it does so by itself where scripts run. told: what the address then says."""
        if not self.scripts:
            self.page.get_by_role("button", name="Quote it anew").click()
        self.page.wait_for_url(lambda url: all(each in url for each in told))

    def reads_total(self):
        """What the quote costs, once it is in place: the standing line and the total say the same."""
        standing, total = self.page.locator(".standing b"), self.page.locator(".amount")
        told = re.sub(r"\s+", " ", total.inner_text())
        expect(standing).to_have_text(told)
        return Decimal(re.search(r"[0-9]+\.[0-9]{2}", told)[0])

    def prints(self, file):
        """The page as it is printed, as text."""
        self.page.pdf(path=file, format="Letter")
        pages = [each.extract_text() for each in PdfReader(file).pages]
        assert all(text.strip() for text in pages), "no page is empty"
        return re.sub(r"\s+", " ", " ".join(pages))

    def signs_in(self, secret):
        self.page.goto("/kept")
        self.page.get_by_label("Token").fill(secret)
        self.page.get_by_role("button", name="Sign in").click()
        expect(self.page.get_by_role("heading", name="Kept for anna")).to_be_visible()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_new_user_prices_changes_prints_compares_keeps_and_prices_again(
    visit, sound, keeping, workbook, tmp_path, scripts
):
    service, secret = keeping
    yard = f"yard-{'with' if scripts else 'without'}"
    with visit(service, java_script_enabled=scripts, viewport=PHONE) as page:
        maker = Maker(page, scripts)
        page.goto("/")
        page.get_by_role("link", name="Knock-down daybed").click()
        page.get_by_role("button", name="Quote it").click()
        expect(page.get_by_role("heading", name="Shopping list")).to_be_visible()
        sample = maker.reads_total()

        page.get_by_label("Your own price book").set_input_files(workbook("1.10"))
        maker.quotes_anew("price_book=sent_prices")
        expect(page.locator(".standing b")).not_to_have_text(f"USD {sample}")
        own = maker.reads_total()
        assert own > sample

        page.get_by_label("Lengths in").select_option("metric")
        maker.quotes_anew("units=metric", "price_book=sent_prices")
        expect(page.locator(".facts")).to_contain_text(re.compile("[0-9] mm"))
        assert "inch" not in page.locator(".asked").inner_text()
        page.get_by_label("Lengths in").select_option("")
        maker.quotes_anew("price_book=sent_prices")
        expect(page.locator(".facts")).to_contain_text(re.compile("[0-9] in"))

        page.get_by_label("Mattress", exact=True).select_option("full")
        maker.quotes_anew("mattress=full", "price_book=sent_prices")
        expect(page.locator(".standing b")).not_to_have_text(f"USD {own}")
        full = maker.reads_total()
        assert full > own
        here = page.url

        printed = maker.prints(tmp_path / "quote.pdf")
        assert f"USD {full}" in printed and "Shopping list" in printed and "Quote it anew" not in printed
        page.goto(here.replace("quote.html", "shop-sheet.html"))
        sheet = maker.prints(tmp_path / "sheet.pdf")
        assert f"USD {full}" in sheet and "Cut list" in sheet

        page.goto(here)
        page.get_by_role("link", name="Set it beside another").click()
        page.get_by_label("Quote 2").fill("/v1/designs/slatted-bed/quote.html?price_book=sample-inch&mattress=full")
        page.get_by_role("button", name="Show them side by side").click()
        rows = page.locator("section", has=page.get_by_role("heading", name="Cost", exact=True)).locator("tbody tr")
        expect(rows).to_have_count(2)
        expect(rows.first).to_contain_text(f"USD {full}")
        other = re.search(r"USD ([0-9.]+)", rows.nth(1).inner_text())[1]
        page.get_by_role("link", name="Slatted bed").click()
        assert maker.reads_total() == Decimal(other), "at the first one's prices, as it was compared"

        maker.signs_in(secret)
        (cookie,) = page.context.cookies()
        assert cookie["httpOnly"] and cookie["sameSite"] == "Lax" and cookie["value"] != secret
        page.get_by_text("Add a price book").click()
        page.get_by_label("Name", exact=True).fill(yard)
        page.get_by_label(FILE).set_input_files(workbook("1.10"))
        page.get_by_role("button", name="Add it").click()
        expect(page.get_by_role("heading", name="What it has been")).to_be_visible()

        page.goto(here)
        page.locator("#ask-price_book").select_option(yard)
        maker.quotes_anew(f"price_book={yard}", "mattress=full")
        assert maker.reads_total() == full, "the same prices from another place"
        page.get_by_role("link", name="Keep this quote").click()
        page.get_by_label("Label").fill(f"guest room, {yard}")
        page.get_by_role("button", name="Keep it").click()
        page.wait_for_url(KEPT)
        assert maker.reads_total() == full

        page.goto(f"/kept/price-books/{yard}")
        page.get_by_label(FILE).set_input_files(workbook("1.25"))
        page.get_by_role("button", name="Replace it").click()
        page.get_by_role("link", name="since number 1").click()
        expect(page.get_by_role("heading", name=re.compile("Dearer: [0-9]+"))).to_be_visible()

        page.goto(f"/v1/quotes.html?label={yard}")
        page.get_by_role("link", name=re.compile("^Today.s price")).click()
        expect(page.get_by_text("The price of one is higher.").first).to_be_visible()
        now = Decimal(page.locator(".amount").inner_text().split()[-1])
        assert now > full and f"+{now - full}" in page.locator(".total").inner_text()
        if scripts:
            sound(page)
            assert page.evaluate("document.cookie") == "", "scripts cannot read it"
        page.get_by_role("button", name=re.compile("^Keep today.s quote")).click()
        page.wait_for_url(KEPT)
        assert maker.reads_total() == now
        page.goto(f"/v1/quotes.html?label={yard}")
        expect(page.get_by_role("link", name=f"guest room, {yard}", exact=True)).to_have_count(2)

        page.goto("/kept")
        page.get_by_role("button", name="Sign out").click()
        page.goto(f"/v1/quotes.html?label={yard}")
        assert page.get_by_label("Token").is_visible()
