"""Hostile requests: each gets one clear 4xx that names every faulty field, in under a second of work."""

import copy
import json
import threading
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.answer.forms.jsonform import json_bytes
from sawbill.asked.lines import MOST_PARTS
from sawbill.prices.pricebook import content
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.web.http import problems
from sawbill.web.http.problems import Problem
from sawbill.web.library import books
from sawbill.web.reckoning.prices import Prices, names
from sawbill.web.reckoning.quotes import Asked, read

JSON = {"Content-Type": "application/json"}
LONG = "1" + "0" * 400


def bed(line=None, **options):
    return {"lines": [{"design": "slatted-bed", "options": options, **(line or {})}]}


def parts(**part):
    return {"lines": [{"parts": [{"section": "2x4", "length": "30 in", **part}]}]}


def hardware(**row):
    return {"lines": [{"hardware": [row]}]}


def book(**lumber):
    """A whole price book with one cell of its lumber changed."""
    data = copy.deepcopy(content(Shelf(sample_folder()).get("sample-inch")))
    data["lumber"][3].update(lumber)
    return {**bed(), "price_book": data}


OPTIONS = "/lines/0/options"
HEIGHT = f"{OPTIONS}/clear_height"
PART = "/lines/0/parts/0"
ROW = "/lines/0/hardware/0"

REQUESTS = {
    "a length whose text is no text": (
        {**bed(), "on_hand": [{"section": "2x4", "length": {"mm": 914.4, "text": {}}}]},
        {"/on_hand/0/length": "not-a-length"},
    ),
    "a fraction over zero": (bed(clear_height="8 1/0 in"), {HEIGHT: "not-a-length"}),
    "a fraction in thirds": (bed(clear_height="8 1/3 in"), {HEIGHT: "not-a-length"}),
    "a fraction above one": (bed(clear_height="8 3/2 in"), {HEIGHT: "not-a-length"}),
    "a fraction of a millimetre": (bed(clear_height="200 1/2 mm"), {HEIGHT: "not-a-length"}),
    "a decimal comma": (bed(clear_height="1,5 m"), {HEIGHT: "not-a-length"}),
    "no unit": (bed(clear_height="8"), {HEIGHT: "not-a-length"}),
    "a number in place of text": (bed(clear_height=8), {HEIGHT: "not-a-length"}),
    "no number at all": (bed(clear_height="nan in"), {HEIGHT: "not-a-length"}),
    "infinity": (bed(clear_height="inf mm"), {HEIGHT: "not-a-length"}),
    "a power tower": (bed(clear_height="9**9**9 in"), {HEIGHT: "not-a-length"}),
    "10^400 as a length": (bed(clear_height=f"{LONG} in"), {HEIGHT: "not-a-length"}),
    "an exponent": (bed(clear_height="1e400 in"), {HEIGHT: "not-a-length"}),
    "a section in place of a length": (bed(clear_height="2x4"), {HEIGHT: "not-a-length"}),
    "null for an option": (bed(clear_height=None), {HEIGHT: "not-a-length"}),
    "a negative gap": (bed(slat_gap="-3 in"), {f"{OPTIONS}/slat_gap": "not-a-length"}),
    "a gap too wide to sleep on": (bed(slat_gap="1 km"), {f"{OPTIONS}/slat_gap": "out-of-range"}),
    "a mattress of 1 mm": (bed(mattress="1 mm x 80 in"), {f"{OPTIONS}/mattress/width": "out-of-range"}),
    "a mattress of 1 km": (
        bed(mattress={"width": "60 in", "length": "1 km"}),
        {f"{OPTIONS}/mattress/length": "out-of-range"},
    ),
    "a mattress nobody lists": (bed(mattress="quen"), {f"{OPTIONS}/mattress": "unknown-mattress"}),
    "a mattress that is a list": (bed(mattress=["queen"]), {f"{OPTIONS}/mattress": "not-a-mattress"}),
    "options of other kinds": (
        bed(headboard=1, centre_support="maybe", rail={}, slat_gap=[]),
        {
            f"{OPTIONS}/headboard": "not-a-flag",
            f"{OPTIONS}/centre_support": "not-a-choice",
            f"{OPTIONS}/rail": "unknown-section",
            f"{OPTIONS}/slat_gap": "not-a-length",
        },
    ),
    "an unknown option": (bed(slatgap="3 in"), {f"{OPTIONS}/slatgap": "unknown-option"}),
    "quantity 0": (bed({"quantity": 0}), {"/lines/0/quantity": "out-of-range"}),
    "quantity 1,001": (bed({"quantity": 1001}), {"/lines/0/quantity": "out-of-range"}),
    "quantity 10^9": (bed({"quantity": 10**9}), {"/lines/0/quantity": "out-of-range"}),
    "quantity 10^99": (bed({"quantity": 10**99}), {"/lines/0/quantity": "out-of-range"}),
    "quantity -1": (bed({"quantity": -1}), {"/lines/0/quantity": "out-of-range"}),
    "quantity as text": (bed({"quantity": "2"}), {"/lines/0/quantity": "not-a-whole-number"}),
    "quantity 1.5": (bed({"quantity": 1.5}), {"/lines/0/quantity": "not-a-whole-number"}),
    "quantity true": (bed({"quantity": True}), {"/lines/0/quantity": "not-a-whole-number"}),
    "an unknown key": ({**bed(), "lines_": []}, {"/lines_": "unknown-key"}),
    "an unknown design": ({"lines": [{"design": "slated-bed"}]}, {"/lines/0/design": "unknown-design"}),
    "a design and own parts": (
        {"lines": [{"design": "slatted-bed", "parts": [{"section": "2x4", "length": "1 m"}]}]},
        {"/lines/0/parts": "not-both"},
    ),
    "a line of nothing": ({"lines": [{}]}, {"/lines/0": "missing"}),
    "no lines": ({"lines": []}, {"/lines": "missing"}),
    "a control character": (bed({"label": "a\0b"}), {"/lines/0/label": "not-printable"}),
    "half a character": (bed({"label": "\ud800"}), {"/lines/0/label": "not-printable"}),
    "an own part of 1 km, of a section nobody saws": (
        parts(section="2x5000", length="1 km", quantity=0),
        {f"{PART}/section": "unknown-section", f"{PART}/length": "out-of-range", f"{PART}/quantity": "out-of-range"},
    ),
    "an own part of no length": (parts(length="0 in"), {f"{PART}/length": "out-of-range"}),
    "a least length above the length": (
        parts(shortest="30 1/16 in"),
        {f"{PART}/shortest": "out-of-range"},
    ),
    "a screw without a size": (hardware(item="wood screw", length="2 in"), {f"{ROW}/size": "missing"}),
    "hardware nobody makes": (hardware(item="sky hook"), {f"{ROW}/item": "not-a-choice"}),
    "a negative kerf": ({**bed(), "shop": {"kerf": "-1 mm"}}, {"/shop/kerf": "not-a-length"}),
    "a kerf of a metre": ({**bed(), "shop": {"kerf": "1 m"}}, {"/shop/kerf": "out-of-range"}),
    "offcuts worth more than half of their boards": (
        {**bed(), "shop": {"offcut_value": "50.0001 %"}},
        {"/shop/offcut_value": "out-of-range"},
    ),
    "shares that are none": (
        {**bed(), "shop": {"offcut_value": "-1 %", "extra_for_fewer_setups": "0.05"}},
        {"/shop/extra_for_fewer_setups": "not-a-percentage", "/shop/offcut_value": "not-a-percentage"},
    ),
    "neither yes nor no": ({**bed(), "shop": {"no_slivers": 1}}, {"/shop/no_slivers": "not-a-flag"}),
    "boards of 10^9 on hand": (
        {**bed(), "on_hand": [{"section": "2x4", "length": "8 ft", "quantity": 10**9}]},
        {"/on_hand/0/quantity": "out-of-range"},
    ),
    "a species nobody grows": ({**bed(), "lumber": {"species": ["Ironbork"]}}, {"/lumber/species/0": "unknown-name"}),
    "no price book": ({**bed(), "price_book": None}, {"/price_book": "null"}),
    "a price book nobody keeps": ({**bed(), "price_book": "sample-inhc"}, {"/price_book": "unknown-price-book"}),
    "a price book outside of the shelf": ({**bed(), "price_book": "../../etc"}, {"/price_book": "unknown-price-book"}),
    "a price of 0": (book(price="0"), {"/price_book/lumber/3/price": "not-positive"}),
    "a price of -5": (book(price="-5.00"), {"/price_book/lumber/3/price": "not-positive"}),
    "a price that is a number": (book(price=4.28), {"/price_book/lumber/3/price": "wrong-type"}),
    "a price of NaN": (book(price="NaN"), {"/price_book/lumber/3/price": "not-a-number"}),
    "faults everywhere": (
        {
            "price_book": "sample-inhc",
            "units": "feet",
            "lines": [
                {"design": "slatted-bed", "options": {"slat_gap": "-3 in", "clear_hight": "8 in"}, "quantity": 0},
                {"design": 7},
                "bed",
            ],
            "shop": {"kerf": 3, "karf": "1 mm"},
        },
        {
            "/lines/0/options/clear_hight": "unknown-option",
            "/lines/0/options/slat_gap": "not-a-length",
            "/lines/0/quantity": "out-of-range",
            "/lines/1/design": "not-text",
            "/lines/2": "not-an-object",
            "/price_book": "unknown-price-book",
            "/shop/karf": "unknown-key",
            "/shop/kerf": "not-text",
            "/units": "not-a-choice",
        },
    ),
}

BODIES = {
    "NaN": b'{"price_book": "sample-inch", "lines": [{"design": "slatted-bed", "quantity": NaN}]}',
    "Infinity": b'{"price_book": "sample-inch", "lines": [{"design": "slatted-bed", "quantity": -Infinity}]}',
    "a key twice": b'{"price_book": "sample-inch", "price_book": "sample-metric", "lines": []}',
    "200 kB of brackets": b"[" * 200_000,
    "200 kB of objects": b'{"lines":' * 20_000,
    "no UTF-8": b'{"price_book": "sample-\xff"}',
    "nothing": b"",
    "half a body": b'{"price_book": "sam',
    "a number of 5,000 digits": b'{"quantity": ' + b"1" * 5000 + b"}",
}

FLOODS = {
    "own parts of no section": {"lines": [{"parts": [{"section": "q", "length": "1"}] * MOST_PARTS}]},
    "boards of no section": {
        "lines": [],
        "on_hand": [{"section": "2x4z", "length": "q", "species": "q", "grade": "q"}] * 500,
    },
    "20,000 own parts": {"lines": [{"parts": [{"section": "q", "length": "1"}] * 400}] * 50},
    "20,000 lines": {"lines": [{"design": "q"}] * 20_000},
    "9,900 keys": {"lines": [], **{f"line{i}": i for i in range(9_900)}},
    "9,900 options": bed(**{f"clear_height{i}": "8 in" for i in range(9_900)}),
    "100 options in 50 lines": {
        "lines": [{"design": "slatted-bed", "options": {f"slat_gap{i}": 1 for i in range(100)}}] * 50
    },
    "a text of a megabyte": bed({"label": "x" * 1_000_000}),
    "an option of a megabyte": bed(rail="x" * 1_000_000),
    "a mattress of a megabyte": bed(mattress={"size": "x" * 1_000_000}),
    "a design of a megabyte": {"lines": [{"design": "x" * 1_000_000}]},
    "a price book of rows that are none": {**bed(), "price_book": {"lumber": [{}] * 20_000}},
    "a key of a megabyte": {"x" * 1_000_000: 1},
}


@pytest.mark.parametrize("name", REQUESTS)
def test_every_faulty_field_is_named_and_nothing_else(problem_of, name):
    request, faults = REQUESTS[name]
    problem = problem_of("POST", "/v1/quotes", data=json.dumps({"price_book": "sample-inch", **request}), headers=JSON)
    assert problem["status"] == 422
    assert {error["pointer"]: error["code"] for error in problem["errors"]} == faults
    assert [error["pointer"] for error in problem["errors"]] == sorted(faults)


@pytest.mark.parametrize("name", BODIES)
def test_a_body_that_is_not_json_is_a_400(problem_of, name):
    problem = problem_of("POST", "/v1/quotes", data=BODIES[name], headers=JSON)
    assert problem["type"] == "/problems/bad-request"


def timed(ask):
    """Ask in a thread of its own, as the service does: the answer, and the time that the thread took [s].

    On a stack as deep as a test's, Python may ask the system for memory at every single call.
    """
    told = []

    def work():
        start = time.thread_time()
        told.append((ask(), time.thread_time() - start))

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    return told[0]


@pytest.mark.parametrize("name", FLOODS)
def test_a_flood_is_answered_in_under_a_second_of_work_and_shortly(client, as_problem, name):
    data = json.dumps({"price_book": "sample-inch", **FLOODS[name]})
    spent = []
    while len(spent) < 3 and not any(each < 1 for each in spent):  # a machine may be slow for a while
        answer, took = timed(lambda: client.post("/v1/quotes", data=data, headers=JSON))
        spent.append(took)
        assert as_problem(answer)["status"] == 422
        assert len(answer.data) < 100_000
    assert min(spent) < 1


QUERIES = {
    "clear_height=1,5%20m": {"clear_height": "not-a-length"},
    "clear_height=": {"clear_height": "not-a-length"},
    "clear_height=8in&clear_height=9in": {"clear_height": "repeated"},
    "clear_hieght=8in": {"clear_hieght": "unknown-parameter"},
    "slat_gap=-1in&quantity=1001&units=feet": {
        "slat_gap": "not-a-length",
        "quantity": "out-of-range",
        "units": "not-a-choice",
    },
    "quantity=1e3": {"quantity": "not-a-whole-number"},
    "kerf=1m&spare_boards=x&longest_board=1in": {
        "kerf": "out-of-range",
        "spare_boards": "not-a-whole-number",
        "longest_board": "out-of-range",
    },
    "offcut_value=51%25&extra_for_fewer_setups=5&no_slivers=": {
        "offcut_value": "out-of-range",
        "extra_for_fewer_setups": "not-a-percentage",
        "no_slivers": "not-a-flag",
    },
    "mattress=1mm%20x%201m": {"mattress": "out-of-range"},
    "price_book=sample-inch": {"price_book": "repeated"},
    "lines=1": {"lines": "unknown-parameter"},
    "rail=%00": {"rail": "unknown-section"},
    "rail=%ff": {"rail": "unknown-section"},
}


@pytest.mark.parametrize("query", QUERIES)
def test_every_faulty_parameter_is_named_and_nothing_else(problem_of, query):
    problem = problem_of("GET", f"/v1/designs/slatted-bed/quote?price_book=sample-inch&{query}")
    assert problem["status"] == 422
    assert {error["parameter"]: error["code"] for error in problem["errors"]} == QUERIES[query]


@pytest.mark.parametrize("rows", [[{"section": "q", "length": "1"}] * MOST_PARTS, [{}] * 20_000])
def test_a_flood_of_pieces_is_answered_in_under_a_second_of_work_and_shortly(client, as_problem, rows):
    asked = {"price_book": "sample-inch", "pieces": rows}
    answer, spent = timed(lambda: client.post("/v1/cutting-plans", json=asked))
    assert as_problem(answer)["status"] == 422
    assert spent < 1
    assert len(answer.data) < 100_000


JUNK = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False)
    | st.text(max_size=20)
    | st.sampled_from(["8 in", "-1 in", "1 km", "2x4", "#8", "queen", "M10", "sample-metric", "sample-inch@0"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=12), inner, max_size=3),
    max_leaves=6,
)
PLACES = [
    ("price_book",),
    ("units",),
    ("lines",),
    ("lines", 0),
    ("lines", 0, "label"),
    ("lines", 0, "quantity"),
    ("lines", 0, "options"),
    ("lines", 0, "options", "mattress"),
    ("lines", 0, "options", "rail"),
    ("lines", 0, "options", "headboard"),
    ("lines", 1, "parts"),
    ("lines", 1, "parts", 0),
    ("lines", 1, "parts", 0, "length"),
    ("lines", 1, "parts", 0, "shortest"),
    ("lines", 1, "hardware", 0, "item"),
    ("lines", 1, "hardware", 0, "size"),
    ("on_hand", 0),
    ("on_hand", 0, "species"),
    ("on_hand", 0, "length"),
    ("shop",),
    ("shop", "kerf"),
    ("shop", "spare_boards"),
    ("shop", "offcut_value"),
    ("shop", "no_slivers"),
    ("lumber", "species"),
    ("x",),
]


@given(st.lists(st.tuples(st.sampled_from(PLACES), JUNK), min_size=1, max_size=3))
@settings(max_examples=200, deadline=None)
def test_any_json_anywhere_is_a_request_or_a_problem_with_places(app, changes):
    request = {
        "price_book": "sample-inch",
        "lines": [
            {"design": "slatted-bed", "options": {}},
            {
                "parts": [{"section": "1x8", "length": "30 in"}],
                "hardware": [{"item": "wood screw", "size": "#8", "length": "2 in"}],
            },
        ],
        "on_hand": [{"section": "2x4", "length": "36 in"}],
        "shop": {},
        "lumber": {},
    }
    holds_or_tells(app, request, changes, "lines")


@given(
    st.lists(
        st.tuples(
            st.sampled_from(
                [
                    ("pieces",),
                    ("pieces", 0),
                    ("pieces", 0, "section"),
                    ("pieces", 0, "shortest"),
                    ("pieces", 0, "quantity"),
                    ("shop",),
                    ("lines",),
                ]
            ),
            JUNK,
        ),
        min_size=1,
        max_size=3,
    )
)
@settings(max_examples=100, deadline=None)
def test_any_json_among_pieces_is_a_request_or_a_problem_with_places(app, changes):
    request = {"price_book": "sample-inch", "pieces": [{"section": "1x8", "length": "30 in"}], "shop": {}}
    holds_or_tells(app, request, changes, "pieces")


def holds_or_tells(app, request, changes, form):
    """Put junk in places of a request, and read it."""
    for place, junk in changes:
        holder = request
        try:
            for step in place[:-1]:
                holder = holder[step]
            holder[place[-1]] = junk
        except (KeyError, IndexError, TypeError):
            continue  # an earlier change has taken the place away
    found = books.for_request(app.extensions["sawbill"].library, names(request))
    asked = Asked(request, found.named, form)
    try:
        read(request, Prices(found.books, found.named), asked)
    except Problem as problem:
        assert problem.kind in ("invalid-request", "price-book-changed")
        assert problem.errors
        assert all(error["pointer"].startswith("/") and error["detail"] for error in problem.errors)
        assert form == "lines" or not any(error["pointer"].startswith("/lines/") for error in problem.errors)
        json_bytes(problems.body(problem.kind, problem.detail, problem.errors))
