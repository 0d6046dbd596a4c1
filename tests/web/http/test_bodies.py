import json
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.web.http.bodies import DEEPEST, LONGEST_NUMBER, MOST_MEMBERS, MOST_VALUES, read_json_text
from sawbill.web.http.problems import Problem


def nested(depth):
    return b"[" * depth + b"]" * depth


@pytest.mark.parametrize("data", [b"{}", b'{"a": [1, "x", null, true, 1.5]}', b"[]", b"3", nested(DEEPEST)])
def test_json_is_read_as_json_says(data):
    assert read_json_text(data) == json.loads(data)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "line 1, column 1"),
        (b"{", "line 1, column 2"),
        (b'{"a": 1,}', "column"),
        (b"{'a': 1}", "column"),
        (b'{"a": 1} x', "column"),
        (b'{"a": 1, "b": 2, "a": 1}', "the key a is in one object twice"),
        (b'{"lines": [{"x": 1, "x": 1}]}', "the key x is in one object twice"),
        (b'{"a": NaN}', "NaN is not a number"),
        (b'{"a": [-Infinity]}', "-Infinity is not a number"),
        (b'{"a": Infinity}', "Infinity is not a number"),
        (b'{"a": "\xff"}', "byte 8 is not UTF-8"),
        ("\ufeff{}".encode(), "line 1, column 1"),
        ('{"a": 1}'.encode("utf-16"), "is not UTF-8"),
        (b'{"a": 1' + b"0" * 5000 + b"}", "a number in it has 5001 characters; write it in 1000 at most"),
        (b"[" * 200_000, "deeper than"),
        (b'{"a":' * 40_000, "deeper than"),
        (nested(DEEPEST + 1), "deeper than"),
        (b'{"a": "\x00"}', "column"),
    ],
)
def test_what_is_not_json_is_told_with_its_place(data, told):
    with pytest.raises(Problem) as problem:
        read_json_text(data)
    assert problem.value.kind == "bad-request"
    assert told in problem.value.detail


def test_many_keys_twice_are_told_quickly():
    data = b"{" + b",".join(b'"%d": 1' % (i // 2) for i in range(MOST_MEMBERS)) + b"}"
    with pytest.raises(Problem, match="twice"):
        read_json_text(data)


def test_what_json_may_hold_is_bounded_before_anybody_asks_what_it_means():
    many = b",".join(b'"k%d":1' % i for i in range(MOST_MEMBERS))
    assert len(read_json_text(b"{%s}" % many)) == MOST_MEMBERS
    assert len(read_json_text(b"[%s]" % b",".join([b"1"] * MOST_VALUES))) == MOST_VALUES
    assert read_json_text(b"9" * LONGEST_NUMBER) == int("9" * LONGEST_NUMBER)
    for data, told in (
        (b'{%s,"x":1}' % many, f"{MOST_MEMBERS + 1} members; it may have {MOST_MEMBERS}"),
        (b"[%s]" % b",".join([b"1"] * (MOST_VALUES + 1)), f"more than {MOST_VALUES} values"),
        (b"[[%s],[1]]" % b",".join([b"1"] * (MOST_VALUES - 2)), f"more than {MOST_VALUES} values"),
        (b"[%s]" % b",".join([b"9" * 4200] * 400), "4200 characters; write it in 1000"),
        (b"1.%s" % (b"9" * LONGEST_NUMBER), "characters; write it in 1000"),
        (b"{%s}" % b",".join(b'"k%d":1' % i for i in range(150_000)), "150000 members"),
    ):
        began = time.process_time()
        with pytest.raises(Problem, match=told):
            read_json_text(data)
        assert time.process_time() - began < 2


@given(st.binary(max_size=60))
def test_any_bytes_are_json_or_a_problem(data):
    try:
        read_json_text(data)
    except Problem as problem:
        assert problem.kind == "bad-request"
