"""Comparisons over HTTP: the same by address and by body, as JSON, as a sheet, and row by row."""

import csv
import io
import json
import re

import pytest

from sawbill.answer.comparison import comparison_table
from sawbill.quoting.comparing.criteria import CRITERIA
from sawbill.registry import designs
from sawbill.web.app import check_names, create_app
from sawbill.web.http.queries import COMPARISON
from sawbill.web.reckoning.comparisons import MOST_AT_ONCE
from sawbill.web.running.settings import Settings

BED = "designs=slatted-bed,low-platform&mattress=twin,queen&price_book=sample-inch,sample-metric"
BODY = {
    "designs": ["slatted-bed", "low-platform"],
    "options": {"mattress": ["twin", "queen"]},
    "price_books": ["sample-inch", "sample-metric"],
}


@pytest.fixture(scope="module")
def beds(app):
    """The answer to BED, made once."""
    return app.test_client().get(f"/v1/comparisons?{BED}&baseline=0&sort=total")


def test_an_answer_is_as_it_is_described(beds, holds):
    assert beds.status_code == 200
    assert beds.mimetype == "application/json"
    assert beds.headers["Cache-Control"] == "private, no-cache"
    assert "Accept" in beds.headers["Vary"]
    holds("Comparison", beds.json)
    assert beds.json["counts"] == {"rows": 8, "shown": 8, "quoted": 8, "refused": 0, "cannot_be_bought": 0}


def test_each_row_is_a_single_quote(beds, client):
    for row in beds.json["rows"]:
        address = (
            f"/v1/designs/{row['design']}/quote?price_book={row['price_book']}&mattress={row['options']['mattress']}"
        )
        quote = client.get(address).json
        assert row["total"] == quote["totals"]["total"]
        assert row["revision"] == quote["price_book"]["revision"]
        assert row["mass_kg"] == quote["frame"]["mass_kg"]
        assert row["hands_on_minutes"] == quote["hands_on_minutes"]


def test_a_row_whose_quote_was_made_before_is_not_worked_out_again(beds):
    client = create_app(Settings()).test_client()
    before = _worked_out(client)
    for book, mattress in (("sample-inch", "queen"), ("sample-metric", "twin")):
        assert client.get(f"/v1/designs/low-platform/quote?price_book={book}&mattress={mattress}").status_code == 200
    assert _worked_out(client) - before == 2
    assert client.get(f"/v1/comparisons?{BED}&baseline=0&sort=total").data == beds.data
    assert _worked_out(client) - before == 8
    assert client.get(f"/v1/comparisons.csv?{BED}&sort=-total").status_code == 200
    posted = client.post("/v1/comparisons", json={**BODY, "baseline": 0, "sort": "total"})
    assert posted.data == beds.data
    assert _worked_out(client) - before == 8, "neither another order nor another form makes quotes anew"
    assert client.get(f"/v1/comparisons?{BED}&quantity=2&kerf=3.5mm").status_code == 200
    assert _worked_out(client) - before == 16


def _worked_out(client):
    """How many quotes were worked out."""
    told = client.get("/metrics").text
    return sum(float(count) for count in re.findall(r"^sawbill_quotes_total\{.*?\} (.+)$", told, re.M))


def test_rows_are_sorted_and_held_against_the_baseline_within_a_currency(beds):
    rows = beds.json["rows"]
    assert [row["currency"] for row in rows] == ["USD"] * 4 + ["EUR"] * 4
    for currency in ("USD", "EUR"):
        totals = [float(row["total"]) for row in rows if row["currency"] == currency]
        assert totals == sorted(totals)
    base = next(row for row in rows if row["row"] == 0)
    for row in rows:
        if row["currency"] == "USD":
            difference = float(row["total"]) - float(base["total"])
            assert row["difference"]["total"] == f"{difference:.2f}"
        else:
            assert row["difference"]["total"] is None
        assert row["difference"]["boards"] == row["boards"] - base["boards"]
    best = [row["row"] for row in rows if "total" in row["best_in"]]
    assert best == [rows[0]["row"], rows[4]["row"]]


def test_a_body_and_an_address_ask_for_the_same(beds, client):
    posted = client.post("/v1/comparisons", json={**BODY, "baseline": {"design": "slatted-bed"}, "sort": "total"})
    assert posted.status_code == 200
    assert posted.data == beds.data
    assert posted.headers["Cache-Control"] == "no-store"


def test_all_that_a_body_may_say_an_address_may_say_too(client):
    more = "quantity=1,2&units=metric&kerf=3mm&spare_boards=1&ceiling=8ft&most=boards:40,waste:90%25&least=boards:1"
    asked = f"designs=bench&price_book=sample-inch&judge_by=total,mass&{more}"
    body = {
        "designs": ["bench"], "price_books": ["sample-inch"], "quantities": [1, 2], "units": "metric",
        "shop": {"kerf": "3 mm", "spare_boards": 1}, "site": {"ceiling": "8 ft"}, "judge_by": ["total", "mass"],
        "filter": {"boards": {"least": 1, "most": 40}, "waste": {"most": "90 %"}},
    }  # fmt: skip
    by_address, by_body = client.get(f"/v1/comparisons.json?{asked}"), client.post("/v1/comparisons", json=body)
    assert by_address.status_code == 200
    assert by_address.data == by_body.data
    assert "mm" in by_address.json["rows"][0]["longest_piece"]["text"]


def test_what_the_caller_holds_already_is_not_made_again(client, beds, monkeypatch):
    tag = beds.headers["ETag"]
    assert not tag.startswith("W/")

    def refuse(*_):
        raise AssertionError("a row was made")

    monkeypatch.setattr("sawbill.web.work.comparing.compare", refuse)
    again = client.get(f"/v1/comparisons?{BED}&baseline=0&sort=total", headers={"If-None-Match": tag})
    assert (again.status_code, again.data, again.headers["ETag"]) == (304, b"", tag)
    assert "Accept" in again.headers["Vary"]


def test_another_wish_another_form_or_other_values_have_another_tag(client):
    few = "designs=bench&price_book=sample-inch"
    addresses = [f"?{few}", f"?{few}&sort=total", f"?{few}&quantity=2", f".csv?{few}", f".csv?{few}&excel=1"]
    tags = [client.get(f"/v1/comparisons{address}").headers["ETag"] for address in addresses]
    assert len(set(tags)) == len(tags)
    assert "ETag" not in client.get(f"/v1/comparisons.ndjson?{few}").headers


def test_the_same_request_gives_the_same_bytes(beds, client):
    assert client.get(f"/v1/comparisons?{BED}&baseline=0&sort=total").data == beds.data


def test_a_row_that_fails_says_why_and_the_others_stand(client, holds):
    answer = client.get("/v1/comparisons?designs=low-platform,bench&mattress=twin,quen&price_book=sample-inch").json
    holds("Comparison", answer)
    assert [(row["label"], row["status"], row["left_out"]) for row in answer["rows"]] == [
        ("low-platform", "quoted", []), ("low-platform", "refused", []), ("bench", "quoted", ["mattress"]),
    ]  # fmt: skip
    (reason,) = answer["rows"][1]["reasons"]
    assert reason["code"] == "unknown-mattress" and "queen" in reason["detail"]
    assert answer["rows"][1]["total"] is None


def test_a_filter_leaves_rows_out_and_says_how_many_there_are(beds, client):
    most = sorted(float(row["total"]) for row in beds.json["rows"])[1]
    answer = client.get(f"/v1/comparisons?{BED}&most=total:{most:.2f}").json
    assert (answer["counts"]["rows"], answer["counts"]["shown"], len(answer["rows"])) == (8, 2, 2)


# ---- forms


def test_a_sheet_has_a_row_each_and_a_column_for_every_option(client, beds):
    answer = client.get(f"/v1/comparisons.csv?{BED}&baseline=0&sort=total")
    assert answer.status_code == 200 and answer.mimetype == "text/csv"
    rows = list(csv.DictReader(io.StringIO(answer.get_data(as_text=True))))
    told = beds.json["rows"]
    assert [row["total"] for row in rows] == [row["total"] for row in told]
    assert [row["option_mattress"] for row in rows] == [row["options"]["mattress"] for row in told]
    assert [row["currency"] for row in rows] == [row["currency"] for row in told]
    assert [row["difference"] for row in rows] == [row["difference"]["total"] or "" for row in told]
    assert list(rows[0]) == [column.name for column in comparison_table(beds.json).columns]
    assert client.get(f"/v1/comparisons.csv?{BED}&excel=1").data[:3] == b"\xef\xbb\xbf"


def test_a_wrong_word_for_how_it_is_written_is_refused_with_whatever_else_is_wrong(client):
    asked = client.get(f"/v1/comparisons.csv?{BED}&excel=yes&quantity=0")
    posted = client.post("/v1/comparisons.csv?excel=yes", json=BODY)
    assert asked.status_code == posted.status_code == 422
    for answer in (asked, posted):
        assert 'excel is "yes"; it may be 1 or 0' in next(csv.reader([answer.text]))[0]
    assert "a quantity is 0" in asked.text


def test_no_label_is_a_formula_in_a_sheet(client):
    body = {"designs": [{"design": "bench", "label": "=1+2"}], "price_books": ["sample-inch"]}
    answer = client.post("/v1/comparisons.csv", json=body)
    (row,) = csv.DictReader(io.StringIO(answer.get_data(as_text=True)))
    assert row["label"] == "'=1+2"


@pytest.mark.parametrize(
    ("accept", "mimetype"),
    [("text/csv", "text/csv"), ("application/x-ndjson", "application/x-ndjson"), ("*/*", "application/json")],
)
def test_the_form_is_the_one_accepted_best(client, accept, mimetype):
    answer = client.get("/v1/comparisons?designs=bench&price_book=sample-inch", headers={"Accept": accept})
    assert (answer.status_code, answer.mimetype) == (200, mimetype)


def test_a_form_that_is_not_to_be_had_is_said(problem_of):
    asked = "/v1/comparisons?designs=bench&price_book=sample-inch"
    assert problem_of("GET", asked, headers={"Accept": "image/png"})["status"] == 406


def test_rows_come_one_by_one_and_then_how_they_stand(client, beds):
    answer = client.get(f"/v1/comparisons.ndjson?{BED}&baseline=0&sort=total")
    assert answer.mimetype == "application/x-ndjson"
    start, *rows, end = [json.loads(line) for line in answer.get_data(as_text=True).splitlines()]
    assert (start["event"], start["rows"]) == ("start", 8)
    assert [(row["event"], row["done"], row["of"]) for row in rows] == [("row", n, 8) for n in range(1, 9)]
    assert end["event"] == "end"
    by_number = {row["row"]["row"]: row["row"] for row in rows}
    assert [{**by_number[each["row"]], **each} for each in end["rows"]] == beds.json["rows"]
    assert end["counts"] == beds.json["counts"]


def test_the_first_rows_are_sent_before_the_last_are_made(client):
    prices = {"price_books": ["sample-inch"], "options": {"seat_length": [f"{n} in" for n in range(30, 70)]}}
    option = next(o.name for o in designs()["bench"].options if o.kind == "length")
    prices["options"] = {option: prices["options"].pop("seat_length")}
    answer = client.post("/v1/comparisons.ndjson", json={"designs": ["bench"], **prices}, buffered=False)
    lines = iter(answer.response)
    assert json.loads(next(lines))["event"] == "start"
    assert json.loads(next(lines))["done"] == 1
    answer.close()  # and a caller that goes away ends it


def test_a_fault_of_ours_on_the_way_ends_the_rows_with_a_problem(client, monkeypatch):
    from sawbill.web.work import comparing

    def break_down(*_):
        yield from ()
        raise RuntimeError("secret")

    monkeypatch.setattr(comparing, "compare", break_down)
    answer = client.get("/v1/comparisons.ndjson?designs=bench&price_book=sample-inch")
    last = json.loads(answer.get_data(as_text=True).splitlines()[-1])
    assert last["event"] == "problem" and last["problem"]["type"] == "/problems/internal-error"
    assert "secret" not in answer.get_data(as_text=True)


# ---- limits and faults


def test_as_many_rows_as_are_allowed_at_once_are_sent_and_one_more_is_not(client, problem_of):
    option = next(o.name for o in designs()["bench"].options if o.kind == "length")

    def body(rows):  # every value is out of range, which is quick
        own = [{"design": "bench", "label": f"{n}", "options": {option: "1 km"}} for n in range(rows - 50)]
        swept = {option: [f"{n} km" for n in range(2, 52)]}
        return {"designs": ["bench", *own], "options": swept, "price_books": ["sample-inch"]}

    answer = client.post("/v1/comparisons", json=body(MOST_AT_ONCE)).json
    assert (answer["counts"]["rows"], answer["counts"]["refused"]) == (MOST_AT_ONCE, MOST_AT_ONCE)
    (error,) = problem_of("POST", "/v1/comparisons", json=body(MOST_AT_ONCE + 1))["errors"]
    assert error["code"] == "too-many-rows"
    for word in (f"{MOST_AT_ONCE + 1} rows", f"up to {MOST_AT_ONCE}", "/v1/comparisons.ndjson", "500"):
        assert word in error["detail"]
    lines = client.post("/v1/comparisons.ndjson", json=body(MOST_AT_ONCE + 1)).get_data(as_text=True).splitlines()
    assert json.loads(lines[-1])["counts"]["rows"] == MOST_AT_ONCE + 1


def test_more_rows_than_there_may_be_are_refused_in_every_form(problem_of):
    body = {
        "designs": ["bench"], "price_books": ["sample-inch", "sample-metric"], "quantities": [*range(1, 51)],
        "options": {designs()["bench"].options[0].name: [f"{n} in" for n in range(6)]},
    }  # fmt: skip
    for address in ("/v1/comparisons", "/v1/comparisons.ndjson"):
        (error,) = problem_of("POST", address, json=body)["errors"]
        assert error["code"] == "too-many-rows" and "600 rows; it may have 500" in error["detail"]


def test_every_fault_of_an_address_is_told_by_its_parameter_with_the_nearest_name(problem_of):
    asked = (
        "designs=lw-platform,bench&mattres=twin&price_book=sample-inc,sample-metric&quantity=0&srt=total&kerf=1&kerf=2"
        "&most=total:x,totl:3&judge_by=wast"
    )
    problem = problem_of("GET", f"/v1/comparisons?{asked}")
    told = {error["parameter"]: error["detail"] for error in problem["errors"]}
    assert set(told) == {
        "designs", "mattres", "price_book", "quantity", "srt", "kerf", "most", "judge_by",
    }  # fmt: skip
    for parameter, word in [
        ("designs", "low-platform"), ("price_book", "sample-inch"), ("srt", "sort"), ("kerf", "2 times"),
        ("judge_by", "waste"), ("quantity", "1 to 1000"),
    ]:  # fmt: skip
        assert word in told[parameter]


@pytest.mark.parametrize("bound", ["total=90", ":90", "90"])
def test_a_bound_without_its_name_or_colon_is_told_how_it_is_written(problem_of, bound):
    problem = problem_of("GET", f"/v1/comparisons?designs=bench&price_book=sample-inch&most={bound}")
    (error,) = problem["errors"]
    assert (error["parameter"], error["code"]) == ("most", "not-a-bound") and "such as total:300.00" in error["detail"]


@pytest.mark.parametrize("path", ["comparisons?designs=bench&length=40in", "designs/bench/proposal?open=length"])
def test_a_bound_that_is_given_twice_is_told_and_none_of_them_is_dropped(problem_of, path):
    problem = problem_of("GET", f"/v1/{path}&price_book=sample-inch&most=total:90,boards:20,total:95")
    (error,) = problem["errors"]
    assert (error["parameter"], error["detail"]) == ("most", "most has total twice; give it once")


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"designs": None}, "/designs"),
        ({"designs": [3]}, "/designs/0"),
        ({"designs": [{"design": "bench", "option": {}}]}, "/designs/0/option"),
        ({"options": {"mattress": "twin"}}, "/options/mattress"),
        ({"options": {"mattress": []}}, "/options/mattress"),
        ({"options": []}, "/options"),
        ({"price_books": []}, "/price_books"),
        ({"price_books": ["sample-inch", "sample-inch"]}, "/price_books/1"),
        ({"price_books": [{"title": 3}]}, "/price_books/0/title"),
        ({"baseline": True}, "/baseline"),
        ({"baseline": {"row": 3}}, "/baseline/row"),
        ({"filter": {"total": {"mst": "1"}}}, "/filter/total/mst"),
        ({"filter": {"total": {"most": []}}}, "/filter/total/most"),
        ({"filter": {"totl": {}}}, "/filter/totl"),
        ({"shop": {"kerf": "1 km"}}, "/shop/kerf"),
        ({"wishes": 1}, "/wishes"),
    ],
)  # fmt: skip
def test_each_fault_of_a_body_is_placed(problem_of, change, pointer):
    problem = problem_of("POST", "/v1/comparisons", json={**BODY, **change})
    assert problem["status"] == 422
    assert pointer in {error["pointer"] for error in problem["errors"]}


def test_a_price_book_that_has_changed_is_told(problem_of):
    body = {**BODY, "price_books": ["sample-inch@0123456789abcdef"]}
    assert problem_of("POST", "/v1/comparisons", json=body)["type"] == "/problems/price-book-changed"


def test_an_inline_price_book_is_compared_with_a_stored_one(client):
    own = client.get("/v1/price-books/sample-inch").json
    own = {key: value for key, value in own.items() if key not in ("name", "revision")}
    for offer in own["lumber"]:
        offer["price"] = f"{float(offer['price']) * 2:.2f}"
    answer = client.post(
        "/v1/comparisons", json={"designs": ["bench"], "price_books": ["sample-inch", own], "baseline": 0}
    )
    assert answer.status_code == 200, answer.json
    first, second = answer.json["rows"]
    assert second["price_book"] == "inline"
    assert float(second["lumber"]) > float(first["lumber"])
    assert second["dominated_by"] == 0


def test_what_an_address_says_is_what_is_described(description):
    for suffix in ("", ".json", ".csv", ".xlsx", ".txt", ".html", ".ndjson"):
        operation = description["paths"][f"/v1/comparisons{suffix}"]["get"]
        names = {each["name"] for each in operation["parameters"] if "$ref" not in each}
        assert {*COMPARISON, "price_book", "quantity", "options"} <= names
        text = json.dumps(operation)
        assert str(MOST_AT_ONCE) in text and "500" in text, "limits are said up front"
    described = description["components"]["schemas"]["ComparisonRequest"]["properties"]
    assert set(description["components"]["schemas"]["FilterAsked"]["properties"]) == set(CRITERIA)
    named = described["judge_by"]["items"]["$ref"].rpartition("/")[2]
    assert set(description["components"]["schemas"][named]["enum"]) == set(CRITERIA)


def test_the_example_of_a_request_is_answered(client, description):
    content = description["paths"]["/v1/comparisons"]["post"]["requestBody"]["content"]["application/json"]
    assert client.post("/v1/comparisons", json=content["example"]).status_code == 200


def test_no_option_has_the_name_of_a_parameter():
    check_names(designs().values())
