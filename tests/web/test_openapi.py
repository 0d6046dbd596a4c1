import json
import re

import pytest
from openapi_spec_validator import validate

NOT_DESCRIBED = {
    "/", "/style.css", "/problems/<kind>", "/openapi.json", "/openapi.html",
    "/openapi/<part>.html", "/openapi/schemas/<name>.html",
    "/guide", "/guide/<name>", "/guide/<name>.md", "/guide/pictures/<name>.svg",
    "/page.js", "/designs/<design>", "/designs/<design>/picture.svg", "/cutting", "/compare",
}  # fmt: skip
"""Pages for people, and the description itself."""
OWN = {"signing_in", "overview", "own_quotes", "own_changes", "own_books", "own_jobs"}
"""Pages of what one person keeps: programs have the same at addresses that are described."""


def properties(schema, path=""):
    """Every property of a schema, with its path."""
    if isinstance(schema, dict):
        for key, value in schema.items():
            if key == "properties":
                yield from ((f"{path}.{name}", each) for name, each in value.items())
            yield from properties(value, f"{path}.{key}")
    elif isinstance(schema, list):
        for each in schema:
            yield from properties(each, path)


def schemas_in(value, path=""):
    """Every schema within something, with its path; none of the examples."""
    if isinstance(value, dict):
        yield path, value
        for key, each in value.items():
            if key not in ("example", "examples"):
                yield from schemas_in(each, f"{path}/{key}")
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from schemas_in(each, f"{path}/{number}")


def operations(description):
    return [op for path in description["paths"].values() for key, op in path.items() if key != "parameters"]


def answers(description):
    own = (each for op in operations(description) for each in op["responses"].values() if "$ref" not in each)
    return [*own, *description["components"]["responses"].values()]


def test_the_description_is_valid_openapi(description):
    assert description["openapi"] == "3.1.0"
    validate(description)


def test_every_route_is_described_and_every_description_is_a_route(app, description):
    routes = {
        (re.sub(r"<(\w+)>", r"{\1}", rule.rule), method.lower())
        for rule in app.url_map.iter_rules()
        if rule.rule not in NOT_DESCRIBED and rule.endpoint.partition(".")[0] not in OWN
        for method in rule.methods - {"HEAD", "OPTIONS"}
    }
    described = {
        (path, method) for path, each in description["paths"].items() for method in each if method != "parameters"
    }
    assert described == routes


def test_an_address_takes_the_methods_that_are_described_and_no_other(app, description):
    shared, adapter = description["components"]["parameters"], app.url_map.bind("localhost")
    for path, each in description["paths"].items():
        given = [shared[one["$ref"].rpartition("/")[2]] if "$ref" in one else one for one in each.get("parameters", ())]
        address = path.format(**{one["name"]: one["example"] for one in given})
        taken = {method.lower() for method in adapter.allowed_methods(address)} - {"head", "options"}
        assert taken == set(each) - {"parameters"}, path


@pytest.mark.parametrize(
    ("method", "address", "allowed"),
    [
        ("PUT", "/v1/price-books/workshop.json", "GET"),
        ("DELETE", "/v1/quotes/1f0c9a5be2d47a8036cd.xlsx", "GET"),
        ("GET", "/v1/quotes/1f0c9a5be2d47a8036cd/requote", "POST"),
    ],
)
def test_a_form_of_a_thing_is_not_a_thing_of_that_name(problem_of, client, method, address, allowed):
    assert problem_of(method, address)["type"] == "/problems/method-not-allowed"
    assert allowed in client.open(address, method=method).headers["Allow"].replace(" ", "").split(",")
    assert method not in client.open(address, method=method).headers["Allow"]


def test_every_field_says_what_it_is_with_an_example(description):
    found = list(properties(description["components"]["schemas"]))
    assert len(found) > 150
    for path, field in found:
        assert field.get("description"), path
        holds_others = {"$ref", "anyOf", "items", "const"} & set(field)
        assert field.get("examples") or holds_others, path


def test_every_schema_says_what_it_is_and_is_called_otherwise_than_what_it_holds(description):
    for name, schema in description["components"]["schemas"].items():
        assert schema["description"].endswith("."), name
        held = {each.title().replace("_", "") for each in schema.get("properties", ())}
        assert name not in held, "a client that has one variable for both mistakes one for the other"


def test_a_choice_that_stands_in_several_places_or_may_be_null_has_a_name(description):
    places = {}
    for path, field in schemas_in(description):
        if "enum" in field:
            places.setdefault(tuple(field["enum"]), []).append(path)
    assert {path for paths in places.values() if len(paths) > 1 for path in paths} == set()
    assert not [paths for values, paths in places.items() if None in values or len(values) < 2]


def test_every_list_says_what_it_holds_and_every_object_what_else_may_stand_in_it(description):
    for path, field in schemas_in(description):
        if "array" in field.get("type", ()):
            assert "items" in field, path
        if field.get("type") == "object":
            assert "additionalProperties" in field, path


def test_a_body_that_is_no_text_is_told_to_be_binary(description):
    found = {}
    for each in (*answers(description), *(op["requestBody"] for op in operations(description) if "requestBody" in op)):
        for kind, media in each.get("content", {}).items():
            found.setdefault(kind, []).append(media["schema"].get("format"))
    text = {"application/json", "application/problem+json", "application/x-ndjson", "image/svg+xml"}
    assert {kind for kind, told in found.items() if set(told) == {"binary"}} == {
        kind for kind in found if not kind.startswith("text/")
    } - text
    assert {each for kind in text for each in found[kind]} == {None}


def test_what_addresses_answer_alike_is_told_once(description):
    told = [json.dumps(each) for op in operations(description) for each in op["responses"].values()]
    problems = [each for each in told if "$ref" in each]
    assert len(problems) > 1000 and not any("problem+json" in each for each in told)
    assert len(description["components"]["responses"]) < 60


def test_amounts_say_their_currency_and_numbers_their_unit(description):
    schemas = description["components"]["schemas"]
    for name in ("Totals", "PlanTotals"):
        for amount in schemas[name]["properties"].values():
            assert "[the price book's currency]" in amount["description"]
    for path, field in properties(schemas):
        if "number" in field.get("type", ()) and "mm" not in path.rpartition(".")[2]:
            assert re.search(r"\[.+\]", field["description"]), path


def test_every_operation_tells_its_problems_and_has_its_own_name(description):
    operations = [
        (address, op)
        for address, path in description["paths"].items()
        for key, op in path.items()
        if key != "parameters"
    ]
    assert len({op["operationId"] for _, op in operations}) == len(operations)
    shared = description["components"]["responses"]
    for address, operation in operations:
        assert operation["summary"]
        assert {"400", "405", "422", "500"} <= set(operation["responses"])
        for status, told in operation["responses"].items():
            response = shared[told["$ref"].rpartition("/")[2]] if "$ref" in told else told
            assert response["description"]
            if status >= "4" and address.endswith((".txt", ".csv")):
                assert list(response["content"]) == ["text/plain"], "a line, for a cell"
            elif status >= "4":
                assert response["content"]["application/problem+json"]["schema"] == {
                    "$ref": "#/components/schemas/Problem"
                }


def test_requests_refuse_what_is_not_described(description):
    asked = [name for name in description["components"]["schemas"] if name.endswith("Asked")]
    assert len(asked) >= 5
    for name in [*asked, "QuoteRequest", "CuttingPlanRequest", "OnHand"]:
        assert description["components"]["schemas"][name]["additionalProperties"] is False


@pytest.mark.parametrize("path", ["/v1/quotes", "/v1/cutting-plans"])
def test_the_example_of_a_request_is_answered(client, description, path):
    content = description["paths"][path]["post"]["requestBody"]["content"]["application/json"]
    assert client.post(path, json=content["example"]).status_code == 200


def test_what_a_gap_is_and_what_is_credited_are_told_apart(description):
    told = description["components"]["schemas"]["Proof"]["properties"]
    assert "extra_for_fewer_setups" in told["gap"]["description"]
    assert "offcut_value" in told["credited"]["description"]


def test_the_parameters_of_a_quote_are_those_that_are_read(description, asked_at):
    from sawbill.web.http.queries import PRICED, QUOTE, TOLD

    for suffix in ("", ".json", ".html", ".xlsx", ".txt"):
        path = description["paths"][f"/v1/designs/{{design}}/quote{suffix}"]
        parameters = asked_at(path["get"])
        names = {each["name"] for each in parameters}
        beside = {each.name for each in (*PRICED, *TOLD)}
        assert names == {*QUOTE, *beside, "options", *(["on_error"] if suffix == ".txt" else [])}
        assert all(each["description"] and each["example"] for each in parameters)


@pytest.mark.parametrize("path", ["/openapi.json", "/v1/designs"])
def test_what_is_served_is_the_same_each_time(client, path):
    assert client.get(path).data == client.get(path).data
