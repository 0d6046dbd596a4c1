import pytest

from sawbill.asked.request import RequestFault
from sawbill.web.http.problems import Problem, parameter_name
from sawbill.web.http.queries import QUOTE, asked_units, parameters, quote_request


@pytest.fixture
def at(app):
    """Ask something of a query string."""

    def ask(query, what):
        with app.test_request_context(f"/?{query}"):
            return what()

    return ask


@pytest.fixture
def bed(app):
    return app.extensions["sawbill"].designs["slatted-bed"]


def test_known_parameters_are_read_each_once(at):
    assert at("units=inch&price_book=x%20y", lambda: parameters("units", "price_book")) == {
        "units": "inch",
        "price_book": "x y",
    }


@pytest.mark.parametrize(
    ("query", "code", "told"),
    [
        ("unit=inch", "unknown-parameter", "did you mean units?"),
        ("zzz=1", "unknown-parameter", "units"),
        ("units=inch&units=inch", "repeated", "2 times"),
    ],
)
def test_an_unknown_or_repeated_parameter_is_refused_by_name(at, query, code, told):
    with pytest.raises(Problem) as problem:
        at(query, lambda: parameters("units"))
    (error,) = problem.value.errors
    assert error["code"] == code
    assert error["parameter"] == query.partition("=")[0]
    assert told in error["detail"]


def test_units_are_a_word(at):
    assert at("", lambda: asked_units({})) is None
    assert asked_units({"units": "metric"}) == "metric"
    with pytest.raises(Problem):
        asked_units({"units": "Inch"})


def test_a_quote_s_query_is_the_request_it_stands_for(at, bed):
    query = (
        "price_book=sample-inch&quantity=2&units=metric&kerf=3mm&spare_boards=1&mattress=king&clear_height=8%20in"
        "&offcut_value=25%25&no_slivers=yes&ceiling=8ft&indoors=no&species=SPF&grades=No.2,%20No.1"
    )
    raw, faults = at(query, lambda: quote_request(bed))
    assert faults == []
    assert raw == {
        "price_book": "sample-inch",
        "units": "metric",
        "lines": [
            {
                "label": bed.title,
                "design": "slatted-bed",
                "options": {"mattress": "king", "clear_height": "8 in"},
                "quantity": 2,
            }
        ],
        "shop": {"kerf": "3mm", "spare_boards": 1, "offcut_value": "25%", "no_slivers": "yes"},
        "site": {"ceiling": "8ft", "indoors": "no"},
        "lumber": {"species": ["SPF"], "grades": ["No.2", "No.1"]},
    }


@pytest.mark.parametrize("text", ["two", "", "-1", "1.5", "1e3", "²", "9" * 10])
def test_a_quantity_that_is_no_number_stays_as_it_was_written(at, bed, text):
    raw, _ = at(f"quantity={text}", lambda: quote_request(bed))
    assert raw["lines"][0]["quantity"] == text


def test_every_quote_parameter_is_named_by_its_place_in_the_request():
    places = {
        ("lines", 0, "options", "mattress", "width"): "mattress",
        ("lines", 0, "quantity"): "quantity",
        ("shop", "kerf"): "kerf",
        ("site", "ceiling"): "ceiling",
        ("lumber", "grades", 1): "grades",
        ("price_book",): "price_book",
    }
    for pointer, name in places.items():
        assert parameter_name(pointer) == name
    assert parameter_name(RequestFault(("units",), "x", "y").pointer) in QUOTE
