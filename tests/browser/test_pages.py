"""What a new user does on the pages, with scripts and without, as a browser shows it."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.chromium

KINDS = [
    "/", "/designs/daybed", "/designs/bunk-bed",
    "/v1/designs/daybed/quote.html?price_book=sample-inch&mattress=full",
    "/v1/designs/bunk-bed/quote.html?price_book=sample-metric",
    "/v1/designs/daybed/cut-list.html?price_book=sample-inch",
    "/v1/designs/daybed/quote.html?price_book=sample-inch&seat_height=1",
    "/v1/designs/daybed/shop-sheet.html?price_book=sample-inch",
    "/v1/designs/daybed/customer-sheet.html?price_book=sample-inch",
    "/v1/designs/bench/proposal.html?price_book=sample-inch&open=leg",
    "/cutting", "/compare", "/v1/tables", "/v1/values",
    "/v1/designs", "/v1/mattresses", "/v1/comparisons.html?designs=bench&price_book=sample-inch&length=40in,50in",
    "/compare?quote=/v1/designs/bench/quote?price_book=sample-inch&quote=/v1/designs/shelf-unit/quote?price_book=sample-inch",
    "/guide", "/guide/prices", "/problems/not-found", "/nothing-here", "/openapi.html", "/openapi/quotes.html",
    "/openapi/parameters.html", "/openapi/schemas.html", "/openapi/schemas/QuoteRequest.html",
]  # fmt: skip
"""One page of each kind."""
LARGEST = 150_000
"""How large a page may be without its pictures [bytes]."""


@pytest.mark.parametrize("path", KINDS)
def test_a_page_is_sound_for_those_who_see_or_move_otherwise(visit, sound, path):
    with visit(viewport={"width": 375, "height": 800}) as page:
        answer = page.goto(path)
        assert "text/html" in answer.headers["content-type"]
        sound(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 375, "it does not scroll sideways"
        assert len(re.sub(r"<svg.*?</svg>", "", answer.text(), flags=re.DOTALL).encode()) <= LARGEST


@pytest.mark.parametrize("scripts", [True, False])
def test_a_mistake_stands_at_its_field_and_nothing_typed_is_lost(visit, scripts):
    with visit(java_script_enabled=scripts) as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch&quantity=2")
        page.get_by_label("Length", exact=True).fill("40 miles")
        page.get_by_label("Length", exact=True).blur()
        if not scripts:
            page.get_by_role("button", name="Quote it anew").click()
        fault = page.locator("#fault-length")
        expect(fault).to_contain_text("40 miles")
        assert page.get_by_label("Length", exact=True).input_value() == "40 miles"
        assert page.get_by_label("How many").input_value() == "2"
        page.get_by_label("Length", exact=True).fill("40 in")
        page.get_by_label("Length", exact=True).blur()
        if not scripts:
            page.get_by_role("button", name="Quote it").click()
        page.wait_for_url(re.compile("length=40"))
        expect(page.locator("#fault-length")).to_be_empty()


def test_ticks_tick_and_are_kept_where_scripts_run(visit):
    with visit() as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        first = page.get_by_role("checkbox", name=re.compile("^Got it")).first
        first.check()
        page.reload()
        assert first.is_checked()
    with visit(java_script_enabled=False) as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        page.get_by_role("checkbox", name=re.compile("^Got it")).first.check()


def test_two_beds_stand_side_by_side_with_bars(visit):
    with visit(java_script_enabled=False) as page:
        page.goto("/v1/designs/slatted-bed/quote.html?price_book=sample-inch&mattress=full")
        cost = page.locator(".amount").inner_text().split()[-1]
        page.get_by_role("link", name="Set it beside another").click()
        page.get_by_label("Quote 2").fill("/v1/designs/low-platform/quote.html?price_book=sample-inch&mattress=full")
        page.get_by_role("button", name="Show them side by side").click()
        costs = page.locator("section", has=page.get_by_role("heading", name="Cost")).locator("tbody tr")
        assert costs.count() == 2
        expect(costs.first).to_contain_text(cost)


def test_a_quote_that_followed_its_form_is_offered_where_some_are_set_side_by_side(visit):
    with visit() as page:
        page.goto("/designs/bench")
        page.get_by_label("Length", exact=True).fill("40 in")
        page.get_by_label("Length", exact=True).blur()
        page.wait_for_url(re.compile("length=40"))
        page.get_by_role("link", name="Set it beside another").click()
        page.wait_for_url("**/compare*")
        offered = page.locator("#seen option").first
        assert re.search(r"/v1/designs/bench/quote\.html\?.*length=40", offered.get_attribute("value"))
        assert "USD" in offered.get_attribute("label")


def test_pieces_that_are_pasted_are_planned(visit):
    with visit(java_script_enabled=False) as page:
        page.goto("/cutting")
        page.get_by_label("Pieces").fill("section\tlength\tquantity\n2x4\t28 1/2 in\t4\n2x4\tlong\t2")
        page.get_by_role("button", name="Plan the cuts").click()
        expect(page.locator("#fault-pieces")).to_contain_text("line 3")
        page.get_by_label("Pieces").fill("4, 2x4, 28 1/2 in, leg")
        page.get_by_role("button", name="Plan the cuts").click()
        expect(page.get_by_role("heading", name="Cutting plan")).to_be_visible()
        expect(page.locator(".shopping")).to_contain_text("2x4")


def test_the_furniture_turns_as_a_model_by_keyboard_too(visit):
    with visit() as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        page.get_by_role("button", name="Turn it").click()
        model = page.get_by_role("img", name=re.compile("^The model"))
        expect(model).to_be_focused()
        seen = model.screenshot()
        page.keyboard.press("ArrowRight")
        assert model.screenshot() != seen
    with visit(java_script_enabled=False) as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        assert page.locator("figure svg").first.is_visible()
        assert page.get_by_role("button", name="Turn it").count() == 0


def test_the_picture_stays_where_the_browser_cannot_show_a_model(visit):
    with visit() as page:
        page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        page.get_by_role("button", name="Turn it").click()
        expect(page.get_by_text("This browser cannot show the model.")).to_be_visible()
        expect(page.locator(".furniture svg")).to_be_visible()


def test_the_sheet_prints_without_the_form(visit, tmp_path: Path):
    with visit() as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        page.emulate_media(media="print")
        assert not page.get_by_role("button", name="Quote it anew").is_visible()
        assert page.get_by_role("heading", name="Shopping list").is_visible()
        from pypdf import PdfReader

        sheet = tmp_path / "sheet.pdf"
        page.pdf(path=sheet, format="A4")
        pages = [each.extract_text() for each in PdfReader(sheet).pages]
        assert all(text.strip() for text in pages)
        assert len(pages) <= 8


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_a_long_step_is_folded_on_a_screen_and_printed_whole(visit, tmp_path: Path, scripts):
    from pypdf import PdfReader

    with visit(java_script_enabled=scripts, viewport={"width": 375, "height": 800}) as page:
        page.goto("/v1/designs/daybed/quote.html?price_book=sample-inch")
        hole = page.get_by_text("13/32 in, through, for bolts").first
        expect(hole).not_to_be_visible()
        sheet = tmp_path / "sheet.pdf"
        page.pdf(path=sheet, format="A4")
        assert "13/32 in, through, for bolts" in " ".join(each.extract_text() for each in PdfReader(sheet).pages)
        page.get_by_text(re.compile("^Piece by piece")).last.click()
        expect(hole).to_be_visible()


def test_the_keyboard_goes_past_the_head_at_once(visit):
    with visit() as page:
        page.goto("/v1/designs/bench/quote.html?price_book=sample-inch")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "main"
