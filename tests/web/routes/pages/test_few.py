"""A comparison as a page, as a workbook and as text: the same rows as its JSON, and links that hold."""

import io
import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import openpyxl
import pytest

from sawbill.answer.comparison import comparison_table, comparison_text
from sawbill.quoting.comparing.criteria import CRITERIA
from sawbill.web.http.media import HTML, TXT, XLSX

SMALL = "designs=bench,shelf-unit&price_book=sample-inch"
MIXED = "designs=low-platform,bench&mattress=twin,no such size&price_book=sample-inch,sample-metric&quantity=1,2"


@pytest.fixture(scope="module")
def asked(app):
    """Ask for a comparison in a form, once."""
    found = {}

    def ask(query, form="json"):
        if (query, form) not in found:
            found[query, form] = app.test_client().get(f"/v1/comparisons.{form}?{query}")
            assert found[query, form].status_code == 200, found[query, form].text
        return found[query, form]

    return ask


def links(page):
    return [unescape(link) for link in re.findall(r'href="([^"]+)"', page)]


@pytest.mark.parametrize("query", [SMALL, MIXED])
def test_the_page_has_a_row_for_each_with_its_total_or_its_reason(asked, query):
    page = unescape(asked(query, "html").text)
    assert asked(query, "html").content_type == HTML.content_type
    rows = re.findall(r"<tr.*?</tr>", page, re.S)[1:]
    told = asked(query).json["rows"]
    assert len(rows) == len(told)
    for row, text in zip(told, rows, strict=True):
        assert row["label"] in text
        assert (row["total"] if row["status"] == "quoted" else row["reasons"][0]["detail"]) in text
        assert (f"row {row['dominated_by']}" in text) or row["dominated_by"] is None
        assert text.count('<b class="best">') <= len(row["best_in"])


def test_a_row_leads_to_its_own_quote(asked, client):
    told = {row["row"]: row for row in asked(MIXED).json["rows"] if row["status"] == "quoted"}
    found = [link for link in links(asked(MIXED, "html").text) if link.startswith("/v1/designs/")]
    assert len(found) == len(told)
    for link, row in zip(found, told.values(), strict=True):
        address = urlsplit(link)
        quote = client.get(f"{address.path.removesuffix('.html')}.json?{address.query}").json
        assert quote["totals"]["total"] == row["total"]


def test_a_quote_it_leads_to_is_cut_and_priced_as_the_comparison_was(asked, client):
    revision = client.get("/v1/price-books/sample-inch").json["revision"]
    query = (
        f"designs=bench&price_book=sample-inch@{revision}&kerf=5mm&ceiling=8ft&sort=-total&judge_by=total&baseline=0"
    )
    (link,) = [link for link in links(asked(query, "html").text) if link.startswith("/v1/designs/")]
    assert parse_qs(urlsplit(link).query) == {
        "price_book": [f"sample-inch@{revision}"], "kerf": ["5mm"], "ceiling": ["8ft"],
    }  # fmt: skip


def test_a_heading_sorts_and_once_more_the_other_way_round(asked, client):
    for sort in ("", "&sort=total", "&sort=-total"):
        found = [link for link in links(asked(SMALL + sort, "html").text) if link.startswith("/v1/comparisons.html")]
        sorts = {parse_qs(urlsplit(link).query)["sort"][0] for link in found if "baseline" not in link}
        turned = {"-total"} if sort == "&sort=total" else {"total"}
        assert sorts == set(CRITERIA) - {"total", "supplies", "each"} | turned
        for link in found:
            assert client.get(link).status_code == 200
    up, down = (asked(f"{SMALL}&sort={sort}total", "html").text for sort in ("", "-"))
    assert 'aria-sort="ascending"' in up and 'aria-sort="descending"' in down
    assert up.index(">bench<") != down.index(">bench<")


def test_a_row_may_be_held_against_the_others(asked):
    held = [link for link in links(asked(SMALL, "html").text) if "baseline=1" in link]
    page = asked(urlsplit(held[0]).query, "html").text
    (difference,) = [row["difference"]["total"] for row in asked(f"{SMALL}&baseline=1").json["rows"] if row["row"] == 0]
    assert "More than row 1" in page and difference in page
    assert "baseline=0" not in page, "it is told already"


def test_what_is_written_in_an_address_is_text_in_the_page(client):
    page = client.get(
        "/v1/comparisons.html?designs=low-platform&mattress=<script>alert(1)</script>&price_book=sample-inch"
    )
    assert page.status_code == 200 and "<script>" not in page.text and "&lt;script&gt;" in page.text


@pytest.mark.parametrize("query", [SMALL, MIXED])
def test_as_text_it_is_as_on_the_command_line(asked, query):
    answer = asked(query, "txt")
    assert answer.content_type == TXT.content_type
    assert answer.text == comparison_text({**asked(query).json, "units": "inch"}) + "\n", "as the first book has them"


@pytest.mark.parametrize("query", [SMALL, MIXED])
def test_as_a_workbook_it_has_the_columns_and_numbers_of_the_table(asked, query):
    answer = asked(query, "xlsx")
    assert answer.content_type == XLSX.content_type
    assert answer.headers["Content-Disposition"] == 'inline; filename="comparison.xlsx"'
    sheet = openpyxl.load_workbook(io.BytesIO(answer.data))["comparison"]
    head, *rows = ([cell.value for cell in row] for row in sheet.iter_rows())
    told = asked(query).json
    assert head == [column.name for column in comparison_table(told).columns]
    for row, cells in zip(told["rows"], rows, strict=True):
        held = dict(zip(head, cells, strict=True))
        assert held["total"] == (None if row["total"] is None else float(row["total"]))
        assert (held["row"], held["status"], held["boards"]) == (row["row"], row["status"], row["boards"])
    assert sheet.cell(2, head.index("total") + 1).number_format == "#,##0.00"
    assert sheet.page_setup.paperSize == 1, "the first price book's units are inches, its paper is letter"
    assert sheet.freeze_panes == "A2"
    assert (sheet.page_setup.fitToWidth, sheet.print_title_cols) == (2, "$A:$B"), "one page would be too small to read"


def test_the_same_comparison_is_the_same_workbook(app, asked):
    assert app.test_client().get(f"/v1/comparisons.xlsx?{SMALL}").data == asked(SMALL, "xlsx").data


@pytest.mark.parametrize("form", [HTML, XLSX, TXT])
def test_each_form_is_to_be_had_by_what_is_accepted_and_has_a_tag_of_its_own(asked, client, form):
    accepted = client.get(f"/v1/comparisons?{SMALL}", headers={"Accept": form.type})
    assert accepted.content_type == form.content_type and "Accept" in accepted.headers["Vary"]
    tag = asked(SMALL, form.suffix).headers["ETag"]
    assert tag != asked(SMALL).headers["ETag"]
    again = client.get(f"/v1/comparisons.{form.suffix}?{SMALL}", headers={"If-None-Match": tag})
    assert (again.status_code, again.data) == (304, b"")


@pytest.mark.parametrize("form", [XLSX, TXT])
def test_one_asked_for_by_body_comes_as_a_workbook_or_as_text_too(asked, client, form):
    body = {"designs": ["bench", "shelf-unit"], "price_books": ["sample-inch"]}
    by_suffix = client.post(f"/v1/comparisons.{form.suffix}", json=body)
    by_accept = client.post("/v1/comparisons", json=body, headers={"Accept": form.type})
    assert by_suffix.data == by_accept.data == asked(SMALL, form.suffix).data
    assert by_suffix.headers["Cache-Control"] == "no-store"


def test_a_page_is_not_to_be_had_by_body(problem_of):
    body = {"designs": ["bench"], "price_books": ["sample-inch"]}
    assert problem_of("POST", "/v1/comparisons", json=body, headers={"Accept": "text/html"})["status"] == 406
    assert problem_of("POST", "/v1/comparisons.html", json=body)["status"] == 405


@pytest.mark.parametrize("form", ["csv", "txt"])
def test_a_sheet_may_have_its_problems_as_text(client, form):
    answer = client.get(f"/v1/comparisons.{form}?designs=none&price_book=sample-inch&on_error=text")
    assert answer.status_code == 200 and "there is no design" in answer.text


def test_the_start_page_leads_to_all_designs_side_by_side(client):
    (link,) = [link for link in links(client.get("/").text) if link.startswith("/v1/comparisons.html")]
    page = client.get(link)
    assert page.status_code == 200 and "0 have no quote" in page.text
