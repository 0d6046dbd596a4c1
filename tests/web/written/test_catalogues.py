"""The catalogues over HTTP: the same thing as JSON and as one table in every form."""

import csv
import io
import json

import openpyxl
import pytest
from tests.web.guarded import Kept

from sawbill.answer.catalogues import CATALOGUES
from sawbill.registry import designs
from sawbill.web.http.media import CSV, HTML, JSON, TXT, XLSX

FORMS = (JSON, CSV, XLSX, TXT, HTML)


def rows(answer):
    return list(csv.reader(io.StringIO(answer.data.decode("utf-8"), newline=""), strict=True))


@pytest.mark.parametrize("name", CATALOGUES)
def test_a_catalogue_is_to_be_had_in_every_form_by_suffix_and_by_what_is_accepted(client, name):
    for form in FORMS:
        named = client.get(f"/v1/{name}.{form.suffix}")
        chosen = client.get(f"/v1/{name}", headers={"Accept": form.type})
        assert named.status_code == chosen.status_code == 200
        assert named.content_type == chosen.content_type == form.content_type
        assert named.data == chosen.data, form.suffix
        assert "Accept" in chosen.vary and "Accept" not in named.vary
        again = client.get(f"/v1/{name}.{form.suffix}", headers={"If-None-Match": named.headers["ETag"]})
        assert (again.status_code, again.data) == (304, b"")
    assert client.get(f"/v1/{name}").data == client.get(f"/v1/{name}.json").data
    assert client.get(f"/v1/{name}", headers={"Accept": "image/png"}).status_code == 406


@pytest.mark.parametrize("name", CATALOGUES)
def test_its_forms_hold_the_same_rows_and_have_tags_of_their_own(client, name):
    header, *told = rows(client.get(f"/v1/{name}.csv"))
    assert header == [column.name for column in CATALOGUES[name].columns] and told
    sheet = openpyxl.load_workbook(io.BytesIO(client.get(f"/v1/{name}.xlsx").data)).active
    assert (sheet.title, sheet.max_row) == (name, len(told) + 1)
    assert [cell.value for cell in sheet[1]] == header
    tags = {client.get(f"/v1/{name}.{form.suffix}").headers["ETag"] for form in FORMS}
    assert len(tags) == len(FORMS)


def test_the_designs_are_those_on_offer(client):
    _, *told = rows(client.get("/v1/designs.csv"))
    assert [row[0] for row in told] == list(designs())


def test_a_mark_of_the_encoding_comes_only_where_it_is_asked_for(client):
    bare = client.get("/v1/lumber.csv").data
    assert client.get("/v1/lumber.csv?excel=1").data == b"\xef\xbb\xbf" + bare
    assert b"\r\n" in bare and not bare.startswith(b"\xef")


def test_lengths_are_written_in_the_units_asked_for_and_the_numbers_stay_the_same(client):
    inch, metric = (rows(client.get(f"/v1/mattresses.csv?units={units}")) for units in ("inch", "metric"))
    at, text = inch[0].index("width_mm"), inch[0].index("width")
    assert [row[at] for row in inch] == [row[at] for row in metric]
    queen = next(row[text] for row in inch if row[0] == "queen"), next(row[text] for row in metric if row[0] == "queen")
    assert queen == ("60 in", "1524 mm")
    assert client.get("/v1/mattresses?units=inch").headers["ETag"] != client.get("/v1/mattresses").headers["ETag"]


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/v1/lumber.csv?units=feet", "inch, metric"),
        ("/v1/lumber.txt?excel=1", "excel"),
        ("/v1/lumber.csv?excel=yes", "1 or 0"),
        ("/v1/designs.csv?units=inch", "units"),
    ],
)
def test_what_is_asked_for_wrongly_is_told_in_a_line_that_says_what_would_be_right(client, path, told):
    answer = client.get(path)
    assert answer.status_code == 422 and answer.content_type == "text/plain; charset=utf-8"
    assert told in answer.text


def test_a_title_that_a_sheet_would_compute_stays_text(tmp_path):
    client = Kept(tmp_path / "data").as_("anna", "admin")
    book = client.get("/v1/price-books/sample-inch").json
    sent = {key: value for key, value in book.items() if key not in ("name", "revision")} | {"title": "=1+2"}
    put = client.put("/v1/price-books/mine", json=sent, headers={"If-None-Match": "*"})
    assert put.status_code == 201, put.text
    told = {row["name"]: row for row in csv.DictReader(io.StringIO(client.get("/v1/price-books.csv").text, newline=""))}
    assert told["mine"]["title"] == "'=1+2" and told["mine"]["by"] == "anna" and told["mine"]["kept"] == "store"
    sheet = openpyxl.load_workbook(io.BytesIO(client.get("/v1/price-books.xlsx").data)).active
    assert [cell.data_type for row in sheet for cell in row if cell.value == "=1+2"] == ["s"]
    assert "=1+2" in json.dumps(client.get("/v1/price-books").json)


def test_the_columns_are_listed_where_those_of_quotes_are(client):
    listed = client.get("/v1/tables").json["catalogues"]
    assert [each["name"] for each in listed] == list(CATALOGUES)
    for each in listed:
        assert [column["name"] for column in each["columns"]] == rows(client.get(f"/v1/{each['name']}.csv"))[0]


def test_no_empty_price_book_is_compared(client, as_problem):
    problem = as_problem(client.post("/v1/comparisons", json={"designs": ["bench"], "price_books": [{}]}))
    assert [(each["pointer"], each["code"]) for each in problem["errors"]] == [("/price_books/0", "not-a-price-book")]
