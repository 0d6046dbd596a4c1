"""What a person keeps, on pages: a quote, priced again after prices rose; a price book, brought as a workbook."""

import csv
import io
import json
import re
import time
from decimal import Decimal
from urllib.parse import parse_qs, urlsplit

import openpyxl
import pytest
from tests.web.browsing import Browser
from tests.web.guarded import Kept

from sawbill.web.routes.own.changing import MOST_FIELDS
from sawbill.web.work.working import worker_of

ASKED = "price_book=my-yard&length=48+in"
LABEL = "<b>hall</b> & stairs"
RISE = Decimal("1.25")


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    made = Kept(tmp_path_factory.mktemp("kept"))
    yield made
    worker_of(made.app).stop()


@pytest.fixture(scope="module")
def anna(kept):
    """Anna, signed in, with a price book of her own."""
    browser = Browser(kept.app)
    browser.sign_in(kept.secret("anna", "quote", "price-book"))
    page = browser.submit(browser.open("/kept"), "/kept/price-books", name="my-yard", copy="sample-inch")
    assert page.status_code == 200 and "my-yard" in page.text
    return browser


def dearer(workbook):
    """The same workbook, every board of which that is sold by the piece costs more; and how many rows that makes."""
    book = openpyxl.load_workbook(io.BytesIO(workbook))
    head, *rows = book["lumber"].iter_rows()
    names = [cell.value for cell in head]
    price, per = names.index("price"), names.index("per")
    raised = [row for row in rows if row[per].value == "each"]
    for row in raised:
        row[price].value = str(Decimal(str(row[price].value)) + RISE)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue(), len(raised)


def links(page, start):
    return [found.replace("&amp;", "&") for found in re.findall(rf'href="({start}[^"]*)"', page.text)]


@pytest.fixture(scope="module")
def story(anna):
    """A quote is kept, boards become dearer by a workbook that is brought, and the quote is priced again."""
    (keep,) = links(anna.open(f"/v1/designs/bench/quote.html?{ASKED}"), "/designs/bench/keep")
    asked = anna.open(keep)
    first = anna.submit(asked, keep, label=LABEL)
    again = anna.submit(asked, keep, label=LABEL)
    (path,) = {link.removesuffix("/drift.html") for link in links(first, "/v1/quotes/.*drift")}
    same = anna.open(f"{path}/drift.html")
    workbook, raised = dearer(anna.open("/v1/price-books/my-yard.xlsx").data)
    page = anna.open("/kept/price-books/my-yard")
    brought = anna.submit(page, "/kept/price-books/my-yard", file=(io.BytesIO(workbook), "My yard.XLSX"))
    late = anna.submit(page, "/kept/price-books/my-yard", file=(io.BytesIO(workbook[:100]), "x.xlsx"))
    told = {"first": first, "again": again, "same": same, "brought": brought, "late": late, "path": path}
    return told | {"raised": raised, "drift": anna.open(f"{path}/drift.html"), "page": page, "workbook": workbook}


def test_a_quote_is_kept_from_its_page_once_however_often_the_form_is_sent(story, kept):
    assert story["first"].status_code == story["again"].status_code == 200
    (only,) = kept.store.quotes.list("anna").quotes
    assert only.label == LABEL and story["path"].endswith(only.id)
    assert "&lt;b&gt;hall&lt;/b&gt; &amp; stairs" in story["same"].text and LABEL not in story["same"].text


def test_at_the_same_prices_nothing_has_changed(story):
    assert "Every line, trip and total is as it was." in story["same"].text


def test_what_rose_is_told_line_by_line(story, anna):
    page = story["drift"].text
    assert "The price of one is higher." in page and "What changed" in page
    rows = list(csv.DictReader(io.StringIO(anna.open(f"{story['path']}/drift.csv").text)))
    boards = [row for row in rows if row["kind"] == "lumber" and row["quantity_then"] and row["quantity_now"]]
    assert boards
    for row in boards:
        assert Decimal(row["each_now"]) == Decimal(row["each_then"]) + RISE
        assert "The price of one is higher." in row["why"]
        assert row["name"] in page and f"{row['quantity_now']} \u00d7 {row['each_now']}" in page
    (total,) = (row for row in rows if (row["kind"], row["name"]) == ("total", "total"))
    assert Decimal(total["change"]) == Decimal(total["amount_now"]) - Decimal(total["amount_then"]) > 0
    items = [row for row in rows if row["kind"] not in ("trip", "total")]
    (lumber,) = (row for row in rows if (row["kind"], row["name"]) == ("total", "lumber"))
    assert sum(Decimal(row["change"]) for row in items if row["kind"] == "lumber") == Decimal(lumber["change"])
    for row in items:
        assert Decimal(row["by_price"]) + Decimal(row["by_quantity"]) == Decimal(row["change"])
    assert total["amount_now"] in page and {row["currency"] for row in rows} == {"USD"}


@pytest.mark.parametrize("form", ["json", "txt", "xlsx"])
def test_what_became_of_it_comes_in_every_form(story, anna, form):
    answer = anna.open(f"{story['path']}/drift.{form}")
    total = re.search(r"[0-9]+\.[0-9]{2}", story["drift"].text[story["drift"].text.index("Total today") :])[0]
    if form == "json":
        assert answer.json["total"] == total and answer.json["drift"]["lines"]
    elif form == "txt":
        assert total in answer.text
    else:
        (sheet,) = openpyxl.load_workbook(io.BytesIO(answer.data))
        assert Decimal(total) in [
            Decimal(str(cell)) for row in sheet.values for cell in row if isinstance(cell, int | float)
        ]


def test_a_book_that_was_replaced_tells_what_changed_and_keeps_what_it_was(story, anna):
    assert "since number 1" in story["brought"].text
    (changes,) = links(story["brought"], "/v1/price-books/my-yard/changes")
    page = anna.open(changes)
    assert f"Dearer: {story['raised']}" in page.text and "Cheaper" not in page.text
    rows = list(csv.DictReader(io.StringIO(anna.open(changes.replace(".html", ".csv")).text)))
    assert [row["change"] for row in rows] == ["rose"] * story["raised"]
    assert all(Decimal(row["new"]) - Decimal(row["old"]) == RISE for row in rows)


def test_a_file_that_is_no_price_book_is_refused_and_the_book_stays(story, anna, kept):
    assert story["late"].status_code == 422 and "workbook" in story["late"].text
    missing = anna.submit(story["page"], "/kept/price-books/my-yard")
    assert missing.status_code == 422 and ".xlsx or .zip" in missing.text
    page = story["page"]
    moved = anna.submit(page, "/kept/price-books/my-yard", file=(io.BytesIO(story["workbook"]), "again.xlsx"))
    assert moved.status_code == 200, "the same once more changes nothing"
    other = anna.open("/v1/price-books/sample-inch.xlsx").data
    book = openpyxl.load_workbook(io.BytesIO(other))
    book["lumber"]["A2"] = "Somebody"
    out = io.BytesIO()
    book.save(out)
    assert anna.submit(page, "/kept/price-books/my-yard", file=(out, "old.xlsx")).status_code in (412, 422)
    with_now = anna.open("/kept/price-books/my-yard")
    assert with_now.text.count('aria-label="Number') == 4, "two revisions, each in two forms"


def test_todays_quote_is_kept_beside_the_old_one_and_both_are_found(story, anna, kept):
    quote_id = story["path"].rpartition("/")[2]
    new = anna.submit(story["drift"], f"/kept/quotes/{quote_id}/requote")
    assert new.status_code == 200
    anna.submit(story["drift"], f"/kept/quotes/{quote_id}/requote")
    assert len(kept.store.quotes.list("anna").quotes) == 2
    listed = anna.open("/v1/quotes.html?label=HALL&design=bench&book=&since=&until=")
    assert len(links(listed, "/kept/quotes/")) == 2
    assert "No kept quote is like that" in anna.open("/v1/quotes.html?label=shed").text
    rows = list(csv.DictReader(io.StringIO(anna.open("/v1/quotes.csv?design=bench").text)))
    assert [row["id"] for row in rows][1] == quote_id and rows[1]["label"] == LABEL
    assert Decimal(rows[0]["total"]) > Decimal(rows[1]["total"])
    first_page = anna.open("/v1/quotes.html?limit=1")
    (older,) = links(first_page, r"/v1/quotes\.html\?")
    assert quote_id in anna.open(older).text and "Older ones" not in anna.open(older).text


def test_the_columns_are_listed_where_those_of_quotes_are(story, anna):
    told = anna.open("/v1/tables.json").json["kept"]
    listed = {each["name"]: [column["name"] for column in each["columns"]] for each in told}
    (changes,) = links(story["brought"], "/v1/price-books/my-yard/changes")
    at = {
        "quotes": "/v1/quotes.csv",
        "drift": f"{story['path']}/drift.csv",
        "changes": changes.replace(".html", ".csv"),
    }
    heads = {name: next(csv.reader(io.StringIO(anna.open(path).text))) for name, path in at.items()}
    assert listed == heads


def test_a_label_is_changed_and_a_quote_deleted_only_when_that_is_ticked(anna, kept):
    asked = anna.open("/designs/bench/keep?price_book=sample-inch")
    anna.submit(asked, "/designs/bench/keep?price_book=sample-inch", label="to go")
    quote_id = kept.store.quotes.list("anna").quotes[0].id
    page = anna.open(f"/kept/quotes/{quote_id}")
    assert "to go, now" in anna.submit(page, f"/kept/quotes/{quote_id}/label", label="to go, now").text
    assert anna.submit(page, f"/kept/quotes/{quote_id}/label", label="x" * 1000).status_code == 422
    assert anna.submit(page, f"/kept/quotes/{quote_id}/delete").status_code == 422
    assert kept.store.quotes.get(quote_id, "anna").summary.label == "to go, now"
    assert anna.submit(page, f"/kept/quotes/{quote_id}/delete", sure="yes").status_code == 200
    assert anna.open(f"/kept/quotes/{quote_id}").status_code == 404


def test_prices_that_were_sent_for_one_quote_are_kept_with_it(story, anna, kept):
    file = (io.BytesIO(story["workbook"]), "mine.xlsx")
    page = anna.post("/designs/bench", {"prices_file": file, "length": "48 in"})
    (keep,) = links(page, "/designs/bench/keep")
    assert "sent_prices" in keep
    anna.submit(anna.open(keep), keep, label="my own prices")
    newest = kept.store.quotes.list("anna").quotes[0]
    assert newest.label == "my own prices"
    request = json.loads(kept.store.quotes.get(newest.id, "anna").request)
    assert len(request["price_book"]["lumber"]) > 100, "the prices themselves, for what was sent is soon forgotten"
    assert "Every line, trip and total is as it was." in anna.open(f"/v1/quotes/{newest.id}/drift.html").text
    book = request["price_book"]
    settings = book["shop"] if isinstance(book["shop"], dict) else book["shop"][0]
    settings["kerf"] = "7/32 in"
    kept.as_("anna").post("/v1/quotes", json={**request, "label": "wide saw"})
    wide = kept.store.quotes.list("anna").quotes[0]
    assert wide.label == "wide saw"
    assert 'placeholder="7/32 in"' in anna.open(f"/kept/quotes/{wide.id}/change").text, "the quote's own prices"
    kept.store.quotes.delete(wide.id, "anna")
    kept.store.quotes.delete(newest.id, "anna")


TWO = {
    "price_book": "sample-inch",
    "label": "for the hall",
    "lines": [
        {"label": "seat", "design": "bench", "options": {"length": "48 in"}, "quantity": 2},
        {"label": "wall shelf", "parts": [{"section": "1x8", "length": "30 in", "quantity": 3}]},
    ],
    "on_hand": [{"section": "1x8", "length": "36 in", "quantity": 1}],
    "shop": {"kerf": "1/8 in"},
}


@pytest.fixture(scope="module")
def two(kept):
    """A kept quote of two lines, with a board at hand."""
    return kept.as_("anna").post("/v1/quotes", json=TWO).json | {"at": kept.store.quotes.list("anna").quotes[0].id}


def answered(kept, request):
    """The total of a request, as programs have it."""
    return kept.as_("anna").post("/v1/quotes?keep=no", json=request).json["totals"]["total"]


def test_a_kept_quote_of_several_lines_is_changed_on_a_page_looked_at_and_kept(anna, kept, two):
    (change,) = {
        each.partition("#")[0] for each in links(anna.open(f"/v1/quotes/{two['at']}.html"), "/kept/quotes/.*change")
    }
    asked = anna.open(change)
    assert all(text in asked.text for text in ("seat", "wall shelf", "3 pieces of your own", "on hand"))
    fields = {"line-1-label": "seat", "line-1-length": "60 in", "line-1-quantity": "1", "line-2-quantity": "2"}
    fields |= {"price_book": "sample-inch", "kerf": "1/8 in", "label": "longer", "line-2-label": "wall shelf"}
    lines = [
        {"label": "seat", "design": "bench", "options": {"length": "60 in"}},
        {**TWO["lines"][1], "quantity": 2},
    ]
    total = answered(kept, {**TWO, "lines": lines})
    assert total != two["totals"]["total"]
    before = len(kept.store.quotes.list("anna").quotes)
    assert total in anna.submit(asked, change, **fields, do="look").text
    assert len(kept.store.quotes.list("anna").quotes) == before, "it was looked at only"
    assert total in anna.submit(asked, change, **fields, do="keep").text
    newest = kept.store.quotes.list("anna").quotes[0]
    assert (newest.label, str(newest.total)) == ("longer", total)
    assert json.loads(kept.store.quotes.get(newest.id, "anna").request)["on_hand"] == TWO["on_hand"]


@pytest.mark.parametrize(("fields", "status"), [(1_500, 200), (MOST_FIELDS + 1, 413)])
def test_a_form_may_have_as_many_fields_by_token_as_from_a_page_and_one_with_more_is_told_so(kept, two, fields, status):
    named = ["do", *(f"x{number}" for number in range(fields - 1))]
    parts = [f'--x\r\nContent-Disposition: form-data; name="{name}"\r\n\r\nlook\r\n' for name in named]
    told = kept.as_("anna").post(
        f"/kept/quotes/{two['at']}/change", data="".join(parts) + "--x--\r\n",
        content_type="multipart/form-data; boundary=x",
    )  # fmt: skip
    assert told.status_code == status
    assert status == 200 or f"a form {MOST_FIELDS} fields" in told.json["detail"]


def test_a_line_is_left_out_and_another_added(anna, kept, two):
    change = f"/kept/quotes/{two['at']}/change"
    added = anna.submit(anna.open(change), change, **{"add": "shelf-unit", "line-2-out": "yes", "do": "look"})
    assert 'name="line-3-' in added.text and "(left out)" in added.text
    lines = [TWO["lines"][0], {"design": "shelf-unit"}]
    assert answered(kept, {**TWO, "lines": lines}) in added.text


def test_a_mistake_in_one_of_several_lines_stands_at_its_field(anna, two):
    change = f"/kept/quotes/{two['at']}/change"
    wrong = {"line-1-out": "yes", "add": "bench", "line-3-length": "40 miles", "line-2-quantity": "many", "do": "keep"}
    page = anna.submit(anna.open(change), change, **wrong)
    assert page.status_code == 422
    for field, value in (("line-3-length", "40 miles"), ("line-2-quantity", "many")):
        fault = page.text.partition(f'id="fault-{field}"')[2].partition("</p>")[0]
        assert value in fault and f'value="{value}"' in page.text


def asked_last(kept):
    newest = kept.store.quotes.list("anna").quotes[0]
    return newest, json.loads(kept.store.quotes.get(newest.id, "anna").request)


def test_a_measured_mattress_outlives_a_look_and_what_is_changed_after_going_back_is_kept(anna, kept, two):
    change = f"/kept/quotes/{two['at']}/change"
    measured = {"line-3-mattress_measured": "60 in x 80 in x 10 in", "line-2-out": "yes", "do": "look"}
    looked = anna.submit(anna.submit(anna.open(change), change, add="low-platform"), change, **measured)
    assert looked.status_code == 200, looked.text
    for label in ("as it is", "changed"):
        anna.submit(looked, change, label="bed", **{"line-2-out": "yes", "line-1-label": label, "do": "keep"})
        anna.submit(looked, change, label="bed", **{"line-2-out": "yes", "line-1-label": label, "do": "keep"})
        _, request = asked_last(kept)
        assert [line.get("label") for line in request["lines"]] == [label, None]
        assert request["lines"][1]["options"]["mattress"] == "60 in x 80 in x 10 in"
    assert [each.label for each in kept.store.quotes.list("anna").quotes].count("bed") == 2


def test_a_form_may_have_fifty_long_lines_and_no_more_and_no_endless_number(anna, two):
    change = f"/kept/quotes/{two['at']}/change"
    page = anna.open(change)
    many = {f"line-{place}-x{n}": "1" for place in range(1, 51) for n in range(30)}
    assert anna.submit(page, change, **many, do="look").status_code == 200
    full = anna.submit(page, change, added=",".join(["bench"] * 60), do="look")
    assert full.status_code == 422 and "at most 50 lines" in full.text and 'name="line-51-' not in full.text
    endless = anna.submit(page, change, **{"line-1-quantity": "9" * 5000, "do": "look"})
    assert endless.status_code == 422 and 'id="fault-line-1-quantity"' in endless.text


def test_what_is_asked_beside_a_design_counts_for_one_that_was_added(anna, kept):
    pieces = {"price_book": "sample-inch", "label": "cut", "lines": [TWO["lines"][1]]}
    kept.as_("anna").post("/v1/quotes", json=pieces)
    change = f"/kept/quotes/{asked_last(kept)[0].id}/change"
    page = anna.submit(anna.open(change), change, add="bench", do="look")
    assert anna.submit(page, change, ceiling="8 ft", contingency="10 %", do="keep").status_code == 200
    _, request = asked_last(kept)
    assert (request["site"], request["pricing"]) == ({"ceiling": "8 ft"}, {"contingency": "10 %"})


def test_what_cannot_be_quoted_cannot_be_kept(anna):
    answer = anna.open("/designs/bench/keep?price_book=sample-inch&lenght=4+ft")
    assert answer.status_code == 422 and "length" in answer.text


def test_a_price_book_is_shared_taken_back_deleted_and_brought_back(anna, kept):
    page = anna.submit(anna.open("/kept"), "/kept/price-books", name="spare", copy="sample-metric")
    shared = anna.submit(page, "/kept/price-books/spare/let", whom="owner", called="ben", may="write")
    assert "<b>owner ben</b> may write it" in shared.text
    ben = Browser(kept.app)
    ben.sign_in(kept.secret("ben", "quote", "price-book"))
    his = ben.open("/kept/price-books/spare")
    assert "Put a new one in its place" in his.text and "Who may use it" not in his.text
    assert ben.post("/kept/price-books/spare/delete", {"form_key": key(his)}).status_code == 403
    assert anna.submit(shared, "/kept/price-books/spare/let", whom="group", called="A B", may="read").status_code == 422
    anna.submit(shared, "/kept/price-books/spare/keep-from")
    assert ben.open("/kept/price-books/spare").status_code == 404
    gone = anna.submit(page, "/kept/price-books/spare/delete")
    assert "spare is deleted" in gone.text and anna.open("/kept/price-books/spare").status_code == 404
    assert anna.submit(gone, "/kept/price-books/spare/bring-back").status_code == 200
    taken = anna.submit(anna.open("/kept"), "/kept/price-books", name="spare", copy="sample-inch")
    assert taken.status_code == 412


def key(page):
    return re.search(r'name="form_key" value="(\w+)"', page.text)[1]


def test_a_book_of_the_folder_is_shown_and_cannot_be_changed(anna):
    page = anna.open("/kept/price-books/sample-inch")
    assert "kept in the service\u2019s folder" in page.text and 'type="file"' not in page.text
    answer = anna.post("/kept/price-books/sample-inch", {"form_key": key(page)})
    assert answer.status_code == 409


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("/kept/jobs/comparison?designs=bench&price_book=sample-inch&length=40+in,44+in", "Side by side: 2 quotes"),
        ("/kept/jobs/proposal/bench?price_book=sample-inch&open=length&length=40+in,44+in", "The best, made for"),
    ],
)
def test_what_takes_long_is_begun_from_a_page_and_leads_to_what_it_came_to(anna, kept, asked, told):
    page = anna.submit(anna.open(asked), asked)
    late = time.monotonic() + 60
    while "Refresh" in page.headers and time.monotonic() < late:
        time.sleep(0.05)
        page = anna.open(page.request.path)
    assert "It is done." in page.text, page.text
    results = links(page, "/v1/jobs/")
    assert {anna.open(each).status_code for each in results} == {200}
    (shown,) = (each for each in results if each.endswith(".html"))
    assert told in anna.open(shown).text


def test_a_job_holds_the_prices_that_were_sent_along_and_needs_nobody_to_remember_them(story, anna, kept):
    page = anna.post("/designs/bench", {"prices_file": (io.BytesIO(story["workbook"]), "mine.xlsx")})
    (keep,) = links(page, "/designs/bench/keep")
    book = parse_qs(urlsplit(keep).query)["price_book"][0]
    for asked in (f"comparison?designs=bench&price_book={book}", f"proposal/bench?price_book={book}&open=length"):
        path = f"/kept/jobs/{asked}"
        job = anna.submit(anna.open(path), path).request.path.rpartition("/")[2]
        (held,) = json.loads(kept.store.jobs.get(job, "anna").request)["price_books"]
        assert len(held["lumber"]) > 100
        anna.submit(anna.open(f"/kept/jobs/{job}"), f"/kept/jobs/{job}/cancel")


def test_a_job_with_faults_is_not_begun(anna, kept):
    answer = anna.open("/kept/jobs/comparison?designs=bench&price_book=sample-inch&lenght=40+in")
    assert answer.status_code == 422
    path = "/kept/jobs/comparison?designs=bench&price_book=none"
    assert anna.submit(anna.open(path), path).status_code == 422


def test_a_job_shows_how_far_it_is_until_it_has_ended(anna, kept):
    jobs = kept.store.jobs
    job = jobs.add("comparison", "anna", b"{}")
    waiting = anna.open(f"/kept/jobs/{job.id}")
    assert "Waiting for its turn" in waiting.text and int(waiting.headers["Refresh"]) > 0
    assert f"/kept/jobs/{job.id}" in anna.open("/kept").text
    anna.submit(waiting, f"/kept/jobs/{job.id}/cancel")
    assert anna.open(f"/kept/jobs/{job.id}").status_code == 404
