"""What a caller wrote, read by its declaration: every fault of shape with its place and code."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.asked.faults import MOST_WORDED, RequestFault, RequestFaultsError, first_in_order, merged
from sawbill.asked.lines import MOST_LINES, MOST_PARTS
from sawbill.asked.reader import Reader, read_alone
from sawbill.asked.request import CUTTING_PLAN, QUOTE
from sawbill.trade.declaring.kinds import Whole, Word
from sawbill.trade.declaring.members import Group, Member, members
from sawbill.trade.lengths import MM
from sawbill.web.http.problems import MOST_ERRORS, faulty

PART = {"section": "2x4", "length": "30 in"}


def shape_faults(raw, group):
    reader = Reader()
    reader.value((), raw, group)
    return reader.faults()


def codes(raw, group=QUOTE):
    return {fault.pointer: fault.code for fault in shape_faults(raw, group)}


def test_a_request_of_the_right_shape_has_no_fault():
    raw = {
        "price_book": "sample-inch",
        "units": "metric",
        "lines": [
            {"label": "x", "design": "slatted-bed", "options": {"mattress": {"size": "queen"}}, "quantity": 2},
            {
                "parts": [{**PART, "shortest": "29 in", "name": "y", "quantity": 1}],
                "hardware": [{"item": "hex nut", "size": "M8"}],
            },
        ],
        "on_hand": [{"section": "2x4", "species": None, "grade": None, "length": {"mm": 914.4, "text": "36 in"}}],
        "shop": {"kerf": "3 mm", "spare_boards": 0, "offcut_value": "25 %", "no_slivers": True},
        "lumber": {"species": ["SPF"], "grades": []},
    }
    assert codes(raw) == {}


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"price_book": 5}, {("price_book",): "not-a-price-book"}),
        ({"price_book": "x" * 101}, {("price_book",): "not-a-price-book"}),
        ({"units": 1}, {("units",): "not-text"}),
        ({"unit": "inch"}, {("unit",): "unknown-key"}),
        ({"lines": None}, {("lines",): "null"}),
        ({"lines": {}}, {("lines",): "not-a-list"}),
        ({"lines": [{}] * (MOST_LINES + 1)}, {("lines",): "too-many"}),
        ({"lines": [{"parts": [PART] * MOST_PARTS}, {"hardware": [{"item": "x"}]}]}, {("lines",): "too-many"}),
        ({"lines": [[]]}, {("lines", 0): "not-an-object"}),
        ({"lines": [{"label": "a\0b"}]}, {("lines", 0, "label"): "not-printable"}),
        ({"lines": [{"label": "\ud800"}]}, {("lines", 0, "label"): "not-printable"}),
        ({"lines": [{"label": "x" * 101}]}, {("lines", 0, "label"): "too-long"}),
        ({"lines": [{"options": []}]}, {("lines", 0, "options"): "not-an-object"}),
        ({"lines": [{"options": {str(i): 1 for i in range(101)}}]}, {("lines", 0, "options"): "too-many"}),
        ({"lines": [{"quantity": True}]}, {("lines", 0, "quantity"): "not-a-whole-number"}),
        ({"lines": [{"quantity": 1.0}]}, {("lines", 0, "quantity"): "not-a-whole-number"}),
        (
            {"lines": [{"parts": [{}, {"section": 1, "length": 2}]}]},
            {
                ("lines", 0, "parts", 0, "section"): "missing",
                ("lines", 0, "parts", 0, "length"): "missing",
                ("lines", 0, "parts", 1, "section"): "not-text",
                ("lines", 0, "parts", 1, "length"): "not-text",
            },
        ),
        ({"lines": [{"hardware": [{"size": "#8"}]}]}, {("lines", 0, "hardware", 0, "item"): "missing"}),
        ({"on_hand": [{**PART, "length": {"mm": 1}}]}, {("on_hand", 0, "length"): "not-a-length"}),
        ({"on_hand": [{**PART, "length": {"mm": True, "text": ""}}]}, {("on_hand", 0, "length"): "not-a-length"}),
        (
            {"on_hand": [{**PART, "length": {"mm": float("inf"), "text": ""}}]},
            {("on_hand", 0, "length"): "not-a-length"},
        ),
        ({"shop": {"kerf": 3, "karf": 1}}, {("shop", "kerf"): "not-text", ("shop", "karf"): "unknown-key"}),
        (
            {"shop": {"offcut_value": 25, "extra_for_fewer_setups": 0.02, "no_slivers": None}},
            {
                ("shop", "offcut_value"): "not-text",
                ("shop", "extra_for_fewer_setups"): "not-text",
                ("shop", "no_slivers"): "null",
            },
        ),
        ({"lines": [{"parts": [{**PART, "shortest": 29}]}]}, {("lines", 0, "parts", 0, "shortest"): "not-text"}),
        ({"lumber": {"species": "SPF"}}, {("lumber", "species"): "not-a-list"}),
        ({"lumber": {"grades": [5]}}, {("lumber", "grades", 0): "not-text"}),
    ],
)
def test_each_fault_of_shape_has_its_pointer_and_code(change, expected):
    raw = {"price_book": "sample-inch", "lines": []} | change
    assert codes(raw) == expected


@pytest.mark.parametrize("raw", [None, 3, "x", [], [{}]])
def test_what_is_no_object_has_one_fault_at_its_root(raw):
    assert codes(raw) == {(): "not-an-object"}


def test_a_list_and_the_total_of_own_parts_may_be_as_long_as_stated():
    half = [PART] * (MOST_PARTS // 2)
    assert codes({"price_book": "x", "lines": [{"parts": half}, {"parts": half}]}) == {}
    assert codes({"price_book": "x", "lines": [{}] * MOST_LINES}) == {}


def test_pieces_are_bounded_as_the_own_parts_of_a_quote_are():
    assert codes({"price_book": "x", "pieces": [PART] * MOST_PARTS}, CUTTING_PLAN) == {}
    assert codes({"price_book": "x", "pieces": [PART] * (MOST_PARTS + 1)}, CUTTING_PLAN) == {("pieces",): "too-many"}
    assert codes({"price_book": "x", "lines": []}, CUTTING_PLAN) == {("pieces",): "missing", ("lines",): "unknown-key"}


def test_a_small_body_is_read_as_declared_and_every_fault_of_shape_and_of_meaning_is_told():
    group = Group("Small", "A small body.", members(
        Member("may", Word("read", "write"), "A word.", "read", required=True),
        Member("days", Whole(1, 9), "A number.", 3),
    ))  # fmt: skip
    assert read_alone({"may": "write", "days": 9}, group) == {"may": "write", "days": 9}
    with pytest.raises(RequestFaultsError) as caught:
        read_alone({"may": "own", "days": 10, "more": 1}, group)
    assert {fault.pointer: fault.code for fault in caught.value.faults} == {
        ("may",): "not-a-choice", ("days",): "out-of-range", ("more",): "unknown-key"
    }  # fmt: skip
    with pytest.raises(RequestFaultsError, match="must be an object"):
        read_alone([], group)


def test_an_unknown_key_names_the_nearest_known_one():
    (fault,) = shape_faults({"price_book": "x", "lines": [{"desing": "slatted-bed"}]}, QUOTE)
    assert "did you mean design?" in fault.detail


def test_an_answer_s_length_object_is_read_by_its_exact_millimetres(inch):
    raw = {"price_book": "x", "lines": [{"parts": [PART]}]}
    board = {"section": "2x4", "length": {"mm": 215.900001, "text": "8 1/2 in"}}
    request = Reader(inch).value((), {**raw, "on_hand": [board]}, QUOTE)
    assert [each.length for each in request.on_hand] == [215_900_001 * MM // 1_000_000]


def test_what_has_no_sound_shape_has_no_meaning_and_the_rest_has(inch):
    raw = {
        "price_book": "x",
        "lines": [{"parts": [{**PART, "section": 5, "length": "1 km"}]}],
        "shop": {"kerf": "1 km"},
    }
    reader = Reader(inch)
    reader.value((), raw, QUOTE)
    assert [(fault.pointer, fault.code) for fault in reader.faults()] == [
        (("lines", 0, "parts", 0, "length"), "out-of-range"),
        (("lines", 0, "parts", 0, "section"), "not-text"),
        (("shop", "kerf"), "out-of-range"),
    ]


def test_faults_of_both_readings_are_merged_one_a_place_and_in_order():
    shape = [RequestFault(("lines", 10, "design"), "not-text", "a"), RequestFault(("lines", 2), "not-an-object", "b")]
    meaning = [
        RequestFault(("lines", 2), "missing", "c"),
        RequestFault(("lines", 2, "parts", 0), "missing", "d"),
        RequestFault(("lines", 10), "missing", "e"),
        RequestFault(("lines", 9, "quantity"), "out-of-range", "f"),
        RequestFault(("lines", 9, "quantity"), "out-of-range", "g"),
    ]
    told = first_in_order(merged(shape, meaning), lambda fault: fault.pointer)
    assert [fault.detail for fault in told] == ["b", "f", "a"]


@given(st.lists(st.text(max_size=8), unique=True, max_size=400))
def test_of_a_flood_of_faults_all_are_counted_and_the_first_in_order_put_into_words(keys):
    raw = {"price_book": "x", "lines": []} | dict.fromkeys(keys, 1)
    unknown = set(keys) - set(QUOTE.members)
    found = shape_faults(raw, QUOTE)
    assert sum(fault.code == "unknown-key" for fault in found) == len(unknown)
    assert [fault.pointer for fault in found[:MOST_WORDED]] == sorted(fault.pointer for fault in found)[:MOST_WORDED]
    assert all(fault.detail for fault in found[:MOST_WORDED])


def test_as_many_faults_are_put_into_words_as_a_problem_lists():
    assert MOST_WORDED == MOST_ERRORS
    found = shape_faults({"price_book": "x", "lines": [{f"k{i}": 1 for i in range(300)}] * MOST_LINES}, QUOTE)
    problem = faulty(found)
    assert (len(problem.errors), problem.detail.split()[0]) == (100, str(300 * MOST_LINES))
    assert all(error["detail"] for error in problem.errors)
    assert not any(fault.detail for fault in found[MOST_WORDED:])


def test_a_flood_of_faults_takes_little_more_for_each_than_to_count_it():
    def seconds(keys):
        raw = {"price_book": "x", "lines": [{f"k{i}": 1 for i in range(keys)}] * MOST_LINES}
        began = time.process_time()
        assert len(faulty(shape_faults(raw, QUOTE)).errors) == MOST_ERRORS
        return time.process_time() - began

    few, many = (min(seconds(keys) for _ in range(3)) for keys in (20, 200))
    assert many < 20 * few + 0.1
