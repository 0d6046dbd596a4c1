"""Who waits, and whose turn it is."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.backroom import FullError
from sawbill.backroom.waiting import PATIENT, Waiting


def test_as_many_wait_as_may_and_not_one_more():
    waiting = Waiting(4, 3)
    for n in range(3):
        waiting.add(n, "a", 0)
    with pytest.raises(FullError, match="caller"):
        waiting.add(3, "a", 0)
    waiting.add(3, "b", 0)
    with pytest.raises(FullError, match="too many wait"):
        waiting.add(4, "c", 0)
    waiting.add(4, "c", 1)
    assert len(waiting) == 5, "each rank has a bound of its own"


def test_whoever_is_served_least_is_next_and_each_in_his_order():
    waiting = Waiting(10, 10)
    for item in ("a1", "a2", "a3", "b1", "b2"):
        waiting.add(item, item[0], 0)
    assert [waiting.next({}) for _ in range(6)] == ["a1", "b1", "a2", "b2", "a3", None]
    for item in ("a1", "b1"):
        waiting.add(item, item[0], 0)
    assert waiting.next({"a": 1}) == "b1"


def test_a_guest_wants_one_answer_and_has_nothing_at_work():
    waiting = Waiting(10, 10)
    for item, rank in (("a1", 0), ("b1", 0), ("b2", 0), ("c1", 1)):
        waiting.add(item, item[0], rank)
    assert [waiting.guest({"a": 1}), waiting.guest({"a": 1, "b": 1})] == ["b1", None]
    assert [waiting.guest({}), waiting.guest({}), waiting.guest({})] == ["a1", "b2", None], "c wants many"
    assert waiting.next({}) == "c1"


def test_the_second_rank_gets_on_however_many_of_the_first_there_are():
    waiting, served = Waiting(1000, 1000), []
    for n in range(60):
        waiting.add(("single", n), "a", 0)
        waiting.add(("row", n), "a", 1)
    while len(waiting):
        served.append(waiting.next({})[0])
    assert served[:PATIENT] == ["single"] * (PATIENT - 1) + ["row"]
    assert served[:60].count("row") == 60 // PATIENT


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("add"), st.sampled_from("abc"), st.integers(0, 2)), st.just(("next",)), st.just(("drop",))
        )
    )
)
def test_nobody_is_lost_and_nobody_served_twice(steps):
    waiting, held, served = Waiting(8, 4), {}, Counter()
    for number, step in enumerate(steps):
        if step[0] == "add":
            try:
                waiting.add(number, *step[1:])
                held[number] = step[1:]
            except FullError:
                of_rank = [who for who, rank in held.values() if rank == step[2]]
                assert len(of_rank) == 8 or of_rank.count(step[1]) == 4
        elif step[0] == "next":
            item = waiting.next({})
            assert (item is None) == (not held)
            if item is not None:
                served[item] += 1
                del held[item]
        elif held:
            item = max(held)
            waiting.drop(item, *held.pop(item))
        assert len(waiting) == len(held)
    assert set(served.values()) <= {1}
