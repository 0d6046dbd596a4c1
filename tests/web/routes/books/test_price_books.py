import copy
import io
import json
import sqlite3
import threading
import zipfile
from contextlib import closing

import openpyxl
import pytest

from sawbill.prices.forms.archive import MOST_UNPACKED, write_archive
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.workbook import read_workbook, write_workbook
from sawbill.prices.pricebook import content
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.store import (
    NewQuote,
    Store,
    StoreBusyError,
    StoreDamagedError,
    StoreFullError,
    StoreNotAtHeadError,
    StoreReadOnlyError,
    StoreUnavailableError,
    Who,
)
from sawbill.store.kept.books import Books
from sawbill.store.sql.database import FILE
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ZIP = "application/zip"
MINE = "/v1/price-books/my-shop"
NEW = {"If-None-Match": "*"}


def test_the_price_books_are_listed(client, holds):
    answer = client.get("/v1/price-books").json
    holds("BookList", answer)
    assert [book["name"] for book in answer["price_books"]] == ["sample-inch", "sample-metric"]
    assert all(book["usable"] and book["sample"] for book in answer["price_books"])
    assert all((book["kept"], book["by"], book["stored"]) == ("folder", None, None) for book in answer["price_books"])


@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_price_book_is_given_as_a_request_may_bring_it(client, holds, body, name):
    book = client.get(f"/v1/price-books/{name}").json
    holds("PriceBook", book)
    section = book["lumber"][0]["section"]
    body["lines"][0]["parts"] = [{"section": section, "length": "30 in"}]
    by_name = client.post("/v1/quotes", json={**body, "price_book": name}).json
    inline = client.post("/v1/quotes", json={**body, "price_book": book}).json
    assert inline["price_book"] == by_name["price_book"] | {"name": "inline"}
    assert {**inline, "price_book": None} == {**by_name, "price_book": None}


def test_a_book_whose_files_change_is_another_revision(app_with, as_problem, tmp_path, body):
    folder = tmp_path / "mine"
    folder.mkdir()
    for file in (sample_folder() / "sample-inch").iterdir():
        (folder / file.name).write_bytes(file.read_bytes())
    client = app_with(tmp_path).test_client()
    before = client.get("/v1/price-books/mine").json["revision"]
    fixed = {**body, "price_book": f"mine@{before}"}
    assert client.post("/v1/quotes", json=fixed).status_code == 200
    lumber = folder / "lumber.csv"
    lumber.write_text(lumber.read_text().replace("1.59", "1.95", 1))
    problem = as_problem(client.post("/v1/quotes", json=fixed))
    assert problem["type"] == "/problems/price-book-changed"
    assert problem["status"] == 409
    now = client.get("/v1/price-books/mine").json["revision"]
    assert now != before and now in problem["detail"]
    assert [error["pointer"] for error in problem["errors"]] == ["/price_book"]
    both = as_problem(client.post("/v1/quotes", json={**fixed, "units": "feet"}))
    assert [error["pointer"] for error in both["errors"]] == ["/price_book", "/units"]
    assert both["status"] == 422


def test_an_address_of_when_revisions_had_half_the_digits_still_leads_to_a_folders_book(client, as_problem, body):
    now = client.get("/v1/price-books/sample-inch").json["revision"]
    for asked, status in ((now, 200), (now[:16], 200), (now[:15], 409), (now[:16].upper(), 409), (now[:17], 409)):
        answer = client.post("/v1/quotes", json={**body, "price_book": f"sample-inch@{asked}"})
        assert answer.status_code == status
    assert client.get(f"/v1/price-books/sample-inch/revisions/{now[:16]}").json["revision"] == now


SAMPLE = Shelf(sample_folder()).get("sample-inch")


@pytest.fixture(scope="module")
def small():
    """A sample book as JSON with a part of its rows."""
    data = content(SAMPLE)
    lumber = [row for row in data["lumber"] if row["section"] in ("1x8", "2x4")]
    return data | {"lumber": lumber, "hardware": data["hardware"][:3], "usual_sections": {"other": "2x4"}}


def priced(small, price):
    """The small book with another price of its first board."""
    data = copy.deepcopy(small)
    data["lumber"][0]["price"] = price
    return data


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("store") / "data"


@pytest.fixture(scope="module")
def opened(folder):
    with Store.open(folder) as store:
        store.prepare()
        yield store


@pytest.fixture(scope="module")
def served(folder, opened):
    """The service with a store, which its tokens write."""
    return create_app(Settings(data=str(folder)))


@pytest.fixture(scope="module")
def anna(served, opened):
    return caller(served, opened, "anna", "price-book")


@pytest.fixture
def store(opened, folder):
    """The store, without any price book, not even a deleted one."""
    with closing(sqlite3.connect(folder / FILE)) as behind, behind:
        behind.execute("PRAGMA foreign_keys = ON")
        behind.execute("DELETE FROM books")
    return opened


@pytest.fixture
def keeping(anna, store):
    """Whoever may keep price books, where there is none yet."""
    return anna


def caller(app, store, owner, scope):
    client = app.test_client()
    _, secret = store.tokens.make(owner, "laptop", [scope])
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {secret}"
    return client


def as_sent(book):
    """A book in each of the three forms, with its media type."""
    return {
        "application/json": json.dumps(content(book)).encode(),
        XLSX: write_workbook(book),
        ZIP: write_archive(book),
    }


@pytest.mark.parametrize("media_type", ["application/json", XLSX, ZIP])
@pytest.mark.parametrize("name", ["sample-inch", "sample-metric"])
def test_a_book_sent_in_any_form_is_given_in_every_form_at_the_same_revision(keeping, name, media_type):
    book = Shelf(sample_folder()).get(name)
    answer = keeping.put(MINE, data=as_sent(book)[media_type], content_type=media_type, headers=NEW)
    assert (answer.status_code, answer.headers["Location"]) == (201, MINE)
    assert answer.headers["ETag"] == f'"{book.revision}"'
    for suffix in ("", ".json", ".xlsx", ".zip"):
        given = keeping.get(MINE + suffix)
        assert given.status_code == 200
        assert given.headers["ETag"] == f'"{book.revision}"'
    assert read_json("x", keeping.get(f"{MINE}.json").json).revision == book.revision
    assert keeping.get(f"{MINE}.xlsx").data == write_workbook(book)
    assert keeping.get(f"{MINE}.zip").data == write_archive(book)


def test_what_put_answers_and_what_the_list_tells_is_who_and_when(keeping, holds, small):
    answer = keeping.put(MINE, json=small, headers=NEW)
    holds("BookSummary", answer.json)
    assert (answer.json["kept"], answer.json["by"], answer.json["usable"]) == ("store", "anna", True)
    assert answer.json["stored"].endswith("Z")
    listed = {book["name"]: book for book in keeping.get("/v1/price-books").json["price_books"]}
    assert list(listed) == ["my-shop", "sample-inch", "sample-metric"]
    assert listed["my-shop"] == answer.json
    book = keeping.get(MINE).json
    assert not {"by", "stored", "kept"} & set(book), "who and when are no part of a book"


@pytest.mark.parametrize(
    ("suffix", "accept", "media_type"),
    [
        ("", None, "application/json; charset=utf-8"),
        ("", "*/*", "application/json; charset=utf-8"),
        ("", "text/html,application/xhtml+xml,*/*;q=0.8", "application/json; charset=utf-8"),
        ("", XLSX, XLSX),
        ("", f"application/json;q=0.5, {ZIP}", ZIP),
        ("", "image/png", "application/json; charset=utf-8"),
        (".json", XLSX, "application/json; charset=utf-8"),
        (".xlsx", "application/json", XLSX),
        (".zip", XLSX, ZIP),
    ],
)
def test_the_suffix_wins_over_what_is_accepted(client, suffix, accept, media_type):
    answer = client.get(f"/v1/price-books/sample-inch{suffix}", headers={"Accept": accept} if accept else {})
    assert (answer.status_code, answer.content_type) == (200, media_type)
    assert ("Accept" in answer.headers.get("Vary", "")) == (suffix == "")
    if media_type == XLSX:
        assert answer.headers["Content-Disposition"] == 'attachment; filename="sample-inch.xlsx"'
        assert read_workbook("sample-inch", answer.data).revision == SAMPLE.revision


def test_a_form_that_is_not_given_is_not_found(client, as_problem):
    for suffix in (".ods", ".XLSX", ".json.zip", "."):
        assert as_problem(client.get(f"/v1/price-books/sample-inch{suffix}"))["status"] == 404


@pytest.mark.parametrize("suffix", ["", ".json", ".xlsx", ".zip"])
def test_what_has_not_changed_is_not_sent_again(client, suffix):
    address = f"/v1/price-books/sample-inch{suffix}"
    tag = client.get(address).headers["ETag"]
    again = client.get(address, headers={"If-None-Match": tag})
    assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", tag)
    assert client.get(address, headers={"If-None-Match": '"0123456789abcdef"'}).status_code == 200


def test_another_form_at_one_address_is_not_taken_for_the_first(client, keeping, small):
    address = "/v1/price-books/sample-inch"
    tag = client.get(address).headers["ETag"]
    table = client.get(address, headers={"If-None-Match": tag, "Accept": XLSX})
    assert (table.status_code, table.content_type) == (200, XLSX)
    keeping.put(MINE, json=small, headers=NEW)
    tag = keeping.get(MINE, headers={"Accept": XLSX}).headers["ETag"]
    assert tag.endswith('.xlsx"')
    replaced = keeping.put(MINE, json=priced(small, "9.99"), headers={"If-Match": tag})
    assert replaced.status_code == 200, "either tag names the revision that was read"


def test_a_book_is_replaced_if_it_is_still_what_was_read(keeping, as_problem, small):
    first = keeping.put(MINE, json=small, headers=NEW).headers["ETag"]
    second = keeping.put(MINE, json=priced(small, "2.00"), headers={"If-Match": first})
    assert second.status_code == 200
    problem = as_problem(keeping.put(MINE, json=priced(small, "3.00"), headers={"If-Match": first}))
    assert (problem["type"], problem["status"]) == ("/problems/moved-on", 412)
    assert second.headers["ETag"].strip('"') in problem["detail"]
    assert keeping.get(MINE).headers["ETag"] == second.headers["ETag"]


def test_a_book_that_is_there_is_not_made_anew(keeping, as_problem, small):
    keeping.put(MINE, json=small, headers=NEW)
    assert as_problem(keeping.put(MINE, json=priced(small, "3.00"), headers=NEW))["status"] == 412
    assert as_problem(keeping.put(f"{MINE}-2", json=small, headers={"If-Match": '"0123456789abcdef"'}))["status"] == 412


def test_the_same_sent_twice_is_answered_twice_and_kept_once(keeping, small):
    first = keeping.put(MINE, json=small, headers=NEW)
    again = keeping.put(MINE, json=small, headers=NEW)
    assert (again.status_code, again.data) == (first.status_code, first.data)
    assert len(keeping.get(f"{MINE}/revisions").json["revisions"]) == 1


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 428),
        ({"If-Match": "*"}, 428),
        ({"If-Match": '"0123456789abcdef", "fedcba9876543210"'}, 428),
        ({"If-Match": '"0123456789abcdef"', **NEW}, 428),
        ({"If-None-Match": '"0123456789abcdef"'}, 428),
        ({"If-Match": ""}, 412),
        ({"If-Match": 'W/"0123456789abcdef"'}, 412),
        ({"If-Match": "'; DROP TABLE books"}, 412),
        ({"If-Match": '"' + "0" * 10_000 + '"'}, 412),
    ],
)
def test_a_write_says_what_it_writes_over(keeping, as_problem, small, headers, status):
    assert as_problem(keeping.put(MINE, json=small, headers=headers))["status"] == status
    assert as_problem(keeping.get(MINE))["status"] == 404


@pytest.mark.parametrize(
    ("tag", "status"),
    [(None, 428), ("*", 428), ('"{}", "0123456789abcdef"', 428), ('W/"{}"', 412), ('"0123456789abcdef"', 412)],
)
def test_what_is_deleted_is_what_was_read(keeping, as_problem, small, tag, status):
    revision = keeping.put(MINE, json=small, headers=NEW).json["revision"]
    headers = {} if tag is None else {"If-Match": tag.format(revision)}
    assert as_problem(keeping.delete(MINE, headers=headers))["status"] == status
    assert keeping.get(MINE).status_code == 200
    assert keeping.delete(MINE, headers={"If-Match": f'"{revision}"'}).status_code == 204


def test_of_two_writers_at_once_one_wins_and_the_other_is_told(served, keeping, store, small):
    tag = keeping.put(MINE, json=small, headers=NEW).headers["ETag"]
    keeping.put(f"{MINE}/rights/everyone", json={"may": "write"})
    for turn in range(5):
        ready = threading.Barrier(2)
        answers = []

        def write(writer, tag=tag, turn=turn, ready=ready, answers=answers):
            client = caller(served, store, f"writer-{writer}", "price-book")
            ready.wait()
            data = priced(small, f"{turn + 1}.{writer}0")
            answers.append(client.put(MINE, json=data, headers={"If-Match": tag}))

        threads = [threading.Thread(target=write, args=(writer,)) for writer in (1, 2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(answer.status_code for answer in answers) == [200, 412]
        (won,) = (answer for answer in answers if answer.status_code == 200)
        now = keeping.get(MINE)
        assert now.headers["ETag"] == won.headers["ETag"], "what is there is one writer's whole book"
        tag = won.headers["ETag"]


def test_the_names_of_the_folder_s_books_are_read_only(keeping, as_problem, small):
    for answer in (
        keeping.put("/v1/price-books/sample-inch", json=small, headers=NEW),
        keeping.delete("/v1/price-books/sample-inch", headers={"If-Match": f'"{SAMPLE.revision}"'}),
    ):
        problem = as_problem(answer)
        assert (problem["type"], problem["status"]) == ("/problems/price-book-read-only", 409)
        assert "another name" in problem["detail"]


@pytest.mark.parametrize(
    "name", ["My-Shop", "-shop", "my_shop", "x" * 64, "shop.json", "%2e%2e", "a b", "sh%C3%B6p", "a%00"]
)
def test_a_name_that_no_folder_could_have_is_refused(keeping, as_problem, small, name):
    problem = as_problem(keeping.put(f"/v1/price-books/{name}", json=small, headers=NEW))
    assert problem["status"] in (404, 405, 422)
    if problem["status"] == 422:
        assert [(each["parameter"], each["code"]) for each in problem["errors"]] == [("name", "not-a-name")]


@pytest.mark.parametrize("name", ["../../etc/passwd", "..%2f..%2fetc", "%2fetc"])
def test_a_name_that_is_a_path_leads_nowhere(keeping, as_problem, small, name):
    assert as_problem(keeping.put(f"/v1/price-books/{name}", json=small, headers=NEW))["status"] in (404, 405)


@pytest.mark.parametrize("name", ["x" * 63, "0", "a-b-"])
def test_a_name_that_a_folder_could_have_is_taken(keeping, small, name):
    assert keeping.put(f"/v1/price-books/{name}", json=small, headers=NEW).status_code == 201


def test_a_body_of_another_type_is_refused(keeping, as_problem, small):
    for media_type in ("text/csv", "", "application/octet-stream", "application/vnd.ms-excel", "multipart/form-data"):
        answer = keeping.put(MINE, data=json.dumps(small), content_type=media_type, headers=NEW)
        problem = as_problem(answer)
        assert problem["status"] == 415
        assert all(name in problem["detail"] for name in ("application/json", XLSX, ZIP))


def test_every_fault_of_a_json_book_is_told_by_its_pointer(keeping, as_problem, small):
    small = priced(small, "-1") | {"currency": "dollars", "colour": "red"}
    small["hardware"] = [{"item": "hex bolt"}]
    problem = as_problem(keeping.put(MINE, json=small, headers=NEW))
    assert problem["status"] == 422
    told = {error["pointer"]: error["code"] for error in problem["errors"]}
    assert told["/currency"] == "unknown-currency"
    assert told["/colour"] == "unknown-key"
    assert told["/lumber/0/price"] == "not-positive"
    assert {"/hardware/0/price", "/hardware/0/pack", "/hardware/0/supplier"} <= set(told)
    assert as_problem(keeping.get(MINE))["status"] == 404, "nothing was kept"


def test_every_fault_of_a_workbook_is_told_by_sheet_row_and_column(keeping, as_problem, small):
    book = openpyxl.load_workbook(io.BytesIO(write_workbook(read_json("x", small))))
    book["lumber"]["C3"].value = "2x44"
    book["book"]["B4"].value = "dollars"
    del book["supplies"]
    out = io.BytesIO()
    book.save(out)
    problem = as_problem(keeping.put(MINE, data=out.getvalue(), content_type=XLSX, headers=NEW))
    assert problem["status"] == 422
    places = [
        {key: each for key, each in error.items() if key not in ("code", "detail")} for error in problem["errors"]
    ]
    assert places == [
        {"sheet": "book", "row": 4, "column": "currency"},
        {"sheet": "lumber", "row": 3, "column": "section"},
        {"sheet": "supplies"},
    ]


def test_every_fault_of_a_zip_is_told_by_file_line_and_column(keeping, as_problem, small):
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(write_archive(read_json("x", small)))) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            if name != "supplies.csv":
                new.writestr(name, old.read(name).replace(b'"USD"', b'"dollars"').replace(b",1x8,", b",1x88,", 1))
    problem = as_problem(keeping.put(MINE, data=out.getvalue(), content_type=ZIP, headers=NEW))
    assert problem["status"] == 422
    places = [
        {key: each for key, each in error.items() if key not in ("code", "detail")} for error in problem["errors"]
    ]
    line = places[0].pop("line")
    assert places[0] == {"file": "book.toml", "column": "currency"} and line > 1
    assert places[1]["file"] == "lumber.csv" and places[1]["column"] == "section" and places[1]["line"] > 1
    assert places[2:] == [{"file": "supplies.csv"}]


def bomb():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("lumber.csv", b"0" * (MOST_UNPACKED + 1))
    return out.getvalue()


def xml_bomb():
    """A workbook whose texts declare entities that grow without end."""
    entities = b"".join(b'<!ENTITY e%d "%s">' % (n, b"&e%d;" % (n - 1) * 10 if n else b"ha") for n in range(12))
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(write_workbook(SAMPLE))) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            bomb = b"<!DOCTYPE x [%s]>" % entities + data[data.index(b"?>") + 2 :]
            new.writestr(name, bomb if name == "xl/sharedStrings.xml" else data)
    return out.getvalue()


@pytest.mark.parametrize(
    ("media_type", "data", "code"),
    [
        (XLSX, xml_bomb(), "unsafe-workbook"),
        (ZIP, b"", "not-an-archive"),
        (ZIP, b"{}", "not-an-archive"),
        (XLSX, b"{}", "not-an-archive"),
        (XLSX, write_archive(SAMPLE), "not-a-workbook"),
        (ZIP, write_workbook(SAMPLE), "missing-file"),
        (ZIP, bomb(), "file-too-large"),
        (XLSX, bomb(), "file-too-large"),
    ],
)
def test_what_is_not_of_its_type_or_too_large_is_refused(keeping, as_problem, media_type, data, code):
    problem = as_problem(keeping.put(MINE, data=data, content_type=media_type, headers=NEW))
    assert (problem["status"], problem["errors"][0]["code"]) == (422, code)


def test_a_json_body_that_is_a_zip_cannot_be_read(keeping, as_problem):
    answer = keeping.put(MINE, data=write_archive(SAMPLE), content_type="application/json", headers=NEW)
    assert as_problem(answer)["status"] == 400


def test_a_book_is_copied_from_another(keeping, holds, as_problem, small):
    answer = keeping.put(f"{MINE}?copy=sample-metric", headers=NEW)
    assert answer.status_code == 201
    copied = keeping.get(MINE).json
    sample = keeping.get("/v1/price-books/sample-metric").json
    assert copied == sample | {"name": "my-shop"}
    first = copied["revision"]
    second = keeping.put(MINE, json=small, headers={"If-Match": f'"{first}"'}).json["revision"]
    assert second != first
    assert keeping.put(f"{MINE}-2?copy=my-shop@{first}", headers=NEW).json["revision"] == first
    assert keeping.put(f"{MINE}-3?copy=my-shop", headers=NEW).json["revision"] == second


def test_a_copy_of_what_is_not_there_is_refused(keeping, as_problem, small):
    for source, code in (("sample-inhc", "unknown-price-book"), ("", "unknown-price-book")):
        problem = as_problem(keeping.put(f"{MINE}?copy={source}", headers=NEW))
        assert problem["status"] == 422
        assert [(each["parameter"], each["code"]) for each in problem["errors"]] == [("copy", code)]
    keeping.put(MINE, json=small, headers=NEW)
    problem = as_problem(keeping.put(f"{MINE}-2?copy=my-shop@0123456789abcdef", headers=NEW))
    assert problem["errors"][0]["code"] == "unknown-revision"
    assert as_problem(keeping.put(f"{MINE}-2?copy=sample-inch", json=small, headers=NEW))["status"] == 400
    assert as_problem(keeping.put(f"{MINE}-2?kopy=sample-inch", headers=NEW))["status"] == 422


@pytest.fixture
def four(keeping, small):
    """A book that has been four revisions, the newest last."""
    tag, found = None, []
    for price in ("1.00", "2.00", "3.00", "4.00"):
        headers = {"If-Match": tag} if tag else NEW
        tag = keeping.put(MINE, json=priced(small, price), headers=headers).headers["ETag"]
        found.append(tag.strip('"'))
    return found


def test_revisions_are_listed_by_pages_the_newest_first(keeping, holds, four):
    whole = keeping.get(f"{MINE}/revisions")
    holds("RevisionList", whole.json)
    assert [each["revision"] for each in whole.json["revisions"]] == four[::-1]
    assert [each["number"] for each in whole.json["revisions"]] == [4, 3, 2, 1]
    assert all(each["by"] == "anna" and each["stored"] for each in whole.json["revisions"])
    assert whole.json["next"] is None and "Link" not in whole.headers
    page = keeping.get(f"{MINE}/revisions?limit=3")
    assert [each["number"] for each in page.json["revisions"]] == [4, 3, 2]
    assert page.headers["Link"] == f'<{page.json["next"]}>; rel="next"'
    last = keeping.get(page.json["next"])
    assert [each["number"] for each in last.json["revisions"]] == [1]
    assert last.json["next"] is None
    assert keeping.get(f"{MINE}/revisions?limit=4").json["next"] is None


def test_pages_of_no_size_are_refused(keeping, as_problem, four):
    for query in ("limit=0", "limit=101", "limit=x", "after=-1", "after=" + "9" * 40, "limit=1&limit=2", "page=2"):
        assert as_problem(keeping.get(f"{MINE}/revisions?{query}"))["status"] == 422


def test_any_revision_is_given_in_every_form(keeping, as_problem, four, small):
    for revision, price in zip(four, ("1.00", "2.00", "3.00", "4.00"), strict=True):
        address = f"{MINE}/revisions/{revision}"
        answer = keeping.get(address)
        assert answer.json["lumber"] == read_json_rows(priced(small, price))
        assert answer.headers["ETag"] == f'"{revision}"'
        assert read_workbook("x", keeping.get(f"{address}.xlsx").data).revision == revision
        assert keeping.get(f"{address}.zip").status_code == 200
        assert keeping.get(f"{address}.json").json == answer.json
        assert keeping.get(address, headers={"If-None-Match": f'"{revision}"'}).status_code == 304
    for revision in ("0123456789abcdef", "x" * 5_000, "..", "%00", four[0].upper()):
        assert as_problem(keeping.get(f"{MINE}/revisions/{revision}"))["status"] == 404


def read_json_rows(data):
    return content(read_json("x", data))["lumber"]


def test_a_book_of_the_folder_has_the_one_revision_it_is_at(client, holds, as_problem):
    answer = client.get("/v1/price-books/sample-inch/revisions").json
    holds("RevisionList", answer)
    assert answer["revisions"] == [{"revision": SAMPLE.revision, "number": None, "by": None, "stored": None}]
    address = "/v1/price-books/sample-inch/revisions"
    assert client.get(f"{address}/{SAMPLE.revision}.zip").status_code == 200
    assert as_problem(client.get(f"{address}/0123456789abcdef"))["status"] == 404
    assert as_problem(client.get("/v1/price-books/sample/revisions"))["status"] == 404


def test_what_changed_between_two_revisions_is_told_by_item(keeping, holds, four):
    answer = keeping.get(f"{MINE}/changes?from={four[0]}&to={four[2]}").json
    holds("Changes", answer)
    (rose,) = answer["rose"]
    assert (rose["old"], rose["new"], rose["percent"]) == ("1.00", "3.00", "200.00 %")
    assert (answer["older"], answer["newer"]) == (four[0], four[2])
    assert not answer["fell"] and not answer["came"] and not answer["went"] and not answer["settings"]
    back = keeping.get(f"{MINE}/changes?from={four[2]}&to={four[0]}").json
    assert [(each["item_code"], each["percent"]) for each in back["fell"]] == [(rose["item_code"], "-66.67 %")]
    assert keeping.get(f"{MINE}/changes?from={four[0]}").json["newer"] == four[3]


def test_what_changed_tells_what_came_and_went_and_the_settings(keeping, holds, small):
    first = keeping.put(MINE, json=small, headers=NEW).headers["ETag"]
    more = small | {"tax_rate": "9 %", "lumber": small["lumber"][1:], "as_of": "2027-01-01"}
    more["suppliers"] = [row | {"trip": "1.00"} for row in small["suppliers"]]
    keeping.put(MINE, json=more, headers={"If-Match": first})
    answer = keeping.get(f"{MINE}/changes", query_string={"from": first.strip('"')}).json
    holds("Changes", answer)
    assert [each["item_code"] for each in answer["went"]] == [small["lumber"][0]["item_code"]]
    assert {each["setting"] for each in answer["settings"]} == {"tax_rate", "as_of"}
    assert {each["column"] for each in answer["suppliers"]} == {"trip"}


def test_changes_between_revisions_that_are_not_there_are_refused(keeping, as_problem, four):
    problem = as_problem(keeping.get(f"{MINE}/changes?from=0123456789abcdef&to=x"))
    assert problem["status"] == 422
    assert {each["parameter"]: each["code"] for each in problem["errors"]} == {
        "from": "unknown-revision",
        "to": "unknown-revision",
    }
    missing = as_problem(keeping.get(f"{MINE}/changes"))
    assert [(each["parameter"], each["code"]) for each in missing["errors"]] == [("from", "missing")]
    assert as_problem(keeping.get("/v1/price-books/none/changes?from=x"))["status"] == 404


def test_a_request_may_name_any_stored_revision(keeping, as_problem, four, body):
    def total(book):
        answer = keeping.post("/v1/quotes?keep=no", json={**body, "price_book": book})
        assert answer.status_code == 200, answer.text
        return answer.json["price_book"]["revision"], answer.json["totals"]["total"]

    seen = [total(f"my-shop@{revision}") for revision in four]
    assert [revision for revision, _ in seen] == four
    assert total("my-shop") == seen[-1]
    problem = as_problem(keeping.post("/v1/quotes?keep=no", json={**body, "price_book": "my-shop@0123456789abcdef"}))
    assert [(each["pointer"], each["code"]) for each in problem["errors"]] == [("/price_book", "unknown-revision")]
    page = keeping.get("/v1/designs/slatted-bed?price_book=my-shop")
    assert page.status_code == 200


def test_a_deleted_book_is_away_until_its_owner_brings_it_back(keeping, store, as_problem, four, small):
    book = read_json("my-shop", priced(small, "2.00"))
    assert book.revision == four[1]
    quote = NewQuote("anna", "", "my-shop", "0", "USD", "1.00", b"{}", b"{}")
    store.quotes.add(quote, book)
    assert as_problem(keeping.delete(MINE, headers={"If-Match": f'"{four[0]}"'}))["status"] == 412
    answer = keeping.delete(MINE, headers={"If-Match": f'"{four[3]}"'})
    assert (answer.status_code, answer.data) == (204, b"")
    for address in (MINE, f"{MINE}.xlsx", f"{MINE}/revisions", f"{MINE}/revisions/{four[1]}", f"{MINE}/changes?from=x"):
        assert as_problem(keeping.get(address))["status"] == 404
    assert as_problem(keeping.delete(MINE, headers={"If-Match": f'"{four[3]}"'}))["status"] == 404
    assert json.loads(store.books.revision(four[1]))["lumber"] == read_json_rows(priced(small, "2.00"))
    problem = as_problem(keeping.put(MINE, json=small, headers=NEW))
    assert (problem["type"], problem["status"]) == ("/problems/name-taken", 409)
    told = as_problem(keeping.get(MINE))["detail"]
    assert f"POST {MINE}/undelete" in told
    back = keeping.post(f"{MINE}/undelete")
    assert (back.status_code, back.headers["ETag"]) == (200, f'"{four[3]}"')
    assert len(keeping.get(f"{MINE}/revisions").json["revisions"]) == 4


def test_a_book_of_the_folder_hides_a_stored_one_of_its_name(keeping, store, small):
    store.books.put(read_json("sample-inch", small), None, Who("anna"))
    assert keeping.get("/v1/price-books/sample-inch").json["revision"] == SAMPLE.revision
    listed = [(book["name"], book["kept"]) for book in keeping.get("/v1/price-books").json["price_books"]]
    assert listed == [("sample-inch", "folder"), ("sample-metric", "folder")]


def test_a_service_that_keeps_nothing_says_how_it_would(app_with, as_problem, small):
    client = app_with(local=True).test_client()
    for answer in (client.put(MINE, json=small, headers=NEW), client.delete(MINE, headers={"If-Match": '"0"'})):
        problem = as_problem(answer)
        assert (problem["type"], problem["status"]) == ("/problems/nothing-kept", 409)
        assert "sawbill serve --data" in problem["detail"]


def test_who_may_not_keep_books_is_refused_before_anything_is_read(served, store, keeping, as_problem, small):
    tag = keeping.put(MINE, json=small, headers=NEW).headers["ETag"]
    nobody, other = served.test_client(), caller(served, store, "ben", "quote")
    for client, status in ((nobody, 401), (other, 403)):
        assert as_problem(client.put(MINE, data=b"{", headers={"If-Match": tag}))["status"] == status
        assert as_problem(client.delete(MINE, headers={"If-Match": tag}))["status"] == status
        assert client.get(MINE).status_code == 404, "nobody else was let read it"
    assert keeping.get(MINE).headers["ETag"] == tag


@pytest.mark.parametrize(
    ("error", "status", "kind"),
    [
        (StoreFullError, 507, "store-full"),
        (StoreBusyError, 503, "store-busy"),
        (StoreUnavailableError, 503, "store-busy"),
        (StoreReadOnlyError, 503, "store-unusable"),
        (StoreNotAtHeadError, 503, "store-unusable"),
        (StoreDamagedError, 503, "store-unusable"),
    ],
)
def test_what_the_store_cannot_do_is_told_and_can_be_sent_again(
    keeping, as_problem, monkeypatch, small, error, status, kind
):
    """The error is put where the store would raise it; that it does is for the store's own tests."""

    def fail(*_):
        raise error("make room; nothing was changed")

    with monkeypatch.context() as broken:
        broken.setattr(Books, "put", fail)
        answer = keeping.put(MINE, json=small, headers=NEW)
    problem = as_problem(answer)
    assert (problem["status"], problem["type"], problem["retryable"]) == (status, f"/problems/{kind}", True)
    assert problem["detail"] == "make room; nothing was changed"
    assert ("Retry-After" in answer.headers) == (status == 503)
    assert keeping.put(MINE, json=small, headers=NEW).status_code == 201


def test_without_its_store_the_service_still_gives_the_books_of_its_folder(app_with, tmp_path, as_problem, body):
    (tmp_path / "file").write_text("no folder")
    client = app_with(data=str(tmp_path / "file")).test_client()
    assert client.get("/v1/price-books/sample-inch").status_code == 200
    problem = as_problem(client.get("/v1/price-books/my-shop"))
    assert problem["status"] == 503 and str(tmp_path) not in json.dumps(problem)
