"""Calculations: asked for by rule, given as data, page, text and table, their sources once."""

from __future__ import annotations

import pytest

BED = "/v1/designs/slatted-bed"
ASKED = "?price_book=sample-inch&mattress=queen&trace=bolts,bending"


def test_a_quote_has_the_calculations_that_are_asked_for(client):
    quote = client.get(f"{BED}/quote.json{ASKED}").json
    assert [(each["rule"], each["standard"]) for each in quote["calculations"]] == [
        ("bending", "NDS"), ("bolts", "NDS"),
    ]  # fmt: skip
    checks = {each["rule"]: each for each in quote["checks"]}
    for sheet in quote["calculations"]:
        last = sheet["lines"][-1]
        assert (last["symbol"], last["unit"]) == ("used", "share of 1")
        assert checks[sheet["rule"]]["utilisation"] == pytest.approx(last["value"], abs=1e-3)
        assert sheet["part"] in checks[sheet["rule"]]["message"] and sheet["holds"]
    named = {line["source"] for sheet in quote["calculations"] for line in sheet["lines"]} - {None}
    told = [source["name"] for source in quote["calculation_sources"]]
    assert set(told) == named and len(told) == len(named), "each once"


def test_a_quote_that_asks_for_none_has_none(client):
    quote = client.get(f"{BED}/quote.json?price_book=sample-inch&mattress=queen").json
    assert (quote["calculations"], quote["calculation_sources"]) == ([], [])


def test_all_rules_may_be_asked_for_and_an_unknown_one_is_refused(client):
    whole = client.get(f"{BED}/quote.json{ASKED.replace('bolts,bending', 'all')}").json
    used = [
        check["rule"] for check in whole["checks"] if check["source"].startswith("National") and check["utilisation"]
    ]
    told = {each["rule"] for each in whole["calculations"]}
    assert {"sag", "slender-post"} <= told <= {*used, "sag", "sway", "slender-post"}
    answer = client.get(f"{BED}/quote.json{ASKED},bolt")
    assert answer.status_code == 422
    [fault] = answer.json["errors"]
    assert fault["parameter"] == "trace" and "bolted-end" in fault["detail"]


def test_the_page_the_text_and_the_table_have_each_line(client):
    quote = client.get(f"{BED}/quote.json{ASKED}").json
    page = client.get(f"{BED}/quote.html{ASKED}").text
    text = client.get(f"{BED}/calculations.txt{ASKED}").text
    rows = client.get(f"{BED}/calculations.csv{ASKED}").text.splitlines()
    lines = [line for sheet in quote["calculations"] for line in sheet["lines"]]
    assert len(rows) == len(lines) + 1
    for line in lines:
        if line["formula"]:
            assert line["numbers"].replace("'", "&#39;") in page
    assert "bending yield strength of bolts" in text and "D \u00d7 tm \u00d7 Fem / (4 \u00d7 Kt)" in text


def test_one_number_of_a_calculation_goes_into_a_cell(client):
    quote = client.get(f"{BED}/quote.json{ASKED}").json
    value = quote["calculations"][1]["lines"][-1]["value"]
    told = client.get(f"{BED}/value/calculations.1.lines.{len(quote['calculations'][1]['lines']) - 1}.value.txt{ASKED}")
    assert float(told.text) == pytest.approx(value)


def test_on_the_page_each_check_leads_to_its_own_calculation(client):
    text = client.get(f"{BED}/quote.html{ASKED.replace('bolts,bending', 'all')}").text
    sheets = client.get(f"{BED}/quote.json{ASKED.replace('bolts,bending', 'all')}").json["calculations"]
    assert len(sheets) >= 8
    for i in range(len(sheets)):
        place = f"calculation-{i}"
        assert (text.count(f'href="#{place}"'), text.count(f'id="{place}"')) == (1, 1), place


def test_each_check_in_the_json_tells_where_its_calculation_is_and_how_to_ask_for_it(client):
    whole = client.get(f"{BED}/quote.json{ASKED.replace('bolts,bending', 'all')}").json
    led = [check for check in whole["checks"] if check["calculation"]]
    places = [check["calculation"].split("/") for check in led]
    assert {(first, name) for first, name, _ in places} == {("", "calculations")}
    assert sorted(int(number) for _, _, number in places) == list(range(len(whole["calculations"])))
    for check, (*_, number) in zip(led, places, strict=True):
        assert whole["calculations"][int(number)]["rule"] == check["rule"] == check["trace"]
    asked = client.get(f"{BED}/quote.json{ASKED}").json
    for check in asked["checks"]:
        assert bool(check["calculation"]) == (check["rule"] in ("bolts", "bending"))
        if check["trace"]:
            alone = client.get(f"{BED}/quote.json?price_book=sample-inch&mattress=queen&trace={check['trace']}").json
            assert {sheet["rule"] for sheet in alone["calculations"]} == {check["rule"]}


def test_the_trace_of_a_rule_that_is_not_met_or_of_another_line_leads_to_its_own(client):
    lines = [{"design": "bench"}, {"design": "shelf-unit"}]
    quote = client.post("/v1/quotes", json={"price_book": "sample-inch", "lines": lines, "trace": ["all"]}).json
    for check in quote["checks"]:
        if check["calculation"]:
            sheet = quote["calculations"][int(check["calculation"].rsplit("/", 1)[1])]
            assert (sheet["line"], sheet["rule"]) == (check["line"], check["rule"])
