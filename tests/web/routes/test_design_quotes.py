"""The quote of a design, its tables and values by address: every form, errors in a line, tags, short addresses."""

import csv
import io
import json
from decimal import Decimal
from urllib.parse import quote, urlencode

import openpyxl
import pytest

from sawbill import cutting
from sawbill.answer.tables import TABLES
from sawbill.answer.values import VALUES
from sawbill.buying import deals
from sawbill.prices.shelf import sample_folder
from sawbill.trade.lengths import format_length
from sawbill.trade.mattresses import mattress_sizes
from sawbill.web.http.media import TABLE_FORMS
from sawbill.web.schemas.tabled import ROWS
from sawbill.web.work import asking
from sawbill.web.written.tabled import QUOTE_FORMS, VALUE_FORMS

BED = "/v1/designs/slatted-bed"
QUERY = "?price_book=sample-inch&mattress=queen"
LONGEST_ADDRESS = 1_500
"""Some sheets take no more than 2,048 characters, and somebody's host stands before ours."""


@pytest.mark.parametrize("form", TABLE_FORMS, ids=lambda form: form.suffix)
@pytest.mark.parametrize("table", TABLES)
def test_every_table_is_to_be_had_in_every_form(client, table, form):
    answer = client.get(f"{BED}/{table}.{form.suffix}{QUERY}")
    assert answer.status_code == 200
    assert answer.content_type == form.content_type
    assert answer.data == client.get(f"{BED}/{table}{QUERY}", headers={"Accept": form.type}).data


@pytest.mark.parametrize("table", TABLES)
def test_the_json_of_a_table_is_as_described_and_has_the_rows_of_its_csv(client, holds, table):
    answer = client.get(f"{BED}/{table}.json{QUERY}").json
    holds(ROWS[table].__name__.removesuffix("Schema"), answer)
    rows = list(csv.DictReader(io.StringIO(client.get(f"{BED}/{table}.csv{QUERY}").text, newline="")))
    assert len(rows) == len(answer["rows"])
    for row, told in zip(rows, answer["rows"], strict=True):
        assert list(row) == list(told)
        for name, cell in row.items():
            if isinstance(told[name], float | int) and not isinstance(told[name], bool):
                assert Decimal(cell) == Decimal(str(told[name]))


def test_totals_are_the_same_in_every_form(client, queen):
    total = queen.json["totals"]["total"]
    rows = csv.DictReader(io.StringIO(client.get(f"{BED}/costs.csv{QUERY}").text))
    assert sum(Decimal(row["adds"]) for row in rows if row["adds"]) == Decimal(total)
    book = openpyxl.load_workbook(io.BytesIO(client.get(f"{BED}/quote.xlsx{QUERY}").data), data_only=True)
    assert book.sheetnames[-len(TABLES) :] == list(TABLES)
    assert len(book["Quote"]._images) == 1, "the furniture is shown"
    assert f"{next(row[1].value for row in book['costs'] if row[0].value == 'total'):.2f}" == total
    for form in VALUE_FORMS:
        assert total in client.get(f"{BED}/value/total.{form.suffix}{QUERY}").text
    assert f"USD {total}" in client.get(f"{BED}/quote{QUERY}", headers={"Accept": "text/html"}).text
    assert total in client.get(f"{BED}/quote.txt{QUERY}").text


def test_excel_asks_for_a_byte_order_mark(client):
    plain, marked = (client.get(f"{BED}/cut-list.csv{QUERY}{more}") for more in ("", "&excel=1"))
    assert marked.data == b"\xef\xbb\xbf" + plain.data
    assert marked.headers["ETag"] != plain.headers["ETag"]


def test_a_value_is_plain_and_nothing_else(client, queen):
    assert client.get(f"{BED}/value/total.txt{QUERY}").text == queen.json["totals"]["total"]
    assert client.get(f"{BED}/value/total{QUERY}").content_type == "text/plain; charset=utf-8"
    assert client.get(f"{BED}/value/longest_part.txt{QUERY}&unit=in").text == "85"
    assert client.get(f"{BED}/value/longest_part.txt{QUERY}").text == "2159"
    assert client.get(f"{BED}/value/cut_list.0.name.txt{QUERY}").text == queen.json["cut_list"][0]["name"]
    assert client.get(f"{BED}/value/total.json{QUERY}").json == {"value": queen.json["totals"]["total"], "unit": "USD"}


def test_every_named_value_is_listed_and_answers(client, holds):
    listed = client.get("/v1/values").json
    holds("ValueList", listed)
    assert [each["name"] for each in listed["values"]] == list(VALUES)
    for name in VALUES:
        answer = client.get(f"{BED}/value/{name}.json{QUERY}")
        assert answer.status_code == 200, name
        holds("OneValue", answer.json)


def test_every_table_is_listed_with_its_columns_which_are_those_that_are_sent(client, holds):
    listed = client.get("/v1/tables").json
    holds("TableList", listed)
    assert [each["name"] for each in listed["tables"]] == list(TABLES)
    for each in listed["tables"]:
        header = client.get(f"{BED}/{each['name']}.csv{QUERY}").text.partition("\r\n")[0]
        assert header == ",".join(column["name"] for column in each["columns"])


@pytest.mark.parametrize("name", ["quote", "quote.html", "quote.xlsx", "cut-list.csv", "value/total.txt"])
def test_head_tells_what_get_would(client, name):
    asked, got = client.head(f"{BED}/{name}{QUERY}"), client.get(f"{BED}/{name}{QUERY}")
    assert (asked.status_code, asked.data) == (200, b"")
    for header in ("Content-Type", "Content-Length", "ETag", "Cache-Control"):
        assert asked.headers[header] == got.headers[header]
    assert client.head(f"{BED}/value/total.txt{QUERY}&mattress=quen").status_code == 422


@pytest.mark.parametrize("name", ["cut-list.csv", "value/total.txt", "quote.txt", "value/total.csv"])
def test_a_fault_is_one_line_with_its_status_where_a_cell_is_asked_for(client, name):
    answer = client.get(f"{BED}/{name}?price_book=sample-inch&clear_height=9 km&foo=1")
    assert answer.status_code == 422
    assert answer.content_type == "text/plain; charset=utf-8"
    assert answer.headers["Cache-Control"] == "no-store" and "ETag" not in answer.headers
    assert answer.text.strip('"').startswith("422 The request has mistakes in it: ")
    assert "clear_height is 9 km" in answer.text and "there is no parameter foo" in answer.text
    assert len(answer.text.splitlines()) == 1
    assert len(next(csv.reader([answer.text]))) == 1 or name.endswith(".txt"), "one cell"


def test_a_fault_comes_with_the_status_200_where_that_is_asked_for_and_is_never_tagged(client):
    asked = f"{BED}/value/total.txt?price_book=sample-inch&mattress=quen"
    real, told = client.get(asked), client.get(f"{asked}&on_error=text")
    assert (real.status_code, told.status_code) == (422, 200)
    assert real.text == told.text
    assert told.headers["Cache-Control"] == "no-store" and "ETag" not in told.headers
    assert client.get(f"/nothing.txt{QUERY}&on_error=text").status_code == 404


@pytest.mark.parametrize(
    ("address", "status", "remedy"),
    [
        ("cut-list.csv?excel=2", 422, 'excel is "2"; it may be 1 or 0'),
        ("cut-list.json?excel=1", 422, "there is no parameter excel"),
        ("cut-list.csv?excel=1&excel=1", 422, "excel is given 2 times"),
        ("value/total.txt?on_error=no", 422, 'on_error is "no"; it may be text or status'),
        ("value/total.json?unit=in", 422, "total takes no unit"),
        ("value/totl.json", 404, "did you mean total?"),
        ("value/frame.size.hight.json", 404, "did you mean height"),
        ("value/near_misses.0.part.json", 404, "it has no entries"),
        ("cutlist", 404, "did you mean cut-list?"),
        ("cut-list.pdf", 404, "it comes as .json, .csv, .xlsx, .txt, .html"),
        ("quote.csv", 404, "a whole quote comes as .json, .html, .xlsx, .txt; its tables"),
    ],
)
def test_what_is_not_to_be_had_says_what_is(client, address, status, remedy):
    path, _, more = address.partition("?")
    answer = client.get(f"{BED}/{path}{QUERY}&{more}".rstrip("&"))
    assert answer.status_code == status
    told = answer.text if path.endswith((".txt", ".csv")) else json.dumps(answer.json, ensure_ascii=False)
    assert remedy in told.replace('\\"', '"').replace('""', '"')


def test_nothing_accepted_is_406_with_what_there_is(problem_of):
    problem = problem_of("GET", f"{BED}/quote{QUERY}", headers={"Accept": "text/csv"})
    assert (problem["status"], problem["type"]) == (406, "/problems/not-acceptable")
    assert "text/html (.html)" in problem["detail"]


def test_a_suffix_outdoes_what_is_accepted_and_only_without_one_the_answer_varies(client):
    by_suffix = client.get(f"{BED}/cut-list.csv{QUERY}", headers={"Accept": "text/html"})
    by_accept = client.get(f"{BED}/cut-list{QUERY}", headers={"Accept": "text/html"})
    assert by_suffix.mimetype == "text/csv" and "Accept" not in by_suffix.vary
    assert by_accept.mimetype == "text/html" and "Accept" in by_accept.vary


@pytest.mark.parametrize("name", ["quote", "quote.html", "quote.xlsx", "costs.csv", "value/boards.txt", "steps"])
def test_what_the_caller_holds_already_is_not_made_again(app_with, monkeypatch, name):
    client = app_with().test_client()
    first = client.get(f"{BED}/{name}{QUERY}")
    assert first.headers["ETag"].startswith('"') and first.headers["Cache-Control"] == "private, no-cache"

    def refuse(*_):
        raise AssertionError("a quote is made")

    again = app_with().test_client()  # which has made nothing yet
    monkeypatch.setattr(asking, "make", refuse)
    for query in (QUERY, "?mattress=queen&price_book=sample-inch"):
        answer = again.get(f"{BED}/{name}{query}", headers={"If-None-Match": f'"other", W/{first.headers["ETag"]}'})
        assert (answer.status_code, answer.data) == (304, b"")
        for header in ("ETag", "Cache-Control", "Vary"):
            assert answer.headers.get(header) == first.headers.get(header)


def test_the_tag_changes_with_the_request_the_book_and_the_form_and_with_nothing_else(app_with, tmp_path):
    book = tmp_path / "sample-inch"
    book.mkdir()
    for file in (sample_folder() / "sample-inch").iterdir():
        (book / file.name).write_bytes(file.read_bytes())
    client = app_with(tmp_path).test_client()

    def tag(address):
        answer = client.get(f"{BED}/{address}")
        assert answer.status_code == 200
        return answer.headers["ETag"]

    asked = [
        f"cut-list.csv{QUERY}", f"cut-list.txt{QUERY}", f"costs.csv{QUERY}", f"cut-list.csv{QUERY}&clear_height=10in",
        f"cut-list.csv{QUERY}&excel=1", f"value/mass.txt{QUERY}", f"value/mass.txt{QUERY}&unit=lb",
        f"value/load.txt{QUERY}",
    ]  # fmt: skip
    before = [tag(address) for address in asked]
    assert len(set(before)) == len(asked)
    assert [tag(address) for address in asked] == before
    lumber = book / "lumber.csv"
    lumber.write_text(lumber.read_text().replace(",4.01,", ",4.02,"))
    after = [tag(address) for address in asked]
    assert not set(before) & set(after)


def test_a_quote_that_a_clock_cut_is_tagged_and_held_by_nobody(app_with, monkeypatch):
    monkeypatch.setattr(cutting, "EMERGENCY", 0)
    monkeypatch.setattr(deals, "SHORTEST_SEARCH", 0)
    client = app_with().test_client()
    for _ in range(2):
        answer = client.get(f"{BED}/quote{QUERY}&quantity=3")
        assert answer.json["proof"]["status"] == "time_limit"
        assert answer.headers["Cache-Control"] == "no-store" and "ETag" not in answer.headers
        assert float(answer.headers["Server-Timing"].partition("dur=")[2]) > 0, "it was made anew"


def test_the_same_address_gives_the_same_bytes_from_another_process_of_the_service(app_with):
    one, other = app_with().test_client(), app_with().test_client()
    for form in QUOTE_FORMS:
        address = f"{BED}/quote.{form.suffix}{QUERY}"
        assert one.get(address).data == other.get(address).data


def test_the_page_of_a_table_leads_to_its_other_forms_and_escapes_what_is_asked(client):
    page = client.get(f"{BED}/cut-list.html{QUERY}&ceiling=8 ft")
    for suffix in ("csv", "xlsx"):
        address = f"{BED}/cut-list.{suffix}?ceiling=8+ft&amp;mattress=queen&amp;price_book=sample-inch"
        assert f'href="{address}"' in page.text
        assert client.get(address.replace("&amp;", "&")).status_code == 200
    assert "side rail" in page.text


def test_the_page_of_a_quote_leads_to_its_workbook(client):
    page = client.get(f"{BED}/quote.html{QUERY}&units=metric")
    address = f"{BED}/quote.xlsx?mattress=queen&price_book=sample-inch&units=metric"
    assert f'href="{address.replace("&", "&amp;")}"' in page.text
    assert client.get(address).status_code == 200


def every_option(design):
    """The query with every option of a design set to its longest, and every parameter of a quote."""
    query = {
        "price_book": f"{'sample-inch'}@{'0' * 64}", "quantity": "1000", "units": "metric", "kerf": "1/8 in",
        "end_trim": "1/2 in", "rounding_step": "1/16 in", "longest_board": "12 ft", "keep_offcut": "12 in",
        "spare_boards": "1", "offcut_value": "25 %", "extra_for_fewer_setups": "2 %", "no_slivers": "false",
        "yard_cuts": "false", "room_length": "14 ft 11 15/16 in", "room_width": "14 ft 11 15/16 in",
        "ceiling": "8 ft 11 15/16 in", "door_width": "30 1/2 in", "door_height": "78 1/2 in", "door_swing": "32 1/2 in",
        "vehicle_length": "72 in", "vehicle_width": "48 in", "vehicle_height": "32 in", "one_person": "20 kg",
        "heaviest_user": "110 kg", "species": "SPF,Douglas Fir-Larch", "grades": "No.2,No.1",
        "indoors": "false", "on_error": "status", "unit": "mm", "trace": "bolted-end", "placed": "true",
        "must_hold": "false", "ways_out": "false", "contingency": "12.5 %", "labour_rate": "25.00", "margin": "25 %",
        "labour_for": "making,finishing,taking_apart", "factor": "2.5", "markup": "30 %",
    }  # fmt: skip
    for option in design.options:
        most = getattr(option, "most", None)
        choices = getattr(option, "choices", None) or ("false",)
        query[option.name] = (
            format_length(most, "inch") if isinstance(most, int) and most > 10_000 else max(choices, key=len)
        )
        if option.name == "mattress":
            query[option.name] = max(mattress_sizes(), key=len)
    return query


def test_the_address_with_everything_that_may_be_asked_is_short_enough_for_a_sheet(app, description, asked_at):
    designs = app.extensions["sawbill"].designs
    path = description["paths"]["/v1/designs/{design}/value/{path}.txt"]["get"]
    for name, design in designs.items():
        query = every_option(design)
        assert {each["name"] for each in asked_at(path)} - {"options"} <= set(query)
        address = f"http://127.0.0.1:8000/v1/designs/{name}/value/{max(VALUES, key=len)}.txt?" + urlencode(
            query, quote_via=quote
        )
        assert len(address) < LONGEST_ADDRESS, (name, len(address))


def test_boards_that_hold_and_ways_out_are_asked_by_address(client, monkeypatch):
    monkeypatch.setattr(cutting, "EMERGENCY", 300.0)
    address = "/v1/designs/low-platform/quote.json?price_book=sample-inch&mattress=eu-80"
    held, cheapest = client.get(address).json, client.get(f"{address}&must_hold=no&ways_out=yes").json
    assert (held["holding"]["holds"], held["ways_out"]) == (True, [])
    assert not cheapest["holding"]["holds"] and cheapest["holding"]["unmended"]
    [bends] = [each for each in cheapest["ways_out"] if each["rule"] == "bending"]
    boards, way = bends["ways"][:2]
    assert (boards["query"], boards["total"]) == ("must_hold=yes", held["totals"]["total"])
    assert client.get(f"{address}&must_hold=no&{way['query']}").json["totals"]["total"] == way["total"]
    refused = client.get(f"{address}&must_hold=perhaps")
    assert [(each["parameter"], each["code"]) for each in refused.json["errors"]] == [("must_hold", "not-a-flag")]


def test_which_lumber_will_do_may_be_asked_by_address(client):
    asked = f"{BED}/quote.json{QUERY}&end_board=2x4"
    cheapest, graded = client.get(asked).json, client.get(f"{asked}&species=SPF,Hem-Fir&grades=No.2").json
    bought = [{(row["species"], row["grade"]) for row in each["shopping_list"] if row["kind"] == "lumber"}
              for each in (cheapest, graded)]  # fmt: skip
    assert ("SPF", "Stud") in bought[0]
    assert bought[1] <= {("SPF", "No.2"), ("Hem-Fir", "No.2")}
    told = [{each["rule"]: each["utilisation"] for each in quote["checks"]}["bending"] for quote in (cheapest, graded)]
    assert Decimal(told[0]) > Decimal(told[1])
    answer = client.get(f"{asked}&grades=No.2,A1&species=marble")
    assert answer.status_code == 422
    assert [(each["parameter"], each["code"]) for each in answer.json["errors"]] == [
        ("grades", "unknown-name"), ("species", "unknown-name"),
    ]  # fmt: skip
