import jsonschema
import pytest

from sawbill.trade.lengths import parse_length

QUOTE = "/v1/designs/slatted-bed/quote"


def test_the_designs_are_listed(client, holds):
    answer = client.get("/v1/designs").json
    holds("DesignList", answer)
    assert "slatted-bed" in [design["name"] for design in answer["designs"]]


@pytest.fixture
def bed(client):
    return client.get("/v1/designs/slatted-bed").json


def options(design):
    return {option["name"]: option for option in design["options"]}


def test_a_design_tells_all_that_may_be_asked(client, holds, bed):
    holds("Design", bed)
    assert bed["references"]
    found = options(bed)
    height = found["clear_height"]
    assert (height["kind"], height["unit"]) == ("length", "length with its unit")
    assert (
        parse_length(height["least"]["text"])
        <= parse_length(height["default"]["text"])
        <= parse_length(height["most"]["text"])
    )
    assert "queen" in found["mattress"]["choices"]
    assert found["rail"]["role"] == "rail"
    assert found["rail"]["default"] is None, "without a price book there is no usual section"
    assert all(option["help"] for option in bed["options"])


def test_defaults_are_those_of_the_price_book(client):
    metric = options(client.get("/v1/designs/slatted-bed?price_book=sample-metric").json)
    assert metric["rail"]["default"] == "45x145"
    assert metric["mattress"]["default"] == "eu-140"
    assert metric["clear_height"]["default"]["text"] == "200 mm"
    assert options(client.get("/v1/designs/slatted-bed?units=metric").json)["mattress"]["default"] == "eu-140"


def test_the_json_schema_takes_every_default_and_refuses_what_is_unknown(client):
    bed = client.get("/v1/designs/slatted-bed?price_book=sample-inch").json
    values = {
        name: option["default"]["text"] if option["kind"] == "length" else option["default"]
        for name, option in options(bed).items()
    }
    jsonschema.Draft202012Validator.check_schema(bed["schema"])
    jsonschema.validate(values, bed["schema"])
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"clear_hight": "8 in"}, bed["schema"])
    assert set(bed["schema"]["properties"]) == set(values)


def test_every_default_may_be_asked_for_by_name(client, queen):
    bed = client.get("/v1/designs/slatted-bed?price_book=sample-inch").json
    query = {
        name: option["default"]["text"] if option["kind"] == "length" else str(option["default"]).lower()
        for name, option in options(bed).items()
    }
    answer = client.get(QUOTE, query_string={"price_book": "sample-inch", **query})
    assert {**answer.json, "drawings": []} == {**queen.json, "drawings": []}, "but for what their addresses ask"


def test_an_unknown_price_book_is_told_with_the_nearest(problem_of):
    problem = problem_of("GET", "/v1/designs/slatted-bed?price_book=sample-inc")
    (error,) = problem["errors"]
    assert error["parameter"] == "price_book"
    assert "did you mean sample-inch" in error["detail"]


def test_a_quote_by_address_is_the_one_by_request(client, queen):
    line = {"label": "Knock-down slatted bed", "design": "slatted-bed", "options": {"mattress": "queen"}}
    posted = client.post("/v1/quotes", json={"price_book": "sample-inch", "lines": [line]})
    assert posted.json["lines"][0].pop("label") == queen.json["lines"][0].pop("label")
    assert posted.json["totals"] == queen.json["totals"]
    assert posted.json["cutting_plan"] == queen.json["cutting_plan"]


def test_the_suffix_json_changes_nothing(client, queen):
    assert client.get(f"{QUOTE}.json?price_book=sample-inch&mattress=queen").data == queen.data


def test_how_long_the_engine_took_stands_in_a_header_alone(queen):
    assert queen.headers["Server-Timing"].startswith("engine;dur=")
    assert queen.headers["Cache-Control"] == "private, no-cache"
    assert b"dur" not in queen.data


def test_shop_settings_are_parameters_too(client, queen):
    answer = client.get(
        f"{QUOTE}?price_book=sample-inch&mattress=queen&kerf=0in&end_trim=0in&longest_board=12ft&spare_boards=1"
    ).json
    boards = [row for row in answer["shopping_list"] if row["kind"] == "lumber"]
    assert max(row["length"]["mm"] for row in boards) <= 12 * 304.8
    assert {row["section"]: row["spare"] for row in boards if row["spare"]} == {"2x4": 1, "2x6": 1}
    assert all(board["kerf"]["mm"] == 0 == board["trim"]["mm"] for board in answer["cutting_plan"])


def test_the_site_is_parameters_too(client, problem_of):
    site = "ceiling=8ft&door_width=30in&one_person=20kg&vehicle_length=4ft"
    answer = client.get(f"{QUOTE}?price_book=sample-inch&mattress=queen&{site}").json
    checks = {check["rule"]: check for check in answer["checks"]}
    assert checks["one-person"]["required"] == "<= 44.1 lb", "20 kg"
    assert checks["door-width"]["required"] == "<= 30 in"
    problem = problem_of("GET", f"{QUOTE}?price_book=sample-inch&ceiling=8&indoors=so")
    assert [error["parameter"] for error in problem["errors"]] == ["ceiling", "indoors"]


def test_the_metric_book_quotes_its_own_sections_with_no_option_set(client, holds):
    answer = client.get(f"{QUOTE}?price_book=sample-metric").json
    holds("Quote", answer)
    assert answer["units"] == "metric"
    assert answer["price_book"]["currency"] == "EUR"
    assert answer["price_book"]["prices_include_tax"] is True
    totals = {name: int(amount.replace(".", "")) for name, amount in answer["totals"].items()}
    assert totals["total"] == totals["lumber"] + totals["hardware"] + totals["supplies"] + totals["trips"]


def test_the_page_shows_what_the_quote_says(client, queen):
    page = client.get(f"{QUOTE}.html?price_book=sample-inch&mattress=queen", headers={"Accept": "text/html"})
    quote = queen.json
    assert page.headers["Server-Timing"].startswith("engine;dur=")
    assert f"USD {quote['totals']['total']}" in page.text
    for row in quote["shopping_list"]:
        assert row["item_code"] in page.text and row["amount"] in page.text
    for cut in quote["cut_list"]:
        assert cut["name"] in page.text and cut["length"]["text"] in page.text
    assert page.text.count('<svg class="bar"') == len(quote["cutting_plan"])
    assert ": as it stands</title>" in page.text
    assert all(row["address"].replace("&", "&amp;") in page.text for row in quote["drawings"])
    for warning in quote["warnings"]:
        assert warning["message"] in page.text
    assert all(check["message"].replace("'", "&#39;") in page.text for check in quote["checks"])


def test_what_is_asked_is_escaped_on_the_page(client):
    query = "price_book=sample-inch&mattress=queen%20x%20%3Cscript%3E"
    page = client.get(f"{QUOTE}.html?{query}", headers={"Accept": "text/html"})
    assert page.status_code == 422
    assert "<script>" not in page.text and "&lt;script" in page.text
