"""Steps, tools and times over HTTP: they add up, take a maker's own rates, and stand on the page."""

import pytest


def test_the_times_of_the_steps_add_up_and_every_tool_has_a_use(queen):
    quote = queen.json
    assert [step["number"] for step in quote["steps"]] == list(range(1, len(quote["steps"]) + 1))
    for end in ("least", "most"):
        assert quote["waiting_minutes"][end] == sum(step["waiting_minutes"][end] for step in quote["steps"])
        told = [quote[name][end] for name in ("hands_on_minutes", "finishing_minutes", "taking_apart_minutes")]
        assert sum(told) == sum(step["hands_on_minutes"][end] for step in quote["steps"])
        assert quote["elapsed_minutes"][end] < quote["waiting_minutes"][end] + sum(told), "two work at the same time"
    assert all(tool["quantity"] >= 1 and tool["use"] for tool in quote["tools"])
    bit = next(tool for tool in quote["tools"] if tool["tool"] == "drill bit")
    assert bit["size"] == "13/32 in"


def test_a_makers_own_rates_are_taken(client, body):
    rates = {"saw_setup": 0, "mark": "30 s", "cut": "1.5 to 2 min"}
    quote = client.post("/v1/quotes", json={**body, "rates": rates}).json
    assert quote["hands_on_minutes"] == {"least": 6, "most": 8}, "3 parts of 2 to 2.5 min, halves up"
    assert [step["title"] for step in quote["steps"]] == ["Measure, mark and cut"]


def test_a_cutting_plan_has_no_steps_and_takes_no_rates(client, problem_of):
    pieces = {"price_book": "sample-inch", "pieces": [{"section": "2x4", "length": "30 in"}]}
    assert "steps" not in client.post("/v1/cutting-plans", json=pieces).json
    problem = problem_of("POST", "/v1/cutting-plans", json={**pieces, "rates": {}})
    assert [(error["pointer"], error["code"]) for error in problem["errors"]] == [("/rates", "unknown-key")]


@pytest.mark.parametrize(("rates", "code"), [([], "not-an-object"), ("2 min", "not-an-object"), (None, "null")])
def test_rates_that_are_no_object_are_refused(problem_of, body, rates, code):
    problem = problem_of("POST", "/v1/quotes", json={**body, "rates": rates})
    assert [(error["pointer"], error["code"]) for error in problem["errors"]] == [("/rates", code)]


def test_every_faulty_rate_is_told_with_its_pointer_and_with_the_other_faults(problem_of, body):
    rates = {"drilll": 1, "cut": {"least": 1}, "sand": "soon"}
    problem = problem_of("POST", "/v1/quotes", json={**body, "rates": rates, "units": "cubits"})
    assert {error["pointer"]: error["code"] for error in problem["errors"]} == {
        "/units": "not-a-choice", "/rates/drilll": "unknown-rate", "/rates/cut": "not-a-time",
        "/rates/sand": "not-a-time",
    }  # fmt: skip


def test_lengths_in_the_steps_are_in_the_units_asked_for(client):
    quote = client.get("/v1/designs/slatted-bed/quote?price_book=sample-inch&units=metric").json
    drill = next(step for step in quote["steps"] if step["title"] == "Drill")
    assert " mm from the head end" in drill["text"] and " in from the head end" not in drill["text"]
    assert "7/16 in" in drill["text"], "a bit is named in the system of its bolt"


def test_the_page_tells_the_steps(client):
    page = client.get("/v1/designs/slatted-bed/quote.html?price_book=sample-inch").text
    assert "<h2>Steps</h2>" in page
    assert "Put no load on a glued part for 24 h" in page
